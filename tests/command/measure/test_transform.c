// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The Fourier transform against its definition, summed slowly in double precision

#undef NDEBUG

#include "command/measure/transform.h"

#include "../../noise.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_PI 3.14159265358979323846
#define FH_ROOM 4096
#define FH_ERROR 1e-6 // of the largest value, -120 dB: single precision has 6e-8 a step, and there are a dozen steps

typedef struct {
  double signal[FH_ROOM];
  FhBin  bins[FH_ROOM / 2 + 1];
  double again[FH_ROOM];
} Work;

/// Sums of signal times exp(-2 pi i bin point / size)
static void
slow_transform(const double* const signal, const size_t size, FhBin* const bins)
{
  memset(bins, 0, (size / 2 + 1) * sizeof(*bins));
  for (size_t bin = 0; bin <= size / 2; ++bin) {
    for (size_t i = 0; i < size; ++i) {
      const double angle = 2.0 * FH_PI * (double)(bin * i % size) / (double)size;
      bins[bin][0] += signal[i] * cos(angle);
      bins[bin][1] -= signal[i] * sin(angle);
    }
  }
}

/// Forward and back at a size, of a signal of noise with a loud line in it
static void
try_size(const size_t size)
{
  Work* const        w     = calloc(1, sizeof(*w));
  FhBin* const       found = calloc(FH_ROOM, sizeof(*found));
  FhTransform* const t     = fh_transform_new(size);
  assert_true(w && found && t);
  uint32_t seed = 7;
  for (size_t i = 0; i < size; ++i) {
    w->signal[i] = 0.01 * fh_noise(&seed) + sin(2.0 * FH_PI * 5.0 * (double)i / (double)size);
  }
  slow_transform(w->signal, size, w->bins);
  fh_transform_forward(t, w->signal, found);
  double largest = 0.0;
  double error   = 0.0;
  for (size_t bin = 0; bin <= size / 2; ++bin) {
    largest = fmax(largest, hypot(w->bins[bin][0], w->bins[bin][1]));
    error   = fmax(error, hypot(found[bin][0] - w->bins[bin][0], found[bin][1] - w->bins[bin][1]));
  }
  if (!(largest > 0.4 * (double)size && error < FH_ERROR * largest)) {
    fail_msg("%zu points: error %g of %g", size, error, largest);
  }
  fh_transform_back(t, (const FhBin*)w->bins, w->again);
  for (size_t i = 0; i < size; ++i) {
    assert_true(fabs(w->again[i] / (double)size - w->signal[i]) < FH_ERROR);
  }
  fh_transform_free(t);
  free(found);
  free(w);
}

static void
test_definition(void** const state)
{
  (void)state;
  try_size(16);
  try_size(1024);
  try_size(4096);
  try_size(2 * 13 * 53); // a quarter of a second at 44100 Hz has such factors
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_definition)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
