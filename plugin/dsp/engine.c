// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

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
  return (uint32_t)(fh_max_lookahead_s * rate + 0.5);
}

size_t
fh_engine_size(const double rate, const uint32_t closes)
{
  (void)closes;
  return rounded(sizeof(FhEngine)) + rounded((max_latency(sane_rate(rate)) + 1u) * sizeof(FhLate));
}

static FhSetup
set_up(const double rate, const uint32_t closes)
{
  const uint32_t tick  = tick_frames(rate);
  const double   ticks = rate / (double)tick;
  FhSetup        s     = {.kernel_run       = fh_kernel_choose(),
                          .tick_run         = fh_engine_tick_choose(),
                          .meters_show      = fh_meters_show_choose(),
                          .rate             = rate,
                          .closes           = closes == 2u ? 2u : 1u,
                          .tick             = tick,
                          .max_latency      = max_latency(rate),
                          .ticks_per_second = (float)ticks,
                          .mix_slope        = (float)(1.0 / (fh_mix_s * ticks))};
  s.hops_per_second    = s.ticks_per_second / FH_HOP_TICKS;
  s.hop_s              = 1.0f / s.hops_per_second;
  const int usable     = fh_bands_usable(rate);
  for (int k = 0; k < FH_BANDS; ++k) {
    s.usable[k] = k < usable ? 1.0f : 0.0f;
  }
  fh_detector_setup(&s);
  return s;
}

FhEngine*
fh_engine_init(void* const memory, const double asked_rate, const uint32_t closes)
{
  const double rate = sane_rate(asked_rate);
  memset(memory, 0, fh_engine_size(rate, closes));

  FhEngine* const e    = (FhEngine*)memory;
  char* const     late = (char*)memory + rounded(sizeof(FhEngine));
  e->setup             = set_up(rate, closes);
  e->learnt            = (FhMemory){.field = fh_field_unknown(), .usual = fh_usual_unknown(), .age_s = -1.0};
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    e->settings.controls[i] = fh_controls[i].def;
  }
  fh_kernel_init(&e->kernel, rate, e->setup.closes, e->setup.tick, (FhLate*)(void*)late);
  fh_engine_reset(e);
  return e;
}

/// One-pole coefficient per tick for a time in ms
static float
pole(const FhEngine* const e, const float ms)
{
  return expf(-1000.0f / (ms * e->setup.ticks_per_second));
}

/// How much of each band lies between the key filter's edges, on a logarithmic axis, of the most in any; where that is nothing, all
static void
set_key(FhEngine* const e, const float low_cut, const float high_cut)
{
  const bool  some = 1.01f * low_cut < high_cut;
  const float low  = some ? low_cut : fh_lowest_hz;
  const float high = some ? high_cut : fh_highest_hz;
  float       most = 0.0f;
  for (int k = 0; k < FH_BANDS; ++k) {
    const float from  = k > 0 ? fh_crossovers[k - 1] : fh_lowest_hz;
    const float to    = k < FH_CROSSOVERS ? fh_crossovers[k] : fh_highest_hz;
    const float inner = logf(fminf(to, high) / fmaxf(from, low)) / logf(to / from);

    e->settings.key[k] = e->setup.usable[k] * fminf(fmaxf(inner, 0.0f), 1.0f);
    most               = fmaxf(most, e->settings.key[k]);
  }
  e->settings.key *= 1.0f / most;
}

static void
set_decision(FhEngine* const e)
{
  const float* const c = e->settings.controls;
  FhDecision* const  d = &e->settings.decision;

  const float ticks_per_ms = 0.001f * e->setup.ticks_per_second;

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
  FhLearning* const l     = &e->running.learning;
  const float       port  = e->settings.controls[FH_LEARN];
  const float       clear = e->settings.controls[FH_CLEAR];
  if (!e->running.fresh && port != l->last) {
    fh_learning_start(e, (FhLearn)port);
  }
  l->last = port;

  if (!e->running.fresh && clear > 0.0f && l->clear_last <= 0.0f) {
    fh_learning_clear(e);
  }
  l->clear_last = clear;
}

/// Take over new values, made sane; false where nothing changed since the last block
static bool
take_controls(FhEngine* const e, const float controls[FH_CONTROL_COUNT])
{
  float given[FH_INPUT_COUNT];
  for (int n = 0; n < FH_INPUT_COUNT; ++n) {
    given[n] = controls[fh_inputs[n]];
  }
  if (!e->running.fresh && memcmp(given, e->settings.given, sizeof(given)) == 0) {
    return false;
  }
  memcpy(e->settings.given, given, sizeof(given));
  for (int n = 0; n < FH_INPUT_COUNT; ++n) {
    const int               i     = fh_inputs[n];
    const FhPortInfo* const info  = &fh_controls[i];
    const float             value = isfinite(controls[i]) ? fminf(fmaxf(controls[i], info->min), info->max) : info->def;
    e->settings.controls[i]       = info->kind == FH_KIND_CHOICE ? floorf(value + 0.5f) : value;
  }
  return true;
}

/// Let the control values take effect, but for what acts when it is pressed
static void
apply_controls(FhEngine* const e)
{
  const float* const c = e->settings.controls;
  FhSettings* const  s = &e->settings;

  const uint32_t latency = (uint32_t)(0.001 * (double)c[FH_LOOKAHEAD] * e->setup.rate + 0.5);
  if (latency != e->kernel.latency) {
    fh_kernel_delay(&e->kernel, latency < e->setup.max_latency ? latency : e->setup.max_latency);
  }
  s->ambient_delay = (uint32_t)(0.001f * c[FH_AMBIENT_DELAY] * e->setup.ticks_per_second + 0.5f);
  s->trim          = c[FH_PICKUP_TRIM];
  s->track_s       = c[FH_TRACKING] > 0.0f ? c[FH_TRACKING_TIME] : 0.0f;
  s->duck.margin   = powf(10.0f, 0.1f * c[FH_DUCK_MARGIN]);
  s->duck.depth    = powf(10.0f, -0.1f * c[FH_DUCK_DEPTH]);
  s->duck.up       = pole(e, fh_duck_up_ms);
  s->duck.down     = pole(e, c[FH_DUCK_RELEASE]);
  set_key(e, c[FH_LOW_CUT], c[FH_HIGH_CUT]);
  set_decision(e);
  fh_engine_want(e);
  fh_detector_refresh(e);
  if (e->running.silent) {
    e->running.mix = e->kernel.running.mix = e->running.wanted;
    fh_gate_start(&e->running.gate, &s->decision, c[FH_MUTED] > 0.0f);
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
  e->running.fresh = false;
}

/// What runs where nothing has been heard yet. Untouched until an ambient that is one has been heard
static FhRunning
start(const FhEngine* const e)
{
  const FhFaults faults = {.no_ambient = 1e9f,
                           .same       = 1e9f,
                           .settle     = FH_SETTLE_S * e->setup.ticks_per_second, // the averages fill first
                           .fault      = FH_FAULT_NO_AMBIENT,
                           .closes     = (float)e->setup.closes,
                           .blind      = true};
  FhRunning      r      = {.fresh       = true,
                           .silent      = true,
                           .hops        = e->running.hops,
                           .news        = e->running.news,
                           .learnt_news = e->running.learnt_news,
                           .detector    = fh_detector_start(e->setup.moment_hops),
                           .duck_gain   = fh_v8_set(1.0f),
                           .faults      = faults};
  fh_ears_start(&r.ears, &e->learnt.usual.ears);
  fh_meters_untouched(&r.meters);
  return r;
}

void
fh_engine_reset(FhEngine* const e)
{
  fh_learning_start(e, FH_LEARN_OFF); // ends what is going on, as its button would
  e->running = start(e);
  fh_detector_recall(e);
  fh_kernel_reset(&e->kernel);
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
  const bool      pair    = e->setup.closes > 1u;
  const FhBuffers buffers = {{close[0], pair ? close[1] : NULL, ambient}, {out[0], pair ? out[1] : NULL}, thru};
  e->running.silent = e->running.silent && frames == 0;
  for (uint32_t offset = 0; offset < frames;) {
    const uint32_t left = e->setup.tick - e->kernel.running.phase;
    const uint32_t n    = frames - offset < left ? frames - offset : left;
    if (e->setup.kernel_run(&e->kernel, &buffers, offset, n, frames - offset - n)) {
      e->setup.tick_run(e);
    }
    offset += n;
  }
}

void
fh_engine_meters(const FhEngine* const e, float controls[FH_CONTROL_COUNT])
{
  e->setup.meters_show(e, controls);
}

uint32_t
fh_engine_news(const FhEngine* const e)
{
  return e->running.news;
}

uint32_t
fh_engine_learnt_news(const FhEngine* const e)
{
  return e->running.learnt_news;
}

float
fh_engine_phase(const FhEngine* const e)
{
  // Alike in what is left of it by 8, and by 3
  const int ticks = (9 * e->running.detector.filled + 16 * e->running.ears.filled) % FH_PHASE_TICKS;
  return (float)ticks + (float)(int)e->kernel.running.phase * e->kernel.per_frame;
}

float
fh_engine_gate(const FhEngine* const e)
{
  return e->running.gate.gain;
}
