// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Wrong wiring and broken numbers: never silence where a soloist plays, never anything that is not a number.

#include "host.h"
#include "take.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000.0
#define NOTICE (RATE * 0.15) ///< Wrong wiring passes the close microphone through within 150 ms

/// Render one take of the solo plugin from frame `from` on
static void
render_from(const FhHost* const host,
            const float* const  close,
            const float* const  ambient,
            float* const        out,
            const uint32_t      from,
            const uint32_t      frames)
{
  const float* const ins[2] = {close + from, ambient ? ambient + from : NULL};
  float* const       outs[1] = {out + from};
  fh_host_render(host, ins, outs, frames, 256);
}

/// Wrong from the start: passed through bit by bit, and the fault port says why
static void
check_passed(const float* const ambient, const bool is_close, const FhFault fault)
{
  FhTake       take = fh_take_make(RATE, 2.0, 3u);
  float* const out = fh_samples(take.frames);
  FhHost       host;
  fh_host_open(&host, &fh_variants[0], RATE);
  render_from(&host, take.close[0], is_close ? take.close[0] : ambient, out, 0, take.frames);
  assert_memory_equal(out, take.close[0], take.frames * sizeof(float));
  assert_true(host.controls[FH_FAULT] == (float)fault);
  fh_host_close(&host);
  free(out);
  fh_take_free(&take);
}

static void
test_no_ambient(void** const state)
{
  (void)state;
  check_passed(NULL, false, FH_FAULT_NO_AMBIENT);
  float* const silence = fh_samples((uint32_t)(2.0 * RATE));
  check_passed(silence, false, FH_FAULT_NO_AMBIENT);
  free(silence);
}

static void
test_ambient_is_close(void** const state)
{
  (void)state;
  check_passed(NULL, true, FH_FAULT_AMBIENT_IS_CLOSE); // The same pointer

  FhTake       take = fh_take_make(RATE, 2.0, 3u);
  float* const copy = fh_samples(take.frames);
  memcpy(copy, take.close[0], take.frames * sizeof(float));
  check_passed(copy, false, FH_FAULT_AMBIENT_IS_CLOSE); // The same samples
  free(copy);
  fh_take_free(&take);
}

/// Wiring that breaks in the show: passed through soon after
static void
test_ambient_lost(void** const state)
{
  (void)state;
  FhTake         take = fh_take_make(RATE, 4.0, 4u);
  float* const   out = fh_samples(take.frames);
  const uint32_t lost = take.frames / 2;
  for (int is_same = 0; is_same < 2; ++is_same) {
    FhHost host;
    fh_host_open(&host, &fh_variants[0], RATE);
    render_from(&host, take.close[0], take.ambient, out, 0, lost);
    assert_true(host.controls[FH_FAULT] == (float)FH_FAULT_NONE);
    render_from(&host, take.close[0], is_same ? take.close[0] : NULL, out, lost, take.frames - lost);
    assert_true(host.controls[FH_FAULT] == (float)(is_same ? FH_FAULT_AMBIENT_IS_CLOSE : FH_FAULT_NO_AMBIENT));
    const uint32_t passed = lost + (uint32_t)NOTICE;
    assert_memory_equal(out + passed, take.close[0] + passed, (take.frames - passed) * sizeof(float));
    fh_host_close(&host);
  }
  free(out);
  fh_take_free(&take);
}

/// A microphone that is muted on purpose stays muted without an ambient
static void
test_muted_without_ambient(void** const state)
{
  (void)state;
  FhTake       take = fh_take_make(RATE, 2.0, 5u);
  float* const out = fh_samples(take.frames);
  FhHost       host;
  fh_host_open(&host, &fh_variants[0], RATE);
  host.controls[FH_MUTED] = 1.0f;
  render_from(&host, take.close[0], NULL, out, 0, take.frames);
  for (uint32_t i = take.frames / 2; i < take.frames; ++i) {
    assert_true(out[i] == 0.0f);
  }
  fh_host_close(&host);
  free(out);
  fh_take_free(&take);
}

static void
assert_finite(const float* const samples, const uint32_t frames)
{
  for (uint32_t i = 0; i < frames; ++i) {
    assert_true(isfinite(samples[i]));
  }
}

static double
rms(const float* const samples, const uint32_t frames)
{
  double sum = 0.0;
  for (uint32_t i = 0; i < frames; ++i) {
    sum += (double)samples[i] * (double)samples[i];
  }
  return sqrt(sum / frames);
}

/// Bursts of broken numbers in either microphone: the output stays finite, and is itself again after 2 s
static void
test_broken_samples(void** const state)
{
  (void)state;
  static const float broken[] = {NAN, INFINITY, -INFINITY, FLT_MAX, -FLT_MAX, FLT_TRUE_MIN, 1e-39f, 1e20f};

  FhTake       take = fh_take_make(RATE, 6.0, 6u);
  float* const clean = fh_samples(take.frames);
  float* const out = fh_samples(take.frames);
  const float  second = (float)RATE;
  const uint32_t tail = 4u * (uint32_t)second;
  for (int is_ambient = -1; is_ambient < 2; ++is_ambient) {
    for (size_t b = 0; b < sizeof(broken) / sizeof(broken[0]); ++b) {
      FhTake hit = fh_take_make(RATE, 6.0, 6u);
      for (uint32_t i = 2u * (uint32_t)second; is_ambient >= 0 && i < 2u * (uint32_t)second + 500u; ++i) {
        (is_ambient ? hit.ambient : hit.close[0])[i] = broken[b];
      }
      FhHost host;
      fh_host_open(&host, &fh_variants[0], RATE);
      render_from(&host, hit.close[0], hit.ambient, is_ambient < 0 ? clean : out, 0, hit.frames);
      if (is_ambient >= 0) {
        assert_finite(out, hit.frames);
        const double difference = 20.0 * log10(rms(out + tail, hit.frames - tail) / rms(clean + tail, hit.frames - tail));
        assert_true(fabs(difference) < 1.0);
      }
      for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
        assert_true(host.controls[i] >= fh_controls[i].min && host.controls[i] <= fh_controls[i].max);
      }
      fh_host_close(&host);
      fh_take_free(&hit);
      if (is_ambient < 0) {
        break;
      }
    }
  }
  free(clean);
  free(out);
  fh_take_free(&take);
}

/// What breaks in the show and comes back a second later: the port names it, and is clear again a second and 200 ms after
static void
test_broken_for_a_second(void** const state)
{
  (void)state;
  static const struct {
    float   sample;   ///< Written over the sound,
    float   sound;    ///< or added to so much of it
    int     mic;      ///< 0 close, 1 ambient
    FhFault fault;
  } rows[] = {
    {NAN, 0.0f, 0, FH_FAULT_BROKEN},   {-INFINITY, 0.0f, 1, FH_FAULT_BROKEN}, {0.0f, 0.0f, 0, FH_FAULT_NO_CLOSE},
    {0.0f, 0.0f, 1, FH_FAULT_NO_AMBIENT}, {0.1f, 1.0f, 0, FH_FAULT_OFFSET},   {-0.1f, 1.0f, 1, FH_FAULT_OFFSET},
    {0.0f, -1.0f, 0, FH_FAULT_NONE},      {0.0f, -1.0f, 1, FH_FAULT_NONE},
  };
  const uint32_t second = (uint32_t)RATE;
  float* const   out    = fh_samples(6u * second);
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    FhTake       take = fh_take_make(RATE, 6.0, 6u);
    float* const mic  = rows[r].mic ? take.ambient : take.close[0];
    for (uint32_t i = 2u * second; i < 3u * second; ++i) {
      mic[i] = (rows[r].sound != 0.0f ? rows[r].sound * mic[i] : 0.0f) + rows[r].sample;
    }
    FhHost host;
    fh_host_open(&host, &fh_variants[0], RATE);
    render_from(&host, take.close[0], take.ambient, out, 0, 2u * second);
    assert_int_equal((int)host.controls[FH_FAULT], FH_FAULT_NONE);
    render_from(&host, take.close[0], take.ambient, out, 2u * second, second);
    assert_int_equal((int)host.controls[FH_FAULT], rows[r].fault);
    render_from(&host, take.close[0], take.ambient, out, 3u * second, 6u * second / 5u);
    assert_int_equal((int)host.controls[FH_FAULT], FH_FAULT_NONE);
    assert_finite(out, 4u * second);
    fh_host_close(&host);
    fh_take_free(&take);
  }
  free(out);
}

/// Every control input at both ends, beyond, and broken; every output control in its declared range
static void
test_broken_controls(void** const state)
{
  (void)state;
  FhTake       take = fh_take_make(RATE, 0.6, 7u);
  float* const out[2] = {fh_samples(take.frames), fh_samples(take.frames)};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (unsigned n = 0; n < FH_INPUT_COUNT; ++n) {
      const unsigned          c    = fh_inputs[n];
      const FhPortInfo* const info = &fh_controls[c];
      const float             values[] = {
        info->min, info->max, info->min - 1e6f, info->max + 1e6f, NAN, INFINITY, -INFINITY, FLT_TRUE_MIN};
      FhHost host;
      fh_host_open(&host, &fh_variants[v], RATE);
      for (size_t i = 0; i < sizeof(values) / sizeof(values[0]); ++i) {
        const float* const ins[3] = {take.close[0], take.ambient, take.ambient};
        host.controls[c] = values[i];
        fh_host_render(&host, ins, out, take.frames / 4, 512);
        assert_finite(out[0], take.frames / 4);
        assert_finite(out[1], take.frames / 4);
        for (unsigned k = 0; k < FH_CONTROL_COUNT; ++k) {
          const bool is_in = host.controls[k] >= fh_controls[k].min && host.controls[k] <= fh_controls[k].max;
          assert_true(is_in || k == c);
        }
      }
      fh_host_close(&host);
    }
  }
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

/// No port connected at all, then all but one
static void
test_unconnected(void** const state)
{
  (void)state;
  FhTake       take = fh_take_make(RATE, 0.5, 8u);
  float* const out = fh_samples(take.frames);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    FhHost host;
    fh_host_open(&host, &fh_variants[v], RATE);
    for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
      fh_host_connect_control(&host, (FhControl)i, NULL);
    }
    const float* const no_ins[3] = {NULL};
    float* const       no_outs[2] = {NULL};
    fh_host_render(&host, no_ins, no_outs, take.frames, 1000);

    const float* const ins[3] = {take.close[0], take.close[1], NULL};
    float* const       outs[2] = {out, NULL};
    fh_host_render(&host, ins, outs, take.frames, 1000);
    assert_finite(out, take.frames);
    assert_true(rms(out, take.frames) > 0.0);
    fh_host_close(&host);
  }
  free(out);
  fh_take_free(&take);
}

/// All rates from 8 to 192 kHz
static void
test_rates(void** const state)
{
  (void)state;
  static const double rates[] = {8000, 11025, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
      FhTake       take = fh_take_make(rates[r], 1.0, 9u);
      float* const out[2] = {fh_samples(take.frames), fh_samples(take.frames)};
      const bool   is_pair = fh_variants[v].closes > 1;
      FhHost       host;
      fh_host_open(&host, &fh_variants[v], rates[r]);
      host.controls[FH_LOOKAHEAD] = 10.0f;
      const float* const ins[3] = {take.close[0], is_pair ? take.close[1] : take.ambient, take.ambient};
      fh_host_render(&host, ins, out, take.frames, 480);
      assert_finite(out[0], take.frames);
      assert_true(rms(out[0], take.frames) > 0.001);
      assert_true(host.controls[FH_LATENCY] == floorf((float)rates[r] * 0.010f + 0.5f));
      fh_host_close(&host);
      free(out[0]);
      free(out[1]);
      fh_take_free(&take);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_no_ambient),
    cmocka_unit_test(test_ambient_is_close),
    cmocka_unit_test(test_ambient_lost),
    cmocka_unit_test(test_muted_without_ambient),
    cmocka_unit_test(test_broken_samples),
    cmocka_unit_test(test_broken_for_a_second),
    cmocka_unit_test(test_broken_controls),
    cmocka_unit_test(test_unconnected),
    cmocka_unit_test(test_rates),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
