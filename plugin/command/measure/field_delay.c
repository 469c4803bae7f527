// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/field_delay.h"

#include "command/measure/filter.h"

#include <math.h>
#include <stdlib.h>

#define ENVELOPE_RATE 1000 // a second
#define MAX_LAG 60         // ms
#define SLOW 200           // ms over which the mean level is taken out

/// Level of one channel in dB every millisecond, less its mean over the last and next tenth of a second
static void
envelope(const FhTake* const take, const uint32_t channel, const FhStretch* const stretch, float* const out,
         const size_t n)
{
  const double rate   = take->sound.rate;
  FhFilter     filter = fh_filter_make(rate, 250.0, 4000.0);
  double*      level  = (double*)calloc(n + 1, sizeof(double)); // running sums
  for (size_t i = 0; level && i < n; ++i) {
    const size_t start = (size_t)((stretch->start + (double)i / ENVELOPE_RATE) * rate);
    const size_t end   = (size_t)((stretch->start + (double)(i + 1) / ENVELOPE_RATE) * rate);
    double       sum   = 1e-12;
    for (size_t j = start; j < end && j < take->sound.frames; ++j) {
      const double x = fh_filter_run(&filter, (double)take->sound.data[channel][j]);
      sum += x * x;
    }
    out[i]       = (float)(10.0 * log10(sum));
    level[i + 1] = level[i] + (double)out[i];
  }
  for (size_t i = 0; level && i < n; ++i) {
    const size_t from = i < SLOW / 2 ? 0 : i - SLOW / 2;
    const size_t to   = i + SLOW / 2 < n ? i + SLOW / 2 : n;
    out[i] -= (float)((level[to] - level[from]) / (double)(to - from));
  }
  free(level);
}

/// Sums over one stretch for every lag: close later than ambient by `lag` ms
typedef struct {
  double product[2 * MAX_LAG + 1];
  double close[2 * MAX_LAG + 1];
  double ambient[2 * MAX_LAG + 1];
} LagSums;

static void
add_stretch(LagSums* const sums, const FhTake* const take, const FhStretch* const stretch)
{
  const size_t n       = (size_t)((stretch->end - stretch->start) * ENVELOPE_RATE);
  float* const close   = (float*)calloc(n + 1, sizeof(float));
  float* const ambient = (float*)calloc(n + 1, sizeof(float));
  if (close && ambient && n > 3 * MAX_LAG) {
    envelope(take, 0, stretch, close, n);
    envelope(take, take->variant->closes, stretch, ambient, n);
    for (size_t i = MAX_LAG; i < n - MAX_LAG; ++i) {
      for (size_t lag = 0; lag <= 2 * MAX_LAG; ++lag) {
        const double x = (double)close[i];
        const double y = (double)ambient[i + MAX_LAG - lag];
        sums->product[lag] += x * y;
        sums->close[lag] += x * x;
        sums->ambient[lag] += y * y;
      }
    }
  }
  free(close);
  free(ambient);
}

double
fh_field_delay(const FhTake* const take, const FhStretches* const stretches, double* const correlation)
{
  LagSums sums = {0};
  for (size_t i = 0; i < stretches->count; ++i) {
    add_stretch(&sums, take, &stretches->at[i]);
  }
  double r[2 * MAX_LAG + 1];
  int    best = MAX_LAG;
  for (int lag = 0; lag <= 2 * MAX_LAG; ++lag) {
    r[lag] = sums.product[lag] / sqrt(sums.close[lag] * sums.ambient[lag] + 1e-12);
    best   = r[lag] > r[best] ? lag : best;
  }
  *correlation = r[best];
  double part  = 0.0; // parabola through the three highest
  if (best > 0 && best < 2 * MAX_LAG) {
    const double bend = r[best - 1] - 2.0 * r[best] + r[best + 1];
    part              = bend < 0.0 ? 0.5 * (r[best - 1] - r[best + 1]) / bend : 0.0;
  }
  return best - MAX_LAG + part;
}
