// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/levels.h"

#include "command/base/complain.h"
#include "command/measure/filter.h"

#include <math.h>
#include <stdlib.h>

#define SMOOTH 11 // frames of the median: 0.2 s

static int
by_value(const void* const a, const void* const b)
{
  const float x = *(const float*)a;
  const float y = *(const float*)b;
  return (x > y) - (x < y);
}

float
fh_quantile(float* const values, const size_t count, const double part)
{
  if (!count) {
    return NAN;
  }
  qsort(values, count, sizeof(float), by_value);
  return values[(size_t)(part * (double)(count - 1) + 0.5)];
}

float
fh_quantile_of(const float* const row, const size_t count, const FhStretches* const within, const double part)
{
  float* const values = (float*)malloc((count + 1) * sizeof(float));
  size_t       n      = 0;
  for (size_t i = 0; values && i < count; ++i) {
    if (!within || fh_stretches_hold(within, (double)i / FH_LEVEL_RATE, 0.0)) {
      values[n++] = row[i];
    }
  }
  const float found = values ? fh_quantile(values, n, part) : NAN;
  free(values);
  return found;
}

/// What a microphone hears of crowd, wind and itself: its softest seventh, unless that is hardly softer than the rest
static float
floor_of(const float* const row, const size_t count)
{
  return fminf(fh_quantile_of(row, count, NULL, 0.15), fh_quantile_of(row, count, NULL, 0.95) - 10.0f);
}

/// Level without the floor, dBFS
static float
over_floor(const float level, const float floor)
{
  const float noise = powf(10.0f, 0.1f * floor);
  return 10.0f * log10f(fmaxf(powf(10.0f, 0.1f * level) - noise, 0.3f * noise) + 1e-12f);
}

static void
measure_channel(const FhTake* const take, const uint32_t channel, float* const power, const size_t count)
{
  const double rate   = take->sound.rate;
  FhFilter     filter = fh_filter_make(rate, 250.0, 4000.0);
  const size_t length = take->sound.rate / FH_LEVEL_RATE;
  for (size_t i = 0; i < count; ++i) {
    double sum = 0.0;
    for (size_t j = i * length; j < (i + 1) * length; ++j) {
      const double x = fh_filter_run(&filter, (double)take->sound.data[channel][j]);
      sum += x * x;
    }
    power[i] += (float)(sum / (double)length);
  }
}

bool
fh_levels_make(FhLevels* const levels, const FhTake* const take)
{
  const size_t   count  = take->sound.frames / (take->sound.rate / FH_LEVEL_RATE);
  const uint32_t closes = take->variant->closes;

  *levels         = (FhLevels){.count = count};
  levels->close   = (float*)calloc(count + 1, sizeof(float));
  levels->ambient = (float*)calloc(count + 1, sizeof(float));
  levels->difference = (float*)calloc(count + 1, sizeof(float));
  if (!levels->close || !levels->ambient || !levels->difference) {
    fh_levels_free(levels);
    return fh_complain("not enough memory; cut the take into shorter ones");
  }
  for (uint32_t c = 0; c < closes; ++c) {
    measure_channel(take, c, levels->close, count);
  }
  measure_channel(take, closes, levels->ambient, count);
  for (size_t i = 0; i < count; ++i) {
    levels->close[i]   = 10.0f * log10f(levels->close[i] / (float)closes + 1e-12f);
    levels->ambient[i] = 10.0f * log10f(levels->ambient[i] + 1e-12f);
  }
  levels->close_floor   = floor_of(levels->close, count);
  levels->ambient_floor = floor_of(levels->ambient, count);
  for (size_t i = 0; i < count; ++i) {
    float        around[SMOOTH];
    const size_t first = i < SMOOTH / 2 ? 0 : i - SMOOTH / 2;
    size_t       n     = 0;
    for (size_t j = first; j < count && j <= i + SMOOTH / 2; ++j) {
      around[n++] = over_floor(levels->close[j], levels->close_floor) -
                    over_floor(levels->ambient[j], levels->ambient_floor);
    }
    levels->difference[i] = fh_quantile(around, n, 0.5);
  }
  return true;
}

void
fh_levels_free(FhLevels* const levels)
{
  free(levels->close);
  free(levels->ambient);
  free(levels->difference);
  *levels = (FhLevels){0};
}

double
fh_mean_level(const float* const row, const size_t count, const double start, const double end)
{
  const size_t first = (size_t)fmax(0.0, start * FH_LEVEL_RATE);
  double       sum   = 0.0;
  size_t       n     = 0;
  for (size_t i = first; i < count && (double)i < end * FH_LEVEL_RATE; ++i, ++n) {
    sum += (double)row[i];
  }
  return n ? sum / (double)n : (double)NAN;
}
