// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>

// Ranges of all controls, side by side
#define FH_X(ENUM, symbol, name, unit, flow, kind, min, def, max) min,
static const float least[] = {FH_CONTROLS(FH_X)};
#undef FH_X
#define FH_X(ENUM, symbol, name, unit, flow, kind, min, def, max) max,
static const float most[] = {FH_CONTROLS(FH_X)};
#undef FH_X

static const float played_s = 2.0f; // separation starts at 0 and needs that long to find a good one

/// Where the soloist usually stands: the median so far, which takes its time once it is found. A verdict must not turn
/// with every soft phrase.
static void
watch_separation(FhEngine* const e)
{
  FhMeters* const         m    = &e->meters;
  const FhDetector* const d    = &e->detector;
  const FhFaults* const   f    = &e->faults;
  const float             key  = d->key_excess;
  const bool              well = f->settle <= 0.0f && f->squashed <= 0.0f;
  if (d->separation == 0.0f) { // forgotten, or none yet
    m->separation = m->played = 0.0f;
  } else if (well && e->evidence > 1.0f && e->decision.state != FH_STATE_CLOSED) {
    const float hop  = 1.0f / d->hops_per_second;
    const float rate = fh_most(fh_least(12.0f / (m->played + hop), 6.0f), 1.0f); // dB/s: 12 dB in the first 2 s
    m->played += hop;
    m->separation += (key > m->separation ? rate : -rate) * hop;
  }
}

void
fh_meters_hop(FhEngine* const e)
{
  FhMeters* const         m    = &e->meters;
  const FhDetector* const d    = &e->detector;
  const FhPath* const     note = &d->path[FH_PATH_NOTE];
  const fh_v4             in   = e->inputs.squares;
  const float             gate = m->widest;
  m->widest                    = 0.0f;

  const fh_v4 now = {in[0], in[FH_MIC_AMBIENT], fh_v8_sum(note->pickup), in[1]};

  // IEC 61672-1 time weighting F: 125 ms, which falls by 34.7 dB a second
  const float fast = 1.0f / (0.125f * d->hops_per_second);
  m->level += (now - m->level) * fast;

  const float fall    = 60.0f / d->hops_per_second;
  const float recover = 5.0f / d->hops_per_second;
  m->band_excess      = fh_v8_max(fh_v8_db(note->over), m->band_excess - fall);
  m->band_gain        = fh_v8_min(e->duck.gain, m->band_gain + recover);

  // Until the slowest host has looked (25 times a second)
  const float hold = 0.05f * e->ticks_per_second;

  // The evidence the gate goes by, so that it opens where this passes FH_OPEN_AT, be it between two hops. Nothing is
  // held of what was no evidence.
  const bool  wider   = gate > m->gate;
  const bool  sure    = e->faults.settle <= 0.0f;
  const bool  opened  = wider && sure && d->known;
  const float reached = fh_db(opened ? fh_most(e->evidence, e->decision.margin) : e->evidence) + d->rest;
  m->excess_age       = reached < m->excess && sure ? m->excess_age + FH_HOP_TICKS : 0.0f;
  m->excess           = fh_most(reached, sure ? m->excess - (m->excess_age > hold ? 2.0f * fall : 0.0f) : reached);

  watch_separation(e);

  // What ducking takes off the whole: power after over power before
  const fh_v8 before = d->duck.close + 1e-12f;
  const float duck   = fh_v8_sum(e->duck.gain * e->duck.gain * before) / fh_v8_sum(before);
  m->duck            = fh_least(duck, m->duck + recover);

  if (wider || m->state_age > hold) {
    m->gate      = gate;
    m->state     = (float)e->decision.state;
    m->state_age = 0.0f;
  } else {
    m->state_age += FH_HOP_TICKS;
  }
  if (fh_engine_passes(e)) {
    fh_meters_untouched(m);
  }
}

/// How far learning or first tracking has come, percent
static float
progress(const FhEngine* const e)
{
  const FhDetector* const d = &e->detector;
  if (e->learning.mode == FH_LEARN_SOLO) {
    return 10.0f * d->solo_s;
  }
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    return 10.0f * d->seen_s;
  }
  return d->known ? 100.0f : d->track_s > 0.0f ? 200.0f * d->seen_s / d->track_s : 0.0f;
}

/// Where what is known comes from: while the field is being learnt, what was known before
static FhKnowledge
knowledge(const FhEngine* const e)
{
  const FhDetector* const d        = &e->detector;
  const bool              learning = e->learning.mode == FH_LEARN_AMBIENT;
  const bool              learnt   = learning ? e->before.asked > 0.0f : d->learnt;
  const float             seen_s   = learning ? e->before.seen_s : d->seen_s;
  return learnt ? FH_KNOWLEDGE_LEARNT : seen_s > 0.0f ? FH_KNOWLEDGE_FOLLOWING : FH_KNOWLEDGE_NOTHING;
}

static inline fh_v8
within(const fh_v8 x, const FhPortInfo* const port)
{
  return fh_v8_min(fh_v8_max(x, fh_v8_set(port->min)), fh_v8_set(port->max));
}

/// Where controls or a fault overrule gate and duck, what is heard instead of what they do
static FhMeters
heard(const FhEngine* const e)
{
  FhMeters m = e->meters;
  if (fh_engine_passes(e)) { // a control may have moved since the last hop
    fh_meters_untouched(&m);
  } else if (e->controls[FH_MUTED] > 0.0f && e->controls[FH_LISTEN] == (float)FH_LISTEN_OUTPUT) {
    m.gate = 0.0f;
  }
  m.excess = e->faults.blind ? 0.0f : m.excess;
  return m;
}

/// All that is shown in dB, two logarithms for eight values each. @param closes Microphones that count
static void
show_db(const FhMeters* const m, const float closes, float c[FH_CONTROL_COUNT])
{
  const fh_v8 levels = fh_v8_db((fh_v8){(m->level[0] + m->level[3]) / closes + 1e-12f,
                                        m->level[1] + 1e-12f,
                                        m->level[2] + 1e-12f,
                                        m->gate + 1e-9f,
                                        m->duck + 1e-9f,
                                        m->level[0] + 1e-12f,
                                        m->level[3] + 1e-12f,
                                        1.0f});
  c[FH_CLOSE_LEVEL]   = levels[0];
  c[FH_AMBIENT_LEVEL] = levels[1];
  c[FH_PICKUP_LEVEL]  = levels[2];
  c[FH_GATE_GAIN]     = 2.0f * levels[3];
  c[FH_DUCK_GAIN]     = levels[4];
  c[FH_CLOSE_LEVEL_1] = fh_least(fh_most(levels[5], least[FH_CLOSE_LEVEL_1]), most[FH_CLOSE_LEVEL_1]);
  c[FH_CLOSE_LEVEL_2] = fh_least(fh_most(levels[6], least[FH_CLOSE_LEVEL_2]), most[FH_CLOSE_LEVEL_2]);

  const fh_v8 gain   = within(2.0f * fh_v8_db(m->band_gain + 1e-9f), &fh_controls[FH_BAND_GAIN_1]);
  const fh_v8 excess = within(m->band_excess, &fh_controls[FH_BAND_EXCESS_1]);
  for (int k = 0; k < FH_BANDS; ++k) {
    c[FH_BAND_EXCESS_1 + 2 * k] = excess[k];
    c[FH_BAND_GAIN_1 + 2 * k]   = gain[k];
  }
}

void
fh_meters_show(const FhEngine* const e, float c[FH_CONTROL_COUNT])
{
  const FhDetector* const d   = &e->detector;
  const FhMeters          now = heard(e);
  const FhMeters* const   m   = &now;

  c[FH_EXCESS]     = m->excess;
  c[FH_OPEN_AT]    = e->controls[FH_OPEN_MARGIN] + d->rest;
  c[FH_STATE]      = m->state;
  c[FH_SEPARATION] = m->played > played_s ? m->separation : 0.0f;
  c[FH_FAULT]      = (float)e->faults.fault;
  c[FH_LEARNT]     = progress(e);
  c[FH_LATENCY]    = (float)e->kernel.latency;
  c[FH_KNOWLEDGE]  = (float)knowledge(e);
  c[FH_LEARNT_AGO] = c[FH_KNOWLEDGE] == FH_KNOWLEDGE_LEARNT ? (float)e->learnt_s : -1.0f;
  c[FH_LEARN_RESULT] = (float)(e->detector.misfits ? FH_RESULT_AGAIN : e->result);
  show_db(m, e->faults.closes, c);
  for (int i = FH_CLOSE_LEVEL; i < FH_BAND_EXCESS_1; ++i) {
    c[i] = fh_least(fh_most(c[i], least[i]), most[i]);
  }
  c[FH_LEARNT_AGO] = fh_least(c[FH_LEARNT_AGO], most[FH_LEARNT_AGO]);
}
