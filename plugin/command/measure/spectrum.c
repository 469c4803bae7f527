// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_PI 3.14159265358979323846

bool
fh_spectrum_init(FhSpectrum* const s, const size_t length, const size_t size)
{
  memset(s, 0, sizeof(*s));
  s->length    = length;
  s->size      = size;
  s->bins      = size / 2 + 1;
  s->window    = malloc(length * sizeof(*s->window));
  s->in        = calloc(size, sizeof(*s->in));
  s->out       = calloc(s->bins, sizeof(*s->out));
  s->transform = fh_transform_new(size);
  if (!s->window || !s->in || !s->out || !s->transform) {
    fh_spectrum_free(s);
    return false;
  }
  double sum = 0.0;
  for (size_t i = 0; i < length; ++i) {
    s->window[i] = 0.5 - 0.5 * cos(2.0 * FH_PI * ((double)i + 0.5) / (double)length);
    sum += s->window[i] * s->window[i];
  }
  s->scale = 2.0 / ((double)size * sum);
  return true;
}

void
fh_spectrum_free(FhSpectrum* const s)
{
  fh_transform_free(s->transform);
  free(s->window);
  free(s->in);
  free(s->out);
  memset(s, 0, sizeof(*s));
}

void
fh_spectrum_run(FhSpectrum* const s, const float* const signal, const size_t frames, const ptrdiff_t at)
{
  for (size_t i = 0; i < s->length; ++i) {
    const ptrdiff_t k = at + (ptrdiff_t)i;
    s->in[i]          = k >= 0 && (size_t)k < frames ? (double)signal[k] * s->window[i] : 0.0;
  }
  fh_transform_forward(s->transform, s->in, s->out);
}

double
fh_spectrum_power(const FhSpectrum* const s, const size_t bin)
{
  const double power = s->out[bin][0] * s->out[bin][0] + s->out[bin][1] * s->out[bin][1];
  return power * (bin && bin + 1 < s->bins ? s->scale : 0.5 * s->scale);
}

double
fh_spectrum_band(const FhSpectrum* const s, const double rate, const double low, const double high)
{
  const double width = rate / (double)s->size;
  const size_t last  = (size_t)fmin(floor(high / width), (double)(s->bins - 1));
  double       sum   = 0.0;
  for (size_t bin = (size_t)fmax(ceil(low / width), 0.0); bin <= last; ++bin) {
    sum += fh_spectrum_power(s, bin);
  }
  return sum;
}

size_t
fh_power_of_two(const double frames)
{
  size_t size = 16;
  while ((double)size < frames) {
    size *= 2;
  }
  return size;
}

double
fh_decibels(const double power)
{
  return power > 1e-20 ? 10.0 * log10(power) : -200.0;
}

static int
compare(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

double
fh_percentile(double* const values, const size_t count, const double share)
{
  if (!count) {
    return (double)NAN;
  }
  qsort(values, count, sizeof(*values), compare);
  const double at   = share * (double)(count - 1);
  const size_t low  = (size_t)at;
  const size_t high = low + 1 < count ? low + 1 : low;
  return values[low] + (at - (double)low) * (values[high] - values[low]);
}
