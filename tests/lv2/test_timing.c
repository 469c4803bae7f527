// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Latency as declared, and a bypass that keeps it and does not click. Held against
// the delay found in the sound itself; LV2 core's latency and enabled.

#include "host.h"
#include "take.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000.0
#define PI 3.14159265358979323846

/// Bypassed, the output is the input `latency` frames later, bit by bit; so is the ambient that track passes on
static void
test_latency(void** const state)
{
  (void)state;
  static const float lookaheads[] = {0.0f, 0.5f, 3.3f, 10.0f};

  FhTake       take = fh_take_make(RATE, 1.0, 11u);
  float* const out[2] = {fh_samples(take.frames), fh_samples(take.frames)};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (size_t i = 0; i < sizeof(lookaheads) / sizeof(lookaheads[0]); ++i) {
      const FhVariant* const variant = &fh_variants[v];
      const bool             is_pair = variant->closes > 1;
      FhHost                 host;
      fh_host_open(&host, variant, RATE);
      host.controls[FH_ENABLED] = 0.0f;
      host.controls[FH_LOOKAHEAD] = lookaheads[i];
      const float* const ins[3] = {take.close[0], is_pair ? take.close[1] : take.ambient, take.ambient};
      fh_host_render(&host, ins, out, take.frames, 333);

      const uint32_t latency = (uint32_t)host.controls[FH_LATENCY];
      assert_int_equal(latency, (uint32_t)lround((double)lookaheads[i] * RATE / 1000.0));
      for (uint32_t n = 0; n < take.frames; ++n) {
        assert_true(out[0][n] == (n < latency ? 0.0f : take.close[0][n - latency]));
        if (variant->outs > 1) {
          const float* const second = is_pair ? take.close[1] : take.ambient;
          assert_true(out[1][n] == (n < latency ? 0.0f : second[n - latency]));
        }
      }
      fh_host_close(&host);
    }
  }
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

/// The latency of the processed path is the same: the peak of the cross-correlation of output and input of an open
/// gate stays where the crossovers put it, plus the latency
static int
best_lag(const float* const in, const float* const out, const uint32_t frames)
{
  int    best = 0;
  double most = 0.0;
  for (int lag = 0; lag < 800; ++lag) {
    double sum = 0.0;
    for (uint32_t n = 0; n + 800u < frames; ++n) {
      sum += (double)in[n] * (double)out[n + (uint32_t)lag];
    }
    if (sum > most) {
      most = sum;
      best = lag;
    }
  }
  return best;
}

static void
test_same_latency_enabled(void** const state)
{
  (void)state;
  FhTake       take = fh_take_make(RATE, 1.0, 12u);
  float* const out = fh_samples(take.frames);
  int          lags[2] = {0};
  for (int is_ahead = 0; is_ahead < 2; ++is_ahead) {
    uint32_t seed = 5u;
    for (uint32_t n = 0; n < take.frames; ++n) {
      take.close[0][n] = 0.3f * fh_random_sample(&seed); // Far louder than the pickup: open
    }
    FhHost host;
    fh_host_open(&host, &fh_variants[0], RATE);
    host.controls[FH_DUCK_DEPTH] = 0.0f;
    host.controls[FH_LOOKAHEAD] = is_ahead ? 10.0f : 0.0f;
    const float* const ins[2] = {take.close[0], take.ambient};
    float* const       outs[1] = {out};
    fh_host_render(&host, ins, outs, take.frames, 512);
    assert_true(host.controls[FH_STATE] == (float)FH_STATE_OPEN);
    lags[is_ahead] = best_lag(take.close[0] + 24000, out + 24000, take.frames - 24000);
    fh_host_close(&host);
  }
  assert_int_equal(lags[1] - lags[0], 480);
  free(out);
  fh_take_free(&take);
}

/// The largest step from sample to sample
static float
largest_step(const float* const samples, const uint32_t frames)
{
  float most = 0.0f;
  for (uint32_t i = 1; i < frames; ++i) {
    most = fmaxf(most, fabsf(samples[i] - samples[i - 1]));
  }
  return most;
}

/// Switch a control every 50 ms under a loud 100 Hz tone. A click is a step: a tone of amplitude A steps by at
/// most 2 pi f / rate A. A fade of at least 5 ms between two states of it adds at most 2 A over 240 frames. The
/// noise of the ambient steps by less than 0.001.
static void
check_switching(const FhControl control, const float on, const float off, const bool is_loud)
{
  const uint32_t frames = (uint32_t)(3.0 * RATE);
  const float    amplitude = 0.5f;
  float* const   tone = fh_samples(frames);
  float* const   ambient = fh_samples(frames);
  float* const   out = fh_samples(frames);
  uint32_t       seed = 13u;
  for (uint32_t i = 0; i < frames; ++i) {
    tone[i] = amplitude * (float)sin(2.0 * PI * 100.0 * i / RATE);
    // Loud: the tone leaks from the ambient, so the gate is shut. Soft: the gate is open.
    ambient[i] = (is_loud ? 0.9f : 0.01f) * tone[i] + 0.0003f * fh_random_sample(&seed);
  }

  FhHost host;
  fh_host_open(&host, &fh_variants[0], RATE);
  const uint32_t block = 2400;
  for (uint32_t done = 0; done + block <= frames; done += block) {
    host.controls[control] = (done / block) % 2 ? on : off;
    const float* const ins[2] = {tone + done, ambient + done};
    float* const       outs[1] = {out + done};
    fh_host_render(&host, ins, outs, block, block);
  }
  const float allowed = amplitude * (float)(2.0 * PI * 100.0 / RATE + 2.0 / 240.0) + 0.001f;
  const float step = largest_step(out + 480, frames - 480);
  assert_true(step <= allowed);
  assert_true(step > 0.0f);
  fh_host_close(&host);
  free(tone);
  free(ambient);
  free(out);
}

static void
test_bypass_clicks(void** const state)
{
  (void)state;
  check_switching(FH_ENABLED, 0.0f, 1.0f, true);
  check_switching(FH_ENABLED, 0.0f, 1.0f, false);
}

static void
test_switch_clicks(void** const state)
{
  (void)state;
  check_switching(FH_MUTED, 1.0f, 0.0f, true);
  check_switching(FH_MUTED, 1.0f, 0.0f, false);
  for (int listen = FH_LISTEN_CLOSE; listen <= FH_LISTEN_REMOVED; ++listen) {
    check_switching(FH_LISTEN, (float)listen, 0.0f, false);
  }
}

/// Bypassed, the decision goes on: meters live, and no wait after switching back
static void
test_bypass_keeps_listening(void** const state)
{
  (void)state;
  FhTake       take = fh_take_make(RATE, 4.0, 14u);
  float* const out[2] = {fh_samples(take.frames), fh_samples(take.frames)};
  const uint32_t half = take.frames / 2;
  for (int is_bypassed = 0; is_bypassed < 2; ++is_bypassed) {
    FhHost host;
    fh_host_open(&host, &fh_variants[0], RATE);
    host.controls[FH_ENABLED] = is_bypassed ? 0.0f : 1.0f;
    const float* const ins[2] = {take.close[0], take.ambient};
    float* const       outs[1] = {out[is_bypassed]};
    fh_host_render(&host, ins, outs, half, 512);
    host.controls[FH_ENABLED] = 1.0f;
    const float* const ins2[2] = {take.close[0] + half, take.ambient + half};
    float* const       outs2[1] = {out[is_bypassed] + half};
    fh_host_render(&host, ins2, outs2, take.frames - half, 512);
    fh_host_close(&host);
  }
  const uint32_t after = half + (uint32_t)(0.02 * RATE);
  assert_memory_equal(out[1] + after, out[0] + after, (take.frames - after) * sizeof(float));
  assert_memory_equal(out[1], take.close[0], half * sizeof(float));
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_latency),
    cmocka_unit_test(test_same_latency_enabled),
    cmocka_unit_test(test_bypass_clicks),
    cmocka_unit_test(test_switch_clicks),
    cmocka_unit_test(test_bypass_keeps_listening),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
