// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The crossover against what Linkwitz-Riley means: S. Linkwitz, "Active Crossover Networks for Noncoincident Drivers",
// JAES 24(1), 1976: both branches -6.02 dB at the crossover, 24 dB per octave for fourth order, sum an all-pass.

#include "check.h"

#include "dsp/bands.h"

#include <complex.h>

#define unit ((double complex)I)

enum { LENGTH = 1 << 16 };

typedef struct {
  double  rate;
  FhBands bands;
  double* impulse[FH_BANDS];
} Split;

/// Impulse responses of all bands for microphone lane `mic`
static Split*
split_new(const double rate, const int mic)
{
  Split* const s = aligned_alloc(64, (sizeof(Split) + 63u) & ~(size_t)63u);
  s->rate        = rate;
  fh_bands_init(&s->bands, rate);
  for (int k = 0; k < FH_BANDS; ++k) {
    s->impulse[k] = calloc(LENGTH, sizeof(double));
  }
  for (int i = 0; i < LENGTH; ++i) {
    fh_v4 x = {0};
    x[mic]  = i ? 0.0f : 1.0f;
    fh_v8 out[FH_FOLDED];
    fh_bands_split(&s->bands, x, out);
    for (int j = 0; j < FH_FOLDED; ++j) {
      s->impulse[j][i]     = (double)out[j][mic];
      s->impulse[j + 4][i] = (double)out[j][mic + 4];
    }
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
    Split* const s = split_new(rates[r], 2);
    for (double hz = 20.0; hz < 0.48 * rates[r]; hz *= 1.31) {
      const double complex got = response_sum(s, hz);
      check_near(db(got), 0.0, 0.002); // flat: the limit is single precision
      check_near(cabs(got - allpass(rates[r], hz)), 0.0, 0.002);
    }
    split_free(s);
  }
}

static void
lanes_do_not_mix(void** const state)
{
  (void)state;
  FhBands* const bands = aligned_alloc(64, (sizeof(FhBands) + 63u) & ~(size_t)63u);
  fh_bands_init(bands, 48000.0);
  Noise n = {1};
  for (int i = 0; i < 1000; ++i) {
    fh_v8 out[FH_FOLDED];
    fh_bands_split(bands, (fh_v4){(float)noise_normal(&n), 0.0f, 0.0f, 0.0f}, out);
    for (int j = 0; j < FH_FOLDED; ++j) {
      for (int lane = 1; lane < 4; ++lane) {
        assert_true(out[j][lane] == 0.0f && out[j][lane + 4] == 0.0f);
      }
    }
  }
  free(bands);
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
