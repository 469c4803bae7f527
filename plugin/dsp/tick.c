// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include "dsp/ears_weights.h"

static FhWatch
watch(const FhEngine* const e)
{
  const FhFaults* const f = &e->running.faults;
  if (fh_faults_missing(f) || f->settle > 0.0f) {
    return FH_WATCH; // nothing to be learnt from this hop
  }
  if (f->closes < (float)e->setup.closes && e->learnt.field.known && e->running.learning.mode == FH_LEARN_OFF) {
    return FH_WATCH; // what is known is known of both of a pair
  }
  if (e->running.learning.mode == FH_LEARN_AMBIENT) {
    return FH_WATCH_LEARN;
  }
  if (f->squashed > 0.0f && e->running.learning.mode == FH_LEARN_OFF) {
    return FH_WATCH; // nobody asked to follow a level that is cut off
  }
  if (e->running.gate.state == FH_STATE_CLOSED || e->running.rests) {
    return FH_WATCH_REST;
  }
  return e->running.learning.mode == FH_LEARN_SOLO ? FH_WATCH_SOLO : FH_WATCH_PLAY;
}

void
fh_engine_want(FhEngine* const e)
{
  const FhListen listen  = (FhListen)e->settings.controls[FH_LISTEN];
  const bool     removed = listen == FH_LISTEN_REMOVED;
  FhMix          mix     = {.removed = removed ? 1.0f : 0.0f};
  if (e->settings.controls[FH_ENABLED] <= 0.0f || listen == FH_LISTEN_CLOSE) {
    mix.dry = 1.0f;
  } else if (listen == FH_LISTEN_AMBIENT) {
    mix.ambient = 1.0f;
  } else if (removed) {
    mix.wet = 1.0f;
  } else if (e->settings.controls[FH_MUTED] <= 0.0f) { // else nothing, which no setting of the range makes louder
    mix.dry = e->running.faults.blind ? 1.0f : 0.0f;
    mix.wet = 1.0f - mix.dry;
  }
  e->running.wanted = mix;
}

static float
toward(const float from, const float to, const float most)
{
  const float change = to - from;
  return change > most ? from + most : change < -most ? from - most : to;
}

/// Let the kernel ramp to new gains and a new mix through the next tick
static void
ramp(FhEngine* const e)
{
  FhRunning* const r = &e->running;

  const FhMix from   = r->mix; // where the last ramp ended, exactly
  const fh_v4 change = r->wanted.all - from.all;
  const fh_v4 most   = fh_v4_set(e->setup.mix_slope);
  r->mix.all         = from.all + fh_v4_max(fh_v4_min(change, most), -most);

  const fh_v8 gain    = r->gate.gain * r->duck_gain;
  const fh_v8 removed = fh_v8_set(r->mix.removed);
  fh_kernel_aim(&e->kernel, fh_v8_fma(removed, 1.0f - 2.0f * gain, gain), &from, &r->mix);
}

/// Evidence for the decision, power ratio, where circumstances do not overrule it
static float
evidence(const FhEngine* const e)
{
  const FhField* const f = &e->learnt.field;
  if (e->settings.controls[FH_MUTED] > 0.0f) {
    return 0.0f;
  }
  if (e->running.guard.open_s > 0.0f) {
    return fh_open_sure; // plain, whatever the decision says
  }
  if (e->running.faults.blind || (!f->known && f->seen_s < fh_unknown_s)) {
    return fh_open_sure; // fails open
  }
  return e->running.evidence;
}

/// What the gate goes by: the odds that the soloist sounds. What the key filter leaves out sounds to the network like the field;
/// where a microphone is missing it hears the usual field and nothing else, and until that is known what it heard last
static inline void
listen(FhEngine* const e, const fh_v8 close, const fh_v8 ambient)
{
  const FhDetector* const d       = &e->running.detector;
  const FhFaults* const   f       = &e->running.faults;
  const bool              missing = fh_faults_missing(f);
  const fh_v8             usual   = e->learnt.usual.ears.pickup;
  const fh_v8             heard   = fh_detector_expects(d, FH_PATH_PHRASE, ambient);
  const FhEarsLook* const last    = &e->running.ears.look;
  const fh_v8             pickup  = !f->heard ? last->pickup[1] : missing ? usual : heard;
  const fh_v8             sound   = !f->heard ? last->close[1] : missing ? usual : fh_v8_fma(e->settings.key, close - heard, heard);
  fh_ears_tick(&e->running.ears, &e->learnt.usual.ears, sound, pickup, e->learnt.field.ratio[FH_PATH_NOTE].top);
  if (missing && fh_v8_sum(usual) <= 0.0f) {
    e->learnt.usual.ears.looks = 1.0f; // nothing is usual yet
  }
  const fh_v8 says = fh_v8_undb((fh_v8){fh_odds_db * (e->running.ears.odds - fh_ears_sure), d->key_excess - d->rest});
  // Clipping fills bands: nothing that the network was trained on
  e->running.evidence = f->squashed > 0.0f ? fh_most(says[0], says[1]) : says[0];
}

/// What the network is reminded of, by what is usual or by what was saved, may be of another moment
static void
begin_listening(FhEngine* const e)
{
  const FhDetector* const d    = &e->running.detector;
  const FhPowers* const   hop  = &d->last[d->newest % 4];
  const float             mean = 1.0f / FH_HOP_TICKS;
  if (fh_v8_sum(e->learnt.usual.ears.pickup) > 0.0f && !fh_faults_missing(&e->running.faults)) {
    fh_ears_near(&e->running.ears, hop->close * mean, fh_detector_expects(d, FH_PATH_PHRASE, hop->ambient * mean));
  }
}

/// Sound of the close microphones and of the ambient, for what is periodic in them
static inline void
listen_for_tones(FhEngine* const e)
{
  FhRunning* const     r = &e->running;
  const FhHeard* const h = e->kernel.running.heard;

  const fh_v8 all  = h[0].sum + h[1].sum; // the ambient twice
  const fh_v8 two  = all + __builtin_shufflevector(all, all, 1, 0, 3, 2, 5, 4, 7, 6);
  const fh_v8 four = two + __builtin_shufflevector(two, two, 2, 3, 0, 1, 6, 7, 4, 5);
  fh_tone_tick(&r->guard.tone, r->detector.filled, four[0]);
  fh_tone_tick(&r->swapped.tone, r->detector.filled, four[4]);
}

/// Whether the microphones have changed places, anew once one has been missing: then somebody is at the cables
static void
watch_swap(FhEngine* const e)
{
  FhRunning* const        r = &e->running;
  const FhFaults* const   f = &r->faults;
  const FhDetector* const d = &r->detector;
  if (f->fault == FH_FAULT_NO_AMBIENT || f->fault == FH_FAULT_AMBIENT_IS_CLOSE || f->fault == FH_FAULT_NO_CLOSE) {
    fh_swapped_forget(&r->swapped);
  }
  const bool counts = !fh_faults_missing(f) && (f->settle <= 0.0f || r->swapped.is);
  fh_swapped_hop(&r->swapped, counts ? e->setup.hop_s : 0.0f, d->path[FH_PATH_PHRASE].now, e->setup.usable, r->guard.again);
}

/// Take what the kernel has heard since the last hop
static inline void
hear(FhEngine* const e)
{
  FhInputs* const        in   = &e->running.inputs;
  FhKernelRunning* const k    = &e->kernel.running;
  const float            mean = e->kernel.per_frame / FH_HOP_TICKS;
  const FhHeard* const   h    = k->heard;
  const FhHalves         cut  = {.mask = h[0].clipped | h[1].clipped};
  in->mean                    = fh_heard_sum(h[0].sum, h[1].sum) * mean;
  in->squares                 = fh_heard_sum(h[0].squares, h[1].squares) * mean;
  in->product                 = fh_heard_sum(h[0].product, h[1].product) * mean;
  in->peak                    = fh_heard_most(h[0].peak, h[1].peak);
  in->clipped                 = fh_v4_any(cut.half_mask[0] | cut.half_mask[1]);
  in->broken                  = k->broken;
  k->broken                   = false;
  for (int tree = 0; tree < FH_TREES; ++tree) {
    fh_heard_nothing(&k->heard[tree]);
  }
}

void
fh_engine_tick(FhEngine* const e)
{
  FhRunning* const r = &e->running;

  const float mean            = e->kernel.per_frame;
  const float believed        = r->faults.wild > 0.0f ? 0.0f : mean; // rather no pickup than one that mutes the soloist
  r->delay[r->delay_position] = e->kernel.running.sums.ambient * believed;
  const uint32_t then = r->delay_position + FH_MAX_DELAY_TICKS - e->settings.ambient_delay;
  const fh_v8 delayed = r->delay[then % FH_MAX_DELAY_TICKS];
  r->delay_position   = (r->delay_position + 1u) % FH_MAX_DELAY_TICKS;

  listen_for_tones(e);
  const fh_v8 close = e->kernel.running.sums.close * (mean / r->faults.closes);
  const bool  hop   = fh_detector_tick(e, close, delayed);
  if (hop) {
    const bool begins = r->faults.heard == FH_HEARD_HOPS - 1;
    hear(e);
    fh_faults_hop(e);
    const bool sounds = r->faults.heard == FH_HEARD_HOPS && r->gate.held <= 0.0f;
    r->rests          = r->rests && !sounds && r->gate.state != FH_STATE_CLOSED;
    if (r->faults.wild > 0.0f) {
      fh_detector_let_go(&r->detector);
    }
    fh_engine_want(e);
    fh_detector_hop(e, watch(e), r->evidence > 1.0f);
    const FhDetector* const d = &r->detector;
    fh_guard_hop(&r->guard, e->setup.hops_per_second, r->gate.gain > fh_guard_open, d->path[FH_PATH_PHRASE].over * e->setup.usable);
    watch_swap(e);
    if (begins) {
      begin_listening(e);
    }
  }
  listen(e, close, delayed);
  fh_gate_tick(&r->gate, &e->settings.decision, evidence(e));
  if (r->faults.regained > 0.0f) {
    r->gate.held = e->settings.decision.hold; // what was open for want of an ambient is not held
  }
  if (e->settings.controls[FH_MUTED] > 0.0f && r->gate.state != FH_STATE_CLOSED) {
    r->gate.state = FH_STATE_CLOSING;
    r->gate.gain  = toward(r->gate.gain, e->settings.decision.floor, e->setup.mix_slope);
  }
  r->meters.widest = fh_most(r->meters.widest, r->gate.gain);
  fh_duck_tick(&e->settings.duck, &r->duck_gain, r->detector.duck.close, fh_detector_pickup(&r->detector));

  if (r->detector.filled == FH_HOP_TICKS / 2) { // between two hops, so that no block bears it all
    fh_learning_hop(e);
    fh_meters_hop(e);
    ++r->news;
    if (++r->hops % FH_LEARNT_HOPS == 0u) {
      ++r->learnt_news;
    }
  }
  ramp(e);
}
