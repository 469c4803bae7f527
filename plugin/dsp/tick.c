// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <string.h>

/// From folded lanes per microphone to one lane per band: mean squares of one tick
static void
unfold(const FhEngine* const e, fh_v8* const close, fh_v8* const ambient)
{
  const float mean  = 1.0f / (float)e->tick;
  const float share = mean / (float)e->closes;
  for (int j = 0; j < FH_FOLDED; ++j) {
    const fh_v8 p       = e->kernel.sums.power[j];
    (*close)[j]         = (p[0] + p[1]) * share;
    (*close)[j + 4]     = (p[4] + p[5]) * share;
    (*ambient)[j]       = p[2] * mean;
    (*ambient)[j + 4]   = p[6] * mean;
  }
}

static FhWatch
watch(const FhEngine* const e)
{
  if (e->faults.no_ambient > 0.0f || e->faults.same > 0.0f || e->faults.no_close > 0.0f) {
    return FH_WATCH; // nothing to be learnt from this tick
  }
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    return FH_WATCH_LEARN;
  }
  if (e->decision.state == FH_STATE_CLOSED) {
    return FH_WATCH_REST;
  }
  return e->learning.mode == FH_LEARN_SOLO ? FH_WATCH_SOLO : FH_WATCH_PLAY;
}

static FhMix
wanted_mix(const FhEngine* const e)
{
  const FhListen listen = (FhListen)e->controls[FH_LISTEN];
  if (e->controls[FH_ENABLED] <= 0.0f || listen == FH_LISTEN_CLOSE) {
    return (FhMix){.dry = 1.0f};
  }
  if (listen == FH_LISTEN_AMBIENT) {
    return (FhMix){.ambient = 1.0f};
  }
  if (listen == FH_LISTEN_REMOVED) {
    return (FhMix){.wet = -1.0f, .open = 1.0f};
  }
  if (fh_faults_blind(&e->faults) && e->controls[FH_MUTED] <= 0.0f) {
    return (FhMix){.dry = 1.0f};
  }
  return (FhMix){.wet = 1.0f};
}

static float
toward(const float from, const float to, const float most)
{
  const float change = to - from;
  return change > most ? from + most : change < -most ? from - most : to;
}

/// Let the kernel's mix ramp through the next tick
static void
ramp_mix(FhEngine* const e)
{
  FhMix* const      now  = &e->mix_target; // where the last ramp ended, exactly
  const FhMix       want = wanted_mix(e);
  const FhMix       next = {toward(now->wet, want.wet, e->mix_slope),
                            toward(now->open, want.open, e->mix_slope),
                            toward(now->dry, want.dry, e->mix_slope),
                            toward(now->ambient, want.ambient, e->mix_slope)};
  const float       per  = 1.0f / (float)e->tick;

  e->kernel.mix      = *now;
  e->kernel.mix_step = (FhMix){(next.wet - now->wet) * per,
                               (next.open - now->open) * per,
                               (next.dry - now->dry) * per,
                               (next.ambient - now->ambient) * per};
  *now               = next;
}

/// Let the kernel's band gains ramp through the next tick
static void
ramp_gains(FhEngine* const e)
{
  const fh_v8 target = e->decision.gain * e->duck.gain;
  const float per    = 1.0f / (float)e->tick;
  for (int j = 0; j < FH_FOLDED; ++j) {
    const float low  = target[j];
    const float high = target[j + 4];
    const fh_v8 goal = {low, low, low, low, high, high, high, high};
    e->kernel.step[j] = (goal - e->kernel.gain[j]) * per;
  }
}

/// Evidence for the decision, where circumstances do not overrule it
static float
evidence(const FhEngine* const e)
{
  const FhDetector* const d = &e->detector;
  if (e->controls[FH_MUTED] > 0.0f) {
    return -1e9f;
  }
  if (fh_faults_blind(&e->faults) || (!d->known && d->seen_s < 1.5f)) {
    return 1e9f; // fails open
  }
  return fh_detector_evidence(d);
}

void
fh_engine_tick(FhEngine* const e)
{
  fh_v8 close = {0}, ambient = {0};
  unfold(e, &close, &ambient);
  fh_faults_tick(e);

  e->delay[e->delay_position] = ambient;
  const fh_v8 delayed = e->delay[(e->delay_position + FH_MAX_DELAY_TICKS - e->ambient_delay) % FH_MAX_DELAY_TICKS];
  e->delay_position   = (e->delay_position + 1u) % FH_MAX_DELAY_TICKS;

  fh_detector_tick(&e->detector, close, delayed, watch(e));
  fh_decision_tick(&e->decision, evidence(e));
  if (e->controls[FH_MUTED] > 0.0f && e->decision.state != FH_STATE_CLOSED) {
    e->decision.state = FH_STATE_CLOSING;
    e->decision.gain  = toward(e->decision.gain, e->decision.floor, e->mix_slope);
  }
  fh_duck_tick(&e->duck, e->detector.duck.close, fh_detector_pickup(&e->detector));

  fh_learning_tick(e);
  fh_meters_tick(e);
  ramp_gains(e);
  ramp_mix(e);
  memset(&e->kernel.sums, 0, sizeof(e->kernel.sums));
}
