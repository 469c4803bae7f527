// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/correlate.h"

#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_LOW 200.0   // Hz; below, hum and wind
#define FH_HIGH 9000.0 // Hz
#define FH_FINER 8     // the correlation is computed on a grid this much finer than a frame
#define FH_LEAST 4     // segments; fewer say nothing about coherence

typedef struct {
  FhSpectrum first, second;
  double*    power[2]; ///< Averages per bin
  FhBin*     cross;
  size_t     segments;
} FhAverages;

static void
averages_free(FhAverages* const a)
{
  fh_spectrum_free(&a->first);
  fh_spectrum_free(&a->second);
  free(a->power[0]);
  free(a->power[1]);
  free(a->cross);
}

static bool
averages_init(FhAverages* const a, const size_t size)
{
  memset(a, 0, sizeof(*a));
  if (!fh_spectrum_init(&a->first, size, size) || !fh_spectrum_init(&a->second, size, size)) {
    return false;
  }
  a->power[0] = calloc(a->first.bins, sizeof(double));
  a->power[1] = calloc(a->first.bins, sizeof(double));
  a->cross    = calloc(a->first.bins, sizeof(*a->cross));
  return a->power[0] && a->power[1] && a->cross;
}

static void
add_segment(FhAverages* const a)
{
  // Every segment counts alike, loud or soft, so that one bang does not decide
  double level = 0.0;
  for (size_t bin = 0; bin < a->first.bins; ++bin) {
    level += sqrt(fh_spectrum_power(&a->first, bin) * fh_spectrum_power(&a->second, bin));
  }
  if (level <= 0.0) {
    return;
  }
  for (size_t bin = 0; bin < a->first.bins; ++bin) {
    const double* const x = a->first.out[bin];
    const double* const y = a->second.out[bin];
    a->power[0][bin] += (x[0] * x[0] + x[1] * x[1]) / level;
    a->power[1][bin] += (y[0] * y[0] + y[1] * y[1]) / level;
    a->cross[bin][0] += (x[0] * y[0] + x[1] * y[1]) / level; // conj(x) y: peak at the second's delay
    a->cross[bin][1] += (x[0] * y[1] - x[1] * y[0]) / level;
  }
  ++a->segments;
}

/// Phase transform times coherence, into a spectrum for the inverse transform. @return Sum of the weights.
static double
whiten(const FhAverages* const a, const double rate, FhBin* const out, const size_t bins)
{
  const double width = rate / (double)a->first.size;
  // Coherence that unrelated noise shows now and then; one segment cannot tell
  const double chance = a->segments > 1 ? 3.0 / (double)a->segments : 0.0;
  double       sum    = 0.0;
  memset(out, 0, bins * sizeof(*out));
  for (size_t bin = 1; bin < a->first.bins; ++bin) {
    const double hz        = (double)bin * width;
    const double product   = a->power[0][bin] * a->power[1][bin];
    const double magnitude = hypot(a->cross[bin][0], a->cross[bin][1]);
    const double coherence = product > 0.0 ? magnitude * magnitude / product : 0.0;
    if (hz >= FH_LOW && hz <= FH_HIGH && coherence > chance) {
      out[bin][0] = coherence * a->cross[bin][0] / magnitude;
      out[bin][1] = coherence * a->cross[bin][1] / magnitude;
      sum += coherence;
    }
  }
  return sum;
}

/// Find the peak of either sign within `most` frames, finer than the grid by a parabola
static void
pick_peak(const double* const r, const size_t size, const size_t most, const double rate, FhLag* const lag)
{
  const ptrdiff_t reach = (ptrdiff_t)(most * FH_FINER);
  ptrdiff_t       best  = 0;
  for (ptrdiff_t i = -reach; i <= reach; ++i) {
    const double here  = fabs(r[((size_t)i + size) % size]);
    const double known = fabs(r[((size_t)best + size) % size]);
    best               = here > known ? i : best;
  }
  const double peak  = r[((size_t)best + size) % size];
  const double left  = r[((size_t)(best - 1) + size) % size];
  const double right = r[((size_t)(best + 1) + size) % size];
  const double bend  = left - 2.0 * peak + right;
  const double shift = bend != 0.0 ? 0.5 * (left - right) / bend : 0.0;
  lag->delay         = ((double)best + (fabs(shift) <= 1.0 ? shift : 0.0)) / FH_FINER;
  lag->inverted      = peak < 0.0;
  lag->strength      = fabs(peak);

  const ptrdiff_t apart = (ptrdiff_t)(0.001 * rate * FH_FINER);
  double          other = 1e-9;
  for (ptrdiff_t i = -reach; i <= reach; ++i) {
    if (labs(i - best) > apart) {
      other = fmax(other, fabs(r[((size_t)i + size) % size]));
    }
  }
  lag->clarity = lag->strength / other;
}

static bool
correlate(const FhAverages* const a, const double rate, const size_t most, FhLag* const lag)
{
  const size_t       size      = a->first.size * FH_FINER;
  FhBin* const       in        = calloc(size / 2 + 1, sizeof(*in));
  double* const      out       = malloc(size * sizeof(*out));
  FhTransform* const transform = fh_transform_new(size);
  bool               ok        = in && out && transform;
  if (ok) {
    const double weight = whiten(a, rate, in, size / 2 + 1);
    ok                  = weight > 0.0;
    if (ok) {
      fh_transform_back(transform, (const FhBin*)in, out);
      for (size_t i = 0; i < size; ++i) {
        out[i] /= 2.0 * weight;
      }
      pick_peak(out, size, most, rate, lag);
    }
  }
  fh_transform_free(transform);
  free(in);
  free(out);
  return ok;
}

bool
fh_find_lag(const float* const  first,
            const float* const  second,
            const size_t        frames,
            const double        rate,
            const FhSpan* const spans,
            const size_t        count,
            const size_t        most,
            FhLag* const        lag)
{
  const size_t size = fh_power_of_two(3.0 * (double)most);
  FhAverages   averages;
  bool         ok = averages_init(&averages, size);
  for (size_t i = 0; ok && i < count; ++i) {
    for (size_t at = spans[i].start; at + size / 2 <= spans[i].end; at += size / 2) {
      fh_spectrum_run(&averages.first, first, frames, (ptrdiff_t)at);
      fh_spectrum_run(&averages.second, second, frames, (ptrdiff_t)at);
      add_segment(&averages);
    }
  }
  ok = ok && averages.segments >= FH_LEAST && correlate(&averages, rate, most, lag);
  averages_free(&averages);
  return ok;
}

static void
averages_clear(FhAverages* const a)
{
  memset(a->power[0], 0, a->first.bins * sizeof(double));
  memset(a->power[1], 0, a->first.bins * sizeof(double));
  memset(a->cross, 0, a->first.bins * sizeof(*a->cross));
  a->segments = 0;
}

/// The lag most of them agree on: the median, where two in three lie within half a millisecond of it
static bool
agree(const FhLag* const lags, double* const scratch, const size_t count, const double rate, FhLag* const lag)
{
  size_t near = 0, inverted = 0;
  for (size_t i = 0; i < count; ++i) {
    scratch[i] = lags[i].delay;
  }
  *lag = (FhLag){.delay = fh_percentile(scratch, count, 0.5), .clarity = (double)INFINITY};
  for (size_t i = 0; i < count; ++i) {
    if (fabs(lags[i].delay - lag->delay) < 0.0005 * rate) {
      ++near;
      inverted += lags[i].inverted;
      lag->strength += lags[i].strength;
      lag->clarity = fmin(lag->clarity, lags[i].clarity);
    }
  }
  lag->strength /= (double)(near ? near : 1);
  lag->inverted = 2 * inverted > near;
  return 3 * near >= 2 * count && count >= FH_LEAST;
}

bool
fh_find_lag_of_each(const float* const  first,
                    const float* const  second,
                    const size_t        frames,
                    const double        rate,
                    const FhSpan* const spans,
                    const size_t        count,
                    const size_t        most,
                    FhLag* const        lag)
{
  const size_t  size    = fh_power_of_two(3.0 * (double)most);
  FhLag* const  lags    = malloc((count + 1) * sizeof(*lags));
  double* const scratch = malloc((count + 1) * sizeof(*scratch));
  FhAverages    averages;
  const bool    ok   = averages_init(&averages, size) && lags && scratch;
  size_t        read = 0;
  for (size_t i = 0; ok && i < count; ++i) {
    averages_clear(&averages);
    fh_spectrum_run(&averages.first, first, frames, (ptrdiff_t)spans[i].start);
    fh_spectrum_run(&averages.second, second, frames, (ptrdiff_t)spans[i].start);
    add_segment(&averages);
    read += averages.segments && correlate(&averages, rate, most, &lags[read]);
  }
  const bool found = ok && agree(lags, scratch, read, rate, lag);
  averages_free(&averages);
  free(lags);
  free(scratch);
  return found;
}
