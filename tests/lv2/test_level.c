// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Never louder than the input in any octave band. The bands are those of IEC 61260-1 (base ten: G = 10^0.3, middles
// 1000 G^x, edges a half step away), measured by a Fourier transform: nothing of the engine's own split is used.

#include "host.h"
#include "take.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>

#define RATE 48000.0
#define PI 3.14159265358979323846
#define LENGTH 131072u ///< Frames transformed, a power of two (2.7 s)
#define OCTAVES 9      ///< 63 Hz to 16 kHz
#define TOLERANCE 0.05 ///< dB. The window moves a little power over an octave's edge

/// Discrete Fourier transform in place, radix 2 (Cooley and Tukey 1965), in double
static void
transform(double complex* const x, const uint32_t n)
{
  for (uint32_t i = 1, j = 0; i < n; ++i) {
    uint32_t bit = n >> 1;
    for (; j & bit; bit >>= 1) {
      j ^= bit;
    }
    j ^= bit;
    if (i < j) {
      const double complex swap = x[i];
      x[i] = x[j];
      x[j] = swap;
    }
  }
  for (uint32_t size = 2; size <= n; size *= 2) {
    const double complex turn = cos(2.0 * PI / size) - sin(2.0 * PI / size) * (double complex)I;
    for (uint32_t start = 0; start < n; start += size) {
      double complex w = 1.0;
      for (uint32_t k = 0; k < size / 2; ++k) {
        const double complex a = x[start + k];
        const double complex b = w * x[start + k + size / 2];
        x[start + k] = a + b;
        x[start + k + size / 2] = a - b;
        w *= turn;
      }
    }
  }
}

/// Mean square in each octave band, dB, seen through a Hann window
static void
octaves(const float* const samples, double levels[OCTAVES])
{
  double complex* const x = (double complex*)calloc(LENGTH, sizeof(double complex));
  assert_non_null(x);
  for (uint32_t i = 0; i < LENGTH; ++i) {
    x[i] = (double)samples[i] * (0.5 - 0.5 * cos(2.0 * PI * i / LENGTH));
  }
  transform(x, LENGTH);

  const double g = pow(10.0, 0.3);
  for (int band = 0; band < OCTAVES; ++band) {
    const double middle = 1000.0 * pow(g, band - 4);
    double       sum = 0.0;
    for (uint32_t k = 1; k < LENGTH / 2; ++k) {
      const double f = k * RATE / LENGTH;
      if (f >= middle * pow(g, -0.5) && f < middle * pow(g, 0.5)) {
        sum += creal(x[k]) * creal(x[k]) + cimag(x[k]) * cimag(x[k]);
      }
    }
    levels[band] = 10.0 * log10(sum + 1e-30);
  }
  free(x);
}

/// Every control input at random within its range; bypass, mute and listening left alone
static void
set_at_random(FhHost* const host, uint32_t* const seed)
{
  for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
    const FhPortInfo* const info = &fh_controls[i];
    if (info->flow == FH_INPUT && info->kind != FH_KIND_TOGGLE && i != FH_LISTEN) {
      const float part = (float)(fh_random(seed) % 1001u) / 1000.0f;
      host->controls[i] = info->min + part * (info->max - info->min);
    }
  }
}

static void
check_never_louder(const FhVariant* const variant, const FhTake* const take, uint32_t seed)
{
  const bool         is_pair = variant->closes > 1;
  const float* const ins[3] = {take->close[0], is_pair ? take->close[1] : take->ambient, take->ambient};
  float* const       outs[2] = {fh_samples(take->frames), fh_samples(take->frames)};
  FhHost             host;
  fh_host_open(&host, variant, RATE);
  fh_host_run(&host, 0);
  if (seed) {
    set_at_random(&host, &seed);
  }
  fh_host_render(&host, ins, outs, take->frames, 480);

  // The same stretch of sound on both sides, but for the few ms of the crossovers
  const uint32_t latency = (uint32_t)host.controls[FH_LATENCY];
  const uint32_t start = take->frames - LENGTH - 1920u;
  for (uint32_t c = 0; c < variant->closes; ++c) {
    double before[OCTAVES];
    double after[OCTAVES];
    octaves(take->close[c] + start, before);
    octaves(outs[c] + start + latency, after);
    for (int band = 0; band < OCTAVES; ++band) {
      if (after[band] > before[band] + TOLERANCE) {
        fail_msg("%s, octave %d: %.2f dB louder than the input", variant->uri, band, after[band] - before[band]);
      }
    }
  }
  fh_host_close(&host);
  free(outs[0]);
  free(outs[1]);
}

static void
test_defaults(void** const state)
{
  (void)state;
  FhTake take = fh_take_make(RATE, 5.0, 21u);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    check_never_louder(&fh_variants[v], &take, 0);
  }
  fh_take_free(&take);
}

static void
test_random_settings(void** const state)
{
  (void)state;
  FhTake take = fh_take_make(RATE, 4.0, 22u);
  for (uint32_t seed = 1; seed <= 24; ++seed) {
    check_never_louder(&fh_variants[seed % FH_VARIANT_COUNT], &take, seed * 7919u);
  }
  fh_take_free(&take);
}

/// Noise only in the close microphone, as strong in every octave: the gate is open, where gain would show most
static void
test_open(void** const state)
{
  (void)state;
  FhTake   take = fh_take_make(RATE, 4.0, 23u);
  uint32_t seed = 24u;
  for (uint32_t i = 0; i < take.frames; ++i) {
    take.close[0][i] = 0.5f * fh_random_sample(&seed);
  }
  check_never_louder(&fh_variants[0], &take, 0);
  fh_take_free(&take);
}

/// The yardstick itself: white noise of power P in dB has 10 lg(bandwidth / (rate / 2)) of it in each octave, and
/// a tone of -20 dBFS raised by 0.2 dB is seen as 0.2 dB
static void
test_yardstick(void** const state)
{
  (void)state;
  float* const samples = fh_samples(LENGTH);
  uint32_t     seed = 25u;
  double       sum = 0.0;
  for (uint32_t i = 0; i < LENGTH; ++i) {
    samples[i] = fh_random_sample(&seed);
    sum += (double)samples[i] * (double)samples[i];
  }
  double levels[OCTAVES];
  octaves(samples, levels);
  const double g = pow(10.0, 0.3);
  // Power of one side of the spectrum under a Hann window, mean square 3/8
  const double whole = 10.0 * log10(sum * LENGTH / 2.0 * 3.0 / 8.0);
  for (int band = 3; band < OCTAVES - 1; ++band) {
    const double middle = 1000.0 * pow(g, band - 4);
    const double width = middle * (pow(g, 0.5) - pow(g, -0.5));
    assert_true(fabs(levels[band] - whole - 10.0 * log10(width / (RATE / 2.0))) < 0.3);
  }

  double before[OCTAVES];
  for (int raised = 0; raised < 2; ++raised) {
    for (uint32_t i = 0; i < LENGTH; ++i) {
      samples[i] = (float)(0.1 * pow(10.0, raised * 0.01) * sin(2.0 * PI * 1000.0 * i / RATE));
    }
    octaves(samples, raised ? levels : before);
  }
  assert_true(fabs(levels[4] - before[4] - 0.2) < 0.001);
  free(samples);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_yardstick),
    cmocka_unit_test(test_defaults),
    cmocka_unit_test(test_random_settings),
    cmocka_unit_test(test_open),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
