// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

static const double max_lookahead_s = 0.010;

static double
sane_rate(const double rate)
{
  return rate >= FH_LEAST_RATE ? rate <= FH_MOST_RATE ? rate : FH_MOST_RATE : FH_LEAST_RATE;
}

/// A power of two near a third of a millisecond
static uint32_t
tick_frames(const double rate)
{
  uint32_t frames = 4;
  while (frames < FH_MAX_TICK && (double)frames * 4242.0 < rate) {
    frames *= 2;
  }
  return frames;
}

static size_t
rounded(const size_t bytes)
{
  return (bytes + 63u) & ~(size_t)63u;
}

static uint32_t
max_latency(const double rate)
{
  return (uint32_t)(max_lookahead_s * rate + 0.5);
}

size_t
fh_engine_size(const double rate, const uint32_t closes)
{
  (void)closes;
  return rounded(sizeof(FhEngine)) + rounded(FH_MAX_DELAY_TICKS * sizeof(fh_v8)) +
         rounded((max_latency(sane_rate(rate)) + 1u) * sizeof(FhLate));
}

FhEngine*
fh_engine_init(void* const memory, const double asked_rate, const uint32_t closes)
{
  const double rate = sane_rate(asked_rate);
  memset(memory, 0, fh_engine_size(rate, closes));

  FhEngine* const e = (FhEngine*)memory;
  e->kernel_run     = fh_kernel_choose();
  e->tick_run       = fh_engine_tick_choose();
  e->meters_show    = fh_meters_show_choose();
  e->rate           = rate;
  e->closes         = closes == 2u ? 2u : 1u;
  e->tick           = tick_frames(rate);
  e->max_latency    = max_latency(rate);

  const double ticks  = rate / (double)e->tick;
  e->ticks_per_second = (float)ticks;
  e->mix_slope        = (float)(1.0 / (0.010 * ticks));

  char* const after = (char*)memory + rounded(sizeof(FhEngine));
  char* const late  = after + rounded(FH_MAX_DELAY_TICKS * sizeof(fh_v8));
  e->delay          = (fh_v8*)(void*)after;

  fh_kernel_init(&e->kernel, rate, e->closes, e->tick, (FhLate*)(void*)late);
  fh_detector_init(&e->detector, ticks, fh_bands_usable(rate));
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    e->controls[i] = fh_controls[i].def;
  }
  e->learnt_s = -1.0;
  fh_engine_reset(e);
  return e;
}

/// One-pole coefficient per tick for a time in ms
static float
pole(const FhEngine* const e, const float ms)
{
  return expf(-1000.0f / (ms * e->ticks_per_second));
}

/// How much of each band lies between the key filter's edges, on a logarithmic axis
static void
set_key(FhEngine* const e, const float low, const float high)
{
  for (int k = 0; k < FH_BANDS; ++k) {
    const float from  = k > 0 ? fh_crossovers[k - 1] : 75.0f;
    const float to    = k < FH_CROSSOVERS ? fh_crossovers[k] : 19200.0f;
    const float inner = logf(fminf(to, high) / fmaxf(from, low)) / logf(to / from);

    e->detector.key[k] = e->detector.usable[k] * fminf(fmaxf(inner, 0.0f), 1.0f);
  }
}

static void
set_decision(FhEngine* const e)
{
  const float* const c = e->controls;
  FhDecision* const  d = &e->decision;

  const float ticks_per_ms = 0.001f * e->ticks_per_second;

  d->margin  = powf(10.0f, 0.1f * c[FH_OPEN_MARGIN]);
  d->keep    = powf(10.0f, 0.1f * (c[FH_OPEN_MARGIN] - c[FH_HYSTERESIS]));
  d->hold    = c[FH_HOLD] * ticks_per_ms;
  d->floor   = powf(10.0f, -0.05f * c[FH_RANGE]);
  d->attack  = fminf(1.0f, 1.0f / (c[FH_ATTACK] * ticks_per_ms));
  d->release = powf(d->floor, fminf(1.0f, 1.0f / (c[FH_RELEASE] * ticks_per_ms)));
}

static void
set_learning(FhEngine* const e)
{
  FhLearning* const l    = &e->learning;
  const float       port = e->controls[FH_LEARN];
  if (!e->fresh && port != l->last) {
    fh_learning_start(e, (FhLearn)port);
  }
  l->last = port;

  if (!e->fresh && e->controls[FH_CLEAR] > 0.0f && e->clear_last <= 0.0f) {
    fh_learning_clear(e);
  }
  e->clear_last = e->controls[FH_CLEAR];
}

/// Take over new values, made sane; false where nothing changed since the last block
static bool
take_controls(FhEngine* const e, const float controls[FH_CONTROL_COUNT])
{
  float given[FH_INPUT_COUNT];
  for (int n = 0; n < FH_INPUT_COUNT; ++n) {
    given[n] = controls[fh_inputs[n]];
  }
  if (!e->fresh && memcmp(given, e->given, sizeof(given)) == 0) {
    return false;
  }
  memcpy(e->given, given, sizeof(given));
  for (int n = 0; n < FH_INPUT_COUNT; ++n) {
    const int               i     = fh_inputs[n];
    const FhPortInfo* const info  = &fh_controls[i];
    const float             value = isfinite(controls[i]) ? fminf(fmaxf(controls[i], info->min), info->max) : info->def;
    e->controls[i]                = info->kind == FH_KIND_CHOICE ? floorf(value + 0.5f) : value;
  }
  return true;
}

/// Let the control values take effect, but for what acts when it is pressed
static void
apply_controls(FhEngine* const e)
{
  const float* const c = e->controls;

  const uint32_t latency = (uint32_t)(0.001 * (double)c[FH_LOOKAHEAD] * e->rate + 0.5);
  if (latency != e->kernel.latency) {
    fh_kernel_delay(&e->kernel, latency < e->max_latency ? latency : e->max_latency);
  }
  e->ambient_delay       = (uint32_t)(0.001f * c[FH_AMBIENT_DELAY] * e->ticks_per_second + 0.5f);
  e->detector.trim       = c[FH_PICKUP_TRIM];
  e->detector.track_s    = c[FH_TRACKING] > 0.0f ? c[FH_TRACKING_TIME] : 0.0f;
  e->duck.margin         = powf(10.0f, 0.1f * c[FH_DUCK_MARGIN]);
  e->duck.depth          = powf(10.0f, -0.1f * c[FH_DUCK_DEPTH]);
  e->duck.up             = pole(e, 1.0f);
  e->duck.down           = pole(e, c[FH_DUCK_RELEASE]);
  set_key(e, c[FH_LOW_CUT], c[FH_HIGH_CUT]);
  set_decision(e);
  fh_engine_want(e);
  fh_detector_refresh(&e->detector);
  if (e->silent) {
    e->mix = e->kernel.mix = e->wanted;
    fh_decision_reset(&e->decision, c[FH_MUTED] > 0.0f);
  }
}

void
fh_engine_set(FhEngine* const e, const float controls[FH_CONTROL_COUNT])
{
  if (!take_controls(e, controls)) {
    return;
  }
  set_learning(e);
  apply_controls(e);
  fh_engine_tell(e);
  e->fresh = false;
}

void
fh_engine_reset(FhEngine* const e)
{
  fh_learning_start(e, FH_LEARN_OFF); // ends what is going on, as its button would
  fh_kernel_reset(&e->kernel);
  memset((char*)e + offsetof(FhEngine, delay_position), 0, sizeof(*e) - offsetof(FhEngine, delay_position));
  memset(e->delay, 0, FH_MAX_DELAY_TICKS * sizeof(fh_v8));

  fh_detector_reset(&e->detector);
  fh_ears_reset(&e->ears);
  e->evidence = 0.0f;
  fh_meters_untouched(&e->meters);
  e->duck.gain = fh_v8_set(1.0f);

  // Untouched until an ambient that is one has been heard
  e->faults.no_ambient = e->faults.same = 1e9f;
  e->faults.settle                      = FH_SETTLE_S * e->ticks_per_second; // the averages fill first
  e->faults.fault                       = FH_FAULT_NO_AMBIENT;
  e->faults.closes                      = (float)e->closes;
  e->faults.blind                       = true;
  e->fresh = e->silent = true;
  apply_controls(e); // a host need not say them again
  fh_engine_tell(e);
}

void
fh_engine_run(FhEngine* const    e,
              const float* const close[],
              const float* const ambient,
              float* const       out[],
              float* const       thru,
              const uint32_t     frames)
{
  const bool      pair    = e->closes > 1u;
  const FhBuffers buffers = {{close[0], pair ? close[1] : NULL, ambient}, {out[0], pair ? out[1] : NULL}, thru};
  e->silent = e->silent && frames == 0;
  for (uint32_t offset = 0; offset < frames;) {
    const uint32_t left = e->tick - e->kernel.phase;
    const uint32_t n    = frames - offset < left ? frames - offset : left;
    if (e->kernel_run(&e->kernel, &buffers, offset, n, frames - offset - n)) {
      e->tick_run(e);
    }
    offset += n;
  }
}

void
fh_engine_meters(const FhEngine* const e, float controls[FH_CONTROL_COUNT])
{
  e->meters_show(e, controls);
}

uint32_t
fh_engine_news(const FhEngine* const e)
{
  return e->news;
}

uint32_t
fh_engine_learnt_news(const FhEngine* const e)
{
  return e->learnt_news;
}

float
fh_engine_gate(const FhEngine* const e)
{
  return e->decision.gain;
}
