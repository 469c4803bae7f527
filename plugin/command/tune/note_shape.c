// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/note_shape.h"

#include "command/measure/filter.h"

#include <math.h>
#include <stdlib.h>

#define POINTS 900 // ms looked at around an edge
#define SMOOTH 2.0 // ms

static int
by_value(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

static double
median(double* const values, const size_t count)
{
  qsort(values, count, sizeof(double), by_value);
  return count ? values[count / 2] : (double)NAN;
}

/// Level of the first close microphone in dB every millisecond from `start` s on, smoothed; false outside the take
static bool
envelope(const FhTake* const take, const double start, double level[POINTS])
{
  const double rate   = take->sound.rate;
  FhFilter     filter = fh_filter_make(rate, 120.0, 6000.0);
  double       power  = 0.0;
  if (start < 0.05 || start + POINTS / 1000.0 > fh_take_seconds(take)) {
    return false;
  }
  for (int i = -50; i < POINTS; ++i) { // 50 ms for the filter to settle
    const size_t first = (size_t)((start + i / 1000.0) * rate);
    const size_t end   = (size_t)((start + (i + 1) / 1000.0) * rate);
    double       sum   = 0.0;
    for (size_t j = first; j < end && j < take->sound.frames; ++j) {
      const double x = fh_filter_run(&filter, (double)take->sound.data[0][j]);
      sum += x * x;
    }
    const double mean = sum / fmax(1.0, (double)(end - first));
    power += (mean - power) * (1.0 - exp(-1.0 / SMOOTH));
    if (i >= 0) {
      level[i] = 10.0 * log10(power + 1e-12);
    }
  }
  return true;
}

static double
highest(const double level[POINTS], const int from, const int to)
{
  double most = level[from];
  for (int i = from; i < to; ++i) {
    most = fmax(most, level[i]);
  }
  return most;
}

/// Time from -20 dB (a tenth) to -1 dB (nine tenths) below the first 200 ms' peak; NAN if the field hides it
static double
rise_of(const double level[POINTS])
{
  // The stretch begins at 300 ms, give or take the smoothing of levels
  const double peak   = highest(level, 250, 550);
  const double before = highest(level, 0, 150);
  const double low    = fmax(peak - 20.0, before + 3.0);
  int          top    = 250;
  while (top < 550 && level[top] < peak - 1.0) {
    ++top;
  }
  int bottom = top;
  while (bottom > 0 && level[bottom] > low) {
    --bottom;
  }
  return low < peak - 8.0 ? top - bottom : (double)NAN;
}

/// Slope from 3 dB below the last peak down to 15 dB below it, or to where the field begins; NAN if that is too near
static double
fall_of(const double level[POINTS])
{
  // The stretch ends at 400 ms
  const double peak  = highest(level, 150, 450);
  const double after = highest(level, 750, POINTS);
  const double low   = fmax(peak - 15.0, after + 3.0);
  int          start = 600;
  while (start > 150 && level[start] < peak - 3.0) {
    --start;
  }
  int end = start;
  while (end < POINTS - 1 && level[end] > low) {
    ++end;
  }
  return low < peak - 7.0 && end > start ? 1000.0 * (level[start] - level[end]) / (end - start) : (double)NAN;
}

FhNoteShape
fh_note_shape(const FhTake* const take, const FhStretches* const solo)
{
  double      level[POINTS];
  double      rises[FH_LIST_MAX];
  double      falls[FH_LIST_MAX];
  FhNoteShape shape = {0};
  for (size_t i = 0; i < solo->count; ++i) {
    const double rise = envelope(take, solo->at[i].start - 0.3, level) ? rise_of(level) : (double)NAN;
    const double fall = envelope(take, solo->at[i].end - 0.4, level) ? fall_of(level) : (double)NAN;
    if (isfinite(rise)) {
      rises[shape.begins++] = rise;
    }
    if (isfinite(fall)) {
      falls[shape.ends++] = fall;
    }
  }
  shape.rise = median(rises, shape.begins);
  shape.fall = median(falls, shape.ends);
  return shape;
}
