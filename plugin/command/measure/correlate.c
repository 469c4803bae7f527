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
#define FH_PI 3.14159265358979323846
#define FH_NEAR_LAG 0.0005 // s
#define FH_FAR_LAGS 40
#define FH_STANDS 4.0      // times what is usual at other lags
#define FH_SMOOTH 36.0     // Hz to each side over which the noise of a microphone is even

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

/// For a first microphone that hears next to nothing but the source: the cross spectrum over the second one's power about each
/// frequency, which for a soft source is its noise. Where the source has nothing, nothing is made of it, and pitch adds no lags.
/// @return Sum of the weights.
static double
weigh_by_noise(const FhAverages* const a, const double rate, FhBin* const out, const size_t bins)
{
  const double width = rate / (double)a->first.size;
  const size_t half  = (size_t)(FH_SMOOTH / width);
  const size_t from  = (size_t)ceil(FH_LOW / width);
  const size_t to    = (size_t)fmin(floor(FH_HIGH / width), (double)(a->first.bins - 1 - half));
  double       noise = 0.0, sum = 0.0;
  memset(out, 0, bins * sizeof(*out));
  for (size_t bin = from > half ? from - half : 0; bin < from + half; ++bin) {
    noise += a->power[1][bin];
  }
  for (size_t bin = from; bin <= to; ++bin) {
    noise += a->power[1][bin + half];
    const double most = fmax(noise, 1e-30);
    out[bin][0]       = a->cross[bin][0] / most;
    out[bin][1]       = a->cross[bin][1] / most;
    sum += hypot(out[bin][0], out[bin][1]);
    noise -= a->power[1][bin - half];
  }
  return sum;
}

struct FhCorrelationImpl {
  FhAverages averages;
  double     rate;
  size_t     most; ///< Frames
  size_t     size; ///< Points of the grid
  double*    at;   ///< Correlation by lag, on the finer grid; negative lags at its end
  double*    scratch;
};

static double
value_at(const FhCorrelation* const c, const ptrdiff_t i)
{
  return c->at[((size_t)i + c->size) % c->size];
}

static ptrdiff_t
grid_of(const FhCorrelation* const c, const double seconds)
{
  const double reach = (double)(c->most * FH_FINER);
  return (ptrdiff_t)fmax(-reach, fmin(reach, seconds * c->rate * FH_FINER));
}

/// Finer than the grid by a parabola
FhLag
fh_correlation_peak(const FhCorrelation* const c, const double from, const double to, double* const stands)
{
  ptrdiff_t best = grid_of(c, from);
  for (ptrdiff_t i = best; i <= grid_of(c, to); ++i) {
    best = fabs(value_at(c, i)) > fabs(value_at(c, best)) ? i : best;
  }
  const double peak  = value_at(c, best);
  const double left  = value_at(c, best - 1);
  const double right = value_at(c, best + 1);
  const double bend  = left - 2.0 * peak + right;
  const double shift = bend != 0.0 ? 0.5 * (left - right) / bend : 0.0;
  FhLag        lag   = {.delay = ((double)best + (fabs(shift) <= 1.0 ? shift : 0.0)) / FH_FINER, .inverted = peak < 0.0,
                        .strength = fabs(peak)};

  const ptrdiff_t reach = (ptrdiff_t)(c->most * FH_FINER);
  const ptrdiff_t apart = (ptrdiff_t)(0.001 * c->rate * FH_FINER);
  double          other = 1e-9;
  size_t          n     = 0;
  for (ptrdiff_t i = -reach; i <= reach; ++i) {
    if (labs(i - best) > apart) {
      other = fmax(other, fabs(value_at(c, i)));
    }
    if (stands && i % FH_FINER == 0) {
      c->scratch[n++] = fabs(value_at(c, i));
    }
  }
  lag.clarity = lag.strength / other;
  if (stands) {
    *stands = lag.strength / (fh_percentile(c->scratch, n, 0.5) + 1e-9);
  }
  return lag;
}

/// Lags from averages; these are the correlation's own from now on
static FhCorrelation*
correlation_of(const FhAverages* const a, const double rate, const size_t most, const FhWeigh how)
{
  FhCorrelation* const c = calloc(1, sizeof(*c));
  if (!c) {
    return NULL;
  }
  c->rate                      = rate;
  c->most                      = most;
  c->size                      = a->first.size * FH_FINER;
  c->at                        = malloc(c->size * sizeof(double));
  c->scratch                   = malloc((2 * most + 1) * sizeof(double));
  FhBin* const       in        = calloc(c->size / 2 + 1, sizeof(*in));
  FhTransform* const transform = fh_transform_new(c->size);
  double             weight    = 0.0;
  if (in && c->at && c->scratch && transform) {
    weight = (how == FH_WEIGH_BY_NOISE ? weigh_by_noise : whiten)(a, rate, in, c->size / 2 + 1);
    fh_transform_back(transform, (const FhBin*)in, c->at);
    for (size_t i = 0; i < c->size; ++i) {
      c->at[i] /= 2.0 * weight + 1e-30;
    }
  }
  fh_transform_free(transform);
  free(in);
  if (weight <= 0.0) {
    fh_correlation_free(c);
    return NULL;
  }
  return c;
}

void
fh_correlation_free(FhCorrelation* const c)
{
  if (c) {
    averages_free(&c->averages);
    free(c->at);
    free(c->scratch);
    free(c);
  }
}

FhCorrelation*
fh_correlate(const float* const  first,
             const float* const  second,
             const size_t        frames,
             const double        rate,
             const FhSpan* const spans,
             const size_t        count,
             const size_t        most,
             const FhWeigh       how)
{
  const size_t size = fh_power_of_two(3.0 * (double)most);
  FhAverages   averages;
  const bool   ok = averages_init(&averages, size);
  for (size_t i = 0; ok && i < count; ++i) {
    for (size_t at = spans[i].start; at + size / 2 <= spans[i].end; at += size / 2) {
      fh_spectrum_run(&averages.first, first, frames, (ptrdiff_t)at);
      fh_spectrum_run(&averages.second, second, frames, (ptrdiff_t)at);
      add_segment(&averages);
    }
  }
  FhCorrelation* const c = ok && averages.segments >= FH_LEAST ? correlation_of(&averages, rate, most, how) : NULL;
  if (c) {
    c->averages = averages;
  } else {
    averages_free(&averages);
  }
  return c;
}

/// First and last bin of a band
static void
bins_of(const FhCorrelation* const c, const double low, const double high, size_t* const first, size_t* const last)
{
  const double width = c->rate / (double)c->averages.first.size;
  *first             = (size_t)fmax(1.0, ceil(low / width));
  *last              = (size_t)fmin((double)(c->averages.first.bins - 1), floor(high / width));
}

/// Covariance of a band at a lag of so many frames
static double
band_cross(const FhCorrelation* const c, const size_t first, const size_t last, const double lag)
{
  double sum = 0.0;
  for (size_t bin = first; bin <= last; ++bin) {
    const double turn = 2.0 * FH_PI * (double)bin * lag / (double)c->averages.first.size;
    sum += c->averages.cross[bin][0] * cos(turn) - c->averages.cross[bin][1] * sin(turn);
  }
  return sum;
}

double
fh_correlation_gain(const FhCorrelation* const c, const double low, const double high, const double lag)
{
  size_t first, last;
  bins_of(c, low, high, &first, &last);
  const double reach = FH_NEAR_LAG * c->rate;
  double       best = 0.0, usual = 0.0, power = 0.0;
  for (double by = -reach; by <= reach; by += c->rate / (8.0 * high)) {
    best = fmax(best, fabs(band_cross(c, first, last, lag * c->rate + by)));
  }
  for (int i = 0; i < FH_FAR_LAGS; ++i) { // lags at which nothing arrives
    const double far = band_cross(c, first, last, (0.045 + 0.0011 * i) * c->rate);
    usual += far * far / FH_FAR_LAGS;
  }
  for (size_t bin = first; bin <= last; ++bin) {
    power += c->averages.power[0][bin];
  }
  return power > 0.0 && best > FH_STANDS * sqrt(usual) ? 20.0 * log10(best / power) : (double)NAN;
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
  FhCorrelation* const c = fh_correlate(first, second, frames, rate, spans, count, most, FH_WEIGH_ALIKE);
  if (c) {
    *lag = fh_correlation_peak(c, -(double)most / rate, (double)most / rate, NULL);
  }
  fh_correlation_free(c);
  return c != NULL;
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
    FhCorrelation* const c = averages.segments ? correlation_of(&averages, rate, most, FH_WEIGH_ALIKE) : NULL;
    if (c) {
      lags[read++] = fh_correlation_peak(c, -(double)most / rate, (double)most / rate, NULL);
    }
    fh_correlation_free(c);
  }
  const bool found = ok && agree(lags, scratch, read, rate, lag);
  averages_free(&averages);
  free(lags);
  free(scratch);
  return found;
}
