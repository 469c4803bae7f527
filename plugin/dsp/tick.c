// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include "dsp/ears_weights.h"

/// A microphone hears nothing, or the ambient is the close one
static inline bool
is_missing(const FhFaults* const f)
{
  return f->no_ambient > 0.0f || f->same > 0.0f || f->no_close > 0.0f;
}

static FhWatch
watch(const FhEngine* const e)
{
  const FhFaults* const f = &e->faults;
  if (is_missing(f) || f->settle > 0.0f) {
    return FH_WATCH; // nothing to be learnt from this hop
  }
  if (f->closes < (float)e->closes && e->detector.known && e->learning.mode == FH_LEARN_OFF) {
    return FH_WATCH; // what is known is known of both of a pair
  }
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    return FH_WATCH_LEARN;
  }
  if (f->squashed > 0.0f && e->learning.mode == FH_LEARN_OFF) {
    return FH_WATCH; // nobody asked to follow a level that is cut off
  }
  if (e->decision.state == FH_STATE_CLOSED) {
    return FH_WATCH_REST;
  }
  return e->learning.mode == FH_LEARN_SOLO ? FH_WATCH_SOLO : FH_WATCH_PLAY;
}

void
fh_engine_want(FhEngine* const e)
{
  const FhListen listen  = (FhListen)e->controls[FH_LISTEN];
  const bool     removed = listen == FH_LISTEN_REMOVED;
  FhMix          mix     = {.removed = removed ? 1.0f : 0.0f};
  if (e->controls[FH_ENABLED] <= 0.0f || listen == FH_LISTEN_CLOSE) {
    mix.dry = 1.0f;
  } else if (listen == FH_LISTEN_AMBIENT) {
    mix.ambient = 1.0f;
  } else if (removed) {
    mix.wet = 1.0f;
  } else if (e->controls[FH_MUTED] <= 0.0f) { // else nothing, which no setting of the range makes louder
    mix.dry = e->faults.blind ? 1.0f : 0.0f;
    mix.wet = 1.0f - mix.dry;
  }
  e->wanted = mix;
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
  const FhMix from   = e->mix; // where the last ramp ended, exactly
  const fh_v4 change = e->wanted.all - from.all;
  const fh_v4 most   = fh_v4_set(e->mix_slope);
  e->mix.all         = from.all + fh_v4_max(fh_v4_min(change, most), -most);

  const fh_v8 gain    = e->decision.gain * e->duck.gain;
  const fh_v8 removed = fh_v8_set(e->mix.removed);
  fh_kernel_aim(&e->kernel, fh_v8_fma(removed, 1.0f - 2.0f * gain, gain), &from, &e->mix);
}

/// Evidence for the decision, power ratio, where circumstances do not overrule it
static float
evidence(const FhEngine* const e)
{
  const FhDetector* const d = &e->detector;
  if (e->controls[FH_MUTED] > 0.0f) {
    return 0.0f;
  }
  if (e->guard.open_s > 0.0f) {
    return 1e9f; // plain, whatever the decision says
  }
  if (e->faults.blind || (!d->known && d->seen_s < 1.5f)) {
    return 1e9f; // fails open
  }
  return e->evidence;
}

/// What the gate goes by: the odds that the soloist sounds. What the key filter leaves out sounds to the network like the field;
/// where a microphone is missing it hears the usual field and nothing else
static inline void
listen(FhEngine* const e, const fh_v8 close, const fh_v8 ambient)
{
  const FhDetector* const d       = &e->detector;
  const FhFaults* const   f       = &e->faults;
  const bool              missing = is_missing(f);
  const fh_v8             usual   = e->ears.look.usual;
  const fh_v8             heard   = fh_detector_expects(d, FH_PATH_PHRASE, ambient);
  const fh_v8             pickup  = missing ? usual : heard;
  const fh_v8             sound   = missing ? usual : fh_v8_fma(d->key, close - heard, heard);
  fh_ears_tick(&e->ears, sound, pickup, d->path[FH_PATH_NOTE].ratio.top);
  if (missing && fh_v8_sum(usual) <= 0.0f) {
    e->ears.look.looks = 1.0f; // nothing is usual yet
  }
  const fh_v8 says = fh_v8_undb((fh_v8){4.34294482f * (e->ears.odds - fh_ears_sure), d->key_excess - d->rest});
  e->evidence      = f->squashed > 0.0f ? fh_most(says[0], says[1]) : says[0]; // clipping fills bands: nothing that it was trained on
}

/// Sound of the close microphones and of the ambient, for what is periodic in them
static inline void
listen_for_tones(FhEngine* const e)
{
  const fh_v8 all  = e->kernel.heard[0].sum + e->kernel.heard[1].sum; // the ambient twice
  const fh_v8 two  = all + __builtin_shufflevector(all, all, 1, 0, 3, 2, 5, 4, 7, 6);
  const fh_v8 four = two + __builtin_shufflevector(two, two, 2, 3, 0, 1, 6, 7, 4, 5);
  fh_tone_tick(&e->guard.tone, e->detector.filled, four[0]);
  fh_tone_tick(&e->swapped.tone, e->detector.filled, four[4]);
}

/// Whether the microphones have changed places, anew once one has been missing: then somebody is at the cables
static void
watch_swap(FhEngine* const e)
{
  const FhFaults* const   f = &e->faults;
  const FhDetector* const d = &e->detector;
  if (f->fault == FH_FAULT_NO_AMBIENT || f->fault == FH_FAULT_AMBIENT_IS_CLOSE || f->fault == FH_FAULT_NO_CLOSE) {
    fh_swapped_forget(&e->swapped);
  }
  const bool counts = !is_missing(f) && (f->settle <= 0.0f || e->swapped.is);
  fh_swapped_hop(&e->swapped, counts ? 1.0f / d->hops_per_second : 0.0f, d->path[FH_PATH_PHRASE].now, d->usable, e->guard.again);
}

/// Take what the kernel has heard since the last hop
static inline void
hear(FhEngine* const e)
{
  const float          mean = e->kernel.per_frame / FH_HOP_TICKS;
  const FhHeard* const h    = e->kernel.heard;
  const FhHalves       cut  = {.mask = h[0].clipped | h[1].clipped};
  e->inputs.mean            = fh_heard_sum(h[0].sum, h[1].sum) * mean;
  e->inputs.squares         = fh_heard_sum(h[0].squares, h[1].squares) * mean;
  e->inputs.product         = fh_heard_sum(h[0].product, h[1].product) * mean;
  e->inputs.peak            = fh_heard_most(h[0].peak, h[1].peak);
  e->inputs.clipped         = fh_v4_any(cut.half_mask[0] | cut.half_mask[1]);
  e->inputs.broken          = e->kernel.broken;
  e->kernel.broken          = false;
  for (int tree = 0; tree < FH_TREES; ++tree) {
    fh_heard_nothing(&e->kernel.heard[tree]);
  }
}

void
fh_engine_tick(FhEngine* const e)
{
  const float mean            = e->kernel.per_frame;
  const float believed        = e->faults.wild > 0.0f ? 0.0f : mean; // rather no pickup than one that mutes the soloist
  e->delay[e->delay_position] = e->kernel.sums.ambient * believed;
  const fh_v8 delayed = e->delay[(e->delay_position + FH_MAX_DELAY_TICKS - e->ambient_delay) % FH_MAX_DELAY_TICKS];
  e->delay_position   = (e->delay_position + 1u) % FH_MAX_DELAY_TICKS;

  listen_for_tones(e);
  const fh_v8 close = e->kernel.sums.close * (mean / e->faults.closes);
  const bool  hop   = fh_detector_tick(&e->detector, close, delayed);
  if (hop) {
    hear(e);
    fh_faults_hop(e);
    if (e->faults.wild > 0.0f) {
      fh_detector_let_go(&e->detector);
    }
    fh_engine_want(e);
    fh_detector_hop(&e->detector, watch(e), e->evidence > 1.0f);
    const FhDetector* const d = &e->detector;
    fh_guard_hop(&e->guard, d->hops_per_second, e->decision.gain > 0.5f, d->path[FH_PATH_PHRASE].over * d->usable);
    watch_swap(e);
  }
  listen(e, close, delayed);
  fh_decision_tick(&e->decision, evidence(e));
  if (e->faults.regained > 0.0f) {
    e->decision.held = e->decision.hold; // what was open for want of an ambient is not held
  }
  if (e->controls[FH_MUTED] > 0.0f && e->decision.state != FH_STATE_CLOSED) {
    e->decision.state = FH_STATE_CLOSING;
    e->decision.gain  = toward(e->decision.gain, e->decision.floor, e->mix_slope);
  }
  e->meters.widest = fh_most(e->meters.widest, e->decision.gain);
  fh_duck_tick(&e->duck, e->detector.duck.close, fh_detector_pickup(&e->detector));

  if (e->detector.filled == FH_HOP_TICKS / 2) { // between two hops, so that no block bears it all
    fh_learning_hop(e);
    fh_meters_hop(e);
    ++e->news;
    if (++e->hops % FH_LEARNT_HOPS == 0u) {
      ++e->learnt_news;
    }
  }
  ramp(e);
}
