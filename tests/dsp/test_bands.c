// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The crossover against what Linkwitz-Riley means: S. Linkwitz, "Active Crossover Networks for Noncoincident Drivers",
// JAES 24(1), 1976: both branches -6.02 dB at the crossover, 24 dB per octave for fourth order, sum an all-pass.

#include "check.h"

#include "dsp/kernel.h"

#include <complex.h>

#define unit ((double complex)I)

enum { LENGTH = 1 << 16, TICK = 16 };

static const FhMix wet = {.wet = 1.0f};

typedef struct {
  double  rate;
  double* impulse[FH_BANDS];
} Split;

/// Impulse response of one close microphone (0 or 1) through one band alone, written to `out`
static void
respond(const double rate, const uint32_t mic, const int band, double* const out)
{
  FhLate    late;
  FhKernel* kernel = aligned_alloc(64, (sizeof(FhKernel) + 63u) & ~(size_t)63u);
  fh_kernel_init(kernel, rate, 2u, TICK, &late);

  fh_v8 weight = {0};
  weight[band] = 1.0f;
  float in[TICK] = {0}, part[TICK];
  FhBuffers buffers = {0};
  buffers.in[mic]   = in;
  buffers.out[mic]  = part;

  const FhKernelRun run = fh_kernel_choose();
  for (int i = -2 * TICK; i < LENGTH; i += TICK) { // in silence the weights are aimed at, then ramp
    in[0] = i ? 0.0f : 1.0f;
    assert_true(run(kernel, &buffers, 0, TICK, 0));
    fh_kernel_aim(kernel, weight, &wet, &wet);
    for (int j = 0; i >= 0 && j < TICK; ++j) {
      out[i + j] = (double)part[j];
    }
  }
  free(kernel);
}

/// Impulse responses of all bands for one close microphone
static Split*
split_new(const double rate, const uint32_t mic)
{
  Split* const s = malloc(sizeof(Split));
  s->rate        = rate;
  for (int k = 0; k < FH_BANDS; ++k) {
    s->impulse[k] = calloc(LENGTH, sizeof(double));
    respond(rate, mic, k, s->impulse[k]);
  }
  return s;
}

static void
split_free(Split* const s)
{
  for (int k = 0; k < FH_BANDS; ++k) {
    free(s->impulse[k]);
  }
  free(s);
}

static double complex
response(const Split* const s, const int band, const double hz)
{
  const double complex turn = cexp(-unit * tau * hz / s->rate);
  double complex       sum = 0.0, z = 1.0;
  for (int i = 0; i < LENGTH; ++i) {
    sum += s->impulse[band][i] * z;
    z *= turn;
  }
  return sum;
}

static double complex
response_sum(const Split* const s, const double hz)
{
  double complex sum = 0.0;
  for (int k = 0; k < FH_BANDS; ++k) {
    sum += response(s, k, hz);
  }
  return sum;
}

static double
db(const double complex h)
{
  return 20.0 * log10(cabs(h));
}

/// Magnitude of a fourth-order Linkwitz-Riley branch, 1 / (1 + u^4), with u warped as the bilinear transform does
static double
branch_db(const double rate, const int crossover, const double hz, const int upward)
{
  const double u = tan(0.5 * tau * hz / rate) / tan(0.5 * tau * (double)fh_crossovers[crossover] / rate);
  return -20.0 * log10(1.0 + pow(u, upward ? -4.0 : 4.0));
}

static void
crossovers_are_6_db_down(void** const state)
{
  (void)state;
  assert_true(fabs(branch_db(48000.0, 3, 1200.0, 0) + 6.02) < 0.001);
  Split* const s = split_new(48000.0, 0);
  // At 1200 Hz both sides of the tree meet; of each side's other crossovers the nearer, an octave off, takes 0.53 dB
  // more, the farther 0.03 dB
  check_near(db(response(s, 3, 1200.0)), -6.02 - 0.53 - 0.03, 0.02);
  check_near(db(response(s, 4, 1200.0)), -6.02 - 0.53 - 0.03, 0.1); // nearer Nyquist the upper ones are warped
  split_free(s);
}

// Which crossovers a band passes on its way through the tree, and to which side (1: up)
static const struct {
  int crossover[3], upward[3];
} way[FH_BANDS] = {
  {{3, 1, 0}, {0, 0, 0}},
  {{3, 1, 0}, {0, 0, 1}},
  {{3, 1, 2}, {0, 1, 0}},
  {{3, 1, 2}, {0, 1, 1}},
  {{3, 5, 4}, {1, 0, 0}},
  {{3, 5, 4}, {1, 0, 1}},
  {{3, 5, 6}, {1, 1, 0}},
  {{3, 5, 6}, {1, 1, 1}},
};

static void
bands_follow_the_formula(void** const state)
{
  (void)state;
  Split* const s = split_new(96000.0, 1);
  for (int k = 0; k < FH_BANDS; ++k) {
    for (double hz = 40.0; hz < 30000.0; hz *= 1.37) {
      double want = 0.0;
      for (int i = 0; i < 3; ++i) {
        want += branch_db(96000.0, way[k].crossover[i], hz, way[k].upward[i]);
      }
      if (want > -70.0) {
        check_near(db(response(s, k, hz)), want, 0.05);
      }
    }
  }
  split_free(s);
}

/// Product of the seven second-order all-passes at the crossovers (warped as the bilinear transform does), times `sign`
static double complex
allpass(const double rate, const double hz)
{
  double complex h = 1.0;
  for (int i = 0; i < FH_CROSSOVERS; ++i) {
    const double g = tan(0.5 * tau * fmin((double)fh_crossovers[i], 0.49 * rate) / rate);
    const double complex p = unit * tan(0.5 * tau * hz / rate) / g;
    h *= (p * p - sqrt(2.0) * p + 1.0) / (p * p + sqrt(2.0) * p + 1.0);
  }
  return h;
}

static void
sum_is_the_allpass(void** const state)
{
  (void)state;
  static const double rates[] = {8000.0, 22050.0, 44100.0, 48000.0, 96000.0, 192000.0};
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    Split* const s = split_new(rates[r], (uint32_t)r % 2u);
    for (double hz = 20.0; hz < 0.48 * rates[r]; hz *= 1.31) {
      const double complex got = response_sum(s, hz);
      check_near(db(got), 0.0, 0.002); // flat: the limit is single precision
      check_near(cabs(got - allpass(rates[r], hz)), 0.0, 0.002);
    }
    split_free(s);
  }
}

// What one microphone hears must not turn up in another's output or power
static void
lanes_do_not_mix(void** const state)
{
  (void)state;
  FhLate    late;
  FhKernel* kernel = aligned_alloc(64, (sizeof(FhKernel) + 63u) & ~(size_t)63u);
  for (uint32_t mic = 0; mic < FH_MICS; ++mic) {
    fh_kernel_init(kernel, 48000.0, 2u, TICK, &late);
    float           in[TICK], out[2][TICK];
    FhBuffers       buffers = {{0}, {out[0], out[1]}, NULL};
    Noise           n       = {1};
    buffers.in[mic]         = in;
    const FhKernelRun run   = fh_kernel_choose();
    for (int i = 0; i < 1000; i += TICK) {
      for (int j = 0; j < TICK; ++j) {
        in[j] = (float)noise_normal(&n);
      }
      assert_true(run(kernel, &buffers, 0, TICK, 0));
      fh_kernel_aim(kernel, fh_v8_set(1.0f), &wet, &wet);
      for (int k = 0; k < FH_BANDS; ++k) {
        assert_int_equal(kernel->running.sums.close[k] > 0.0f, mic != FH_MIC_AMBIENT);
        assert_int_equal(kernel->running.sums.ambient[k] > 0.0f, mic == FH_MIC_AMBIENT);
      }
      for (int j = 0; j < TICK; ++j) {
        assert_true(mic == 0 || out[0][j] == 0.0f);
        assert_true(mic == 1 || out[1][j] == 0.0f);
      }
    }
  }
  free(kernel);
}

static void
bands_above_nyquist_drop_out(void** const state)
{
  (void)state;
  assert_int_equal(fh_bands_usable(8000.0), 6); // 2400 Hz * sqrt(2) is below 4000 Hz, 4800 Hz is not
  assert_int_equal(fh_bands_usable(48000.0), 8);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(crossovers_are_6_db_down),
    cmocka_unit_test(bands_follow_the_formula),
    cmocka_unit_test(sum_is_the_allpass),
    cmocka_unit_test(lanes_do_not_mix),
    cmocka_unit_test(bands_above_nyquist_drop_out),
  };
  return cmocka_run_group_tests_name("bands", tests, NULL, NULL);
}
