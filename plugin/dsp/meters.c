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

/// Where the soloist usually stands: the median so far, which takes its time once it is found. A verdict must not turn
/// with every soft phrase.
static void
watch_separation(FhEngine* const e)
{
  FhMeters* const       m    = &e->running.meters;
  const FhFaults* const f    = &e->running.faults;
  const float           key  = e->running.detector.key_excess;
  const bool            well = f->settle <= 0.0f && f->squashed <= 0.0f;
  if (e->learnt.field.separation == 0.0f) { // forgotten, or none yet
    m->separation = m->played = 0.0f;
  } else if (well && e->running.evidence > 1.0f && e->running.gate.state != FH_STATE_CLOSED) {
    const float hop  = e->setup.hop_s;
    const float rate = fh_most(fh_least(fh_separation_db / (m->played + hop), fh_separation_most), fh_separation_least);
    m->played += hop;
    m->separation += (key > m->separation ? rate : -rate) * hop;
  }
}

void
fh_meters_hop(FhEngine* const e)
{
  FhMeters* const         m    = &e->running.meters;
  const FhDetector* const d    = &e->running.detector;
  const FhPath* const     note = &d->path[FH_PATH_NOTE];
  const fh_v4             in   = e->running.inputs.squares;
  const float             gate = m->widest;
  m->widest                    = 0.0f;

  const fh_v4 now = {in[0], in[FH_MIC_AMBIENT], fh_v8_sum(note->pickup), in[1]};

  const float fast = 1.0f / (fh_meter_fast_s * e->setup.hops_per_second);
  m->level += (now - m->level) * fast;

  const float fall    = fh_meter_fall / e->setup.hops_per_second;
  const float recover = fh_meter_recover / e->setup.hops_per_second;
  m->band_excess      = fh_v8_max(fh_v8_db(note->over), m->band_excess - fall);
  m->band_gain        = fh_v8_min(e->running.duck_gain, m->band_gain + recover);

  const float hold = fh_meter_hold_s * e->setup.ticks_per_second;

  // The evidence the gate goes by, so that it opens where this passes FH_OPEN_AT, be it between two hops. Nothing is
  // held of what was no evidence.
  const bool  wider   = gate > m->gate;
  const bool  sure    = e->running.faults.settle <= 0.0f;
  const bool  opened  = wider && sure && e->learnt.field.known;
  const float past    = 1.01f; // plainly, however it is rounded
  const float reached = fh_db(opened ? fh_most(e->running.evidence, past * e->settings.decision.margin) : e->running.evidence) + d->rest;
  m->excess_age       = reached < m->excess && sure ? m->excess_age + FH_HOP_TICKS : 0.0f;
  m->excess           = fh_most(reached, sure ? m->excess - (m->excess_age > hold ? 2.0f * fall : 0.0f) : reached);

  watch_separation(e);

  // What ducking takes off the whole: power after over power before
  const fh_v8 before = d->duck.close + 1e-12f;
  const float duck   = fh_v8_sum(e->running.duck_gain * e->running.duck_gain * before) / fh_v8_sum(before);
  m->duck            = fh_least(duck, m->duck + recover);

  if (wider || m->state_age > hold) {
    m->gate      = gate;
    m->state     = (float)e->running.gate.state;
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
  const FhField* const f       = &e->learnt.field;
  const float          track_s = e->settings.track_s;
  if (e->running.learning.mode == FH_LEARN_SOLO) {
    return 10.0f * f->solo_s;
  }
  if (e->running.learning.mode == FH_LEARN_AMBIENT) {
    return 10.0f * f->seen_s;
  }
  return f->known ? 100.0f : track_s > 0.0f ? 200.0f * f->seen_s / track_s : 0.0f;
}

/// Where what is known comes from: while the field is being learnt, what was known before
static FhKnowledge
knowledge(const FhEngine* const e)
{
  const FhField* const  f        = &e->learnt.field;
  const FhLearnt* const before   = &e->learnt.before;
  const bool            learning = e->running.learning.mode == FH_LEARN_AMBIENT;
  const bool            learnt   = learning ? before->asked > 0.0f : f->asked;
  const float           seen_s   = learning ? before->seen_s : f->seen_s;
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
  FhMeters m = e->running.meters;
  if (fh_engine_passes(e)) { // a control may have moved since the last hop
    fh_meters_untouched(&m);
  } else if (e->settings.controls[FH_MUTED] > 0.0f) {
    const float gate = m.gate, state = m.state;
    if (e->running.faults.blind) { // silent, but not by bands
      fh_meters_untouched(&m);
    }
    m.gate  = e->settings.controls[FH_LISTEN] == (float)FH_LISTEN_OUTPUT ? 0.0f : gate;
    m.state = state;
  }
  m.excess = e->running.faults.blind ? 0.0f : m.excess;
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
  const FhMeters        now = heard(e);
  const FhMeters* const m   = &now;

  c[FH_EXCESS]     = m->excess;
  c[FH_OPEN_AT]    = e->settings.controls[FH_OPEN_MARGIN] + e->running.detector.rest;
  c[FH_STATE]      = m->state;
  c[FH_SEPARATION] = m->played > fh_separation_s ? m->separation : 0.0f;
  c[FH_FAULT]      = (float)e->running.faults.fault;
  c[FH_LEARNT]     = progress(e);
  c[FH_LATENCY]    = (float)e->kernel.latency;
  c[FH_KNOWLEDGE]  = (float)knowledge(e);
  c[FH_LEARNT_AGO] = c[FH_KNOWLEDGE] == FH_KNOWLEDGE_LEARNT ? (float)e->learnt.age_s : -1.0f;
  c[FH_LEARN_RESULT] = (float)(e->learnt.field.misfits ? FH_RESULT_AGAIN : e->learnt.result);
  show_db(m, e->running.faults.closes, c);
  for (int i = FH_CLOSE_LEVEL; i < FH_BAND_EXCESS_1; ++i) {
    c[i] = fh_least(fh_most(c[i], least[i]), most[i]);
  }
  c[FH_LEARNT_AGO] = fh_least(c[FH_LEARNT_AGO], most[FH_LEARNT_AGO]);
}
