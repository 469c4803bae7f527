// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/stretches.h"

#include "command/base/complain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SHORTEST_TAKE 10.0 // s
#define SHORTEST_BAND 3.0  // s of field in all, to learn from
#define SHORTEST_SOLO 2.0  // s of soloist in all
#define CLEAR_STEP 6.0     // dB by which the difference must rise while the soloist plays
#define SILENT (-80.0f)    // dBFS
#define BETWEEN 10         // frames before and after the band is heard that count as the band's: 0.2 s
#define AGREE 0.6          // correlation of both microphones' levels that a band makes, and noises do not
#define PLAYS 12.0f        // dB below its loudest at which the close microphone still counts
#define BESIDE 12.0f       // dB of level difference that only a source near the close microphone makes

/// Divide values in two so that the two groups differ most for their sizes (N. Otsu, IEEE Trans. SMC 9(1), 1979)
/// @param low,high Receive the means of the groups
static void
split_in_two(float* const values, const size_t count, double* const low, double* const high)
{
  double total = 0.0;
  for (size_t i = 0; i < count; ++i) {
    total += (double)values[i];
  }
  (void)fh_quantile(values, count, 0.5); // puts them in order
  double below = 0.0;
  double best  = -1.0;
  *low = *high = count ? total / (double)count : (double)NAN;
  for (size_t i = 1; i < count; ++i) {
    below += (double)values[i - 1];
    const double mean_low  = below / (double)i;
    const double mean_high = (total - below) / (double)(count - i);
    const double between   = (double)i * (double)(count - i) * (mean_high - mean_low) * (mean_high - mean_low);
    if (between > best) {
      best  = between;
      *low  = mean_low;
      *high = mean_high;
    }
  }
}

/// Collect runs of frames that are marked, bridging gaps, trimmed at both ends
static void
collect(FhStretches* const found,
        const bool* const  marked,
        const size_t       count,
        const double       bridge,
        const double       trim,
        const double       shortest)
{
  found->count     = 0;
  size_t start     = 0;
  size_t last      = 0;
  bool   inside    = false;
  for (size_t i = 0; i <= count; ++i) {
    const bool here = i < count && marked[i];
    if (here && !inside) {
      start  = i;
      inside = true;
    }
    if (here) {
      last = i;
    } else if (inside && ((double)(i - last) > bridge * FH_LEVEL_RATE || i == count)) {
      const FhStretch stretch = {(double)start / FH_LEVEL_RATE + trim, (double)(last + 1) / FH_LEVEL_RATE - trim};
      if (stretch.end - stretch.start >= shortest && found->count < FH_LIST_MAX) {
        found->at[found->count++] = stretch;
      }
      inside = false;
    }
  }
}

/// The ambient microphone hears more than its own noise
static bool
band_plays(const FhLevels* const levels, const size_t i)
{
  return levels->ambient[i] > levels->ambient_floor + 4.5f;
}

/// The band plays, or has just played or is about to: the time between two hits is the band's too
static bool
band_is_on(const FhLevels* const levels, const size_t i)
{
  const size_t from = i < BETWEEN ? 0 : i - BETWEEN;
  for (size_t j = from; j < levels->count && j <= i + BETWEEN; ++j) {
    if (band_plays(levels, j)) {
      return true;
    }
  }
  return false;
}

/// Mark the frames whose level difference is that of the band alone, or of the soloist, and collect them
static void
collect_by(FhDivision* const     d,
           const FhLevels* const levels,
           bool* const           marked,
           const bool            find_band,
           const bool            find_solo,
           const double          rest_below,
           const double          solo_above)
{
  const float loud = fh_quantile_of(levels->close, levels->count, NULL, 0.95);
  for (size_t i = 0; i < levels->count; ++i) {
    marked[i] = band_is_on(levels, i) && (double)levels->difference[i] < rest_below;
  }
  if (find_band) {
    collect(&d->band, marked, levels->count, 0.1, 0.25, 0.7);
  }
  for (size_t i = 0; i < levels->count; ++i) {
    marked[i] = levels->close[i] > loud - 35.0f && (double)levels->difference[i] > solo_above;
  }
  if (find_solo) {
    collect(&d->solo, marked, levels->count, 0.6, 0.0, 0.3);
  }
}

static const char* const record_this =
  "record the band alone for 10 s, then the soloist with the band for 20 s, in one take";

/// Median step of a microphone's level where the soloist begins, and down where it ends, dB
static double
edge_step(const float* const row, const size_t count, const FhStretches* const solo)
{
  float  steps[2 * FH_LIST_MAX];
  size_t n = 0;
  for (size_t i = 0; i < solo->count; ++i) {
    const double edges[] = {solo->at[i].start, solo->at[i].end};
    for (size_t j = 0; j < 2; ++j) {
      const double before = fh_mean_level(row, count, edges[j] - 0.4, edges[j] - 0.1);
      const double after  = fh_mean_level(row, count, edges[j] + 0.1, edges[j] + 0.4);
      const double step   = j ? before - after : after - before;
      if (isfinite(step)) {
        steps[n++] = (float)step;
      }
    }
  }
  return (double)fh_quantile(steps, n, 0.5);
}

/// Tell by the levels of each microphone which of them the soloist is at. Whoever named the stretches knows who plays;
/// in found ones "solo" is where the close microphone stands higher, be it only because the other one fell
static bool
check_order(const FhDivision* const d, const FhLevels* const levels, const bool found)
{
  const double close   = edge_step(levels->close, levels->count, &d->solo);
  const double ambient = edge_step(levels->ambient, levels->count, &d->solo);
  if (found ? -ambient > 2.0 * fmax(close, 1.0) + 2.0 : ambient > close + 1.0) {
    return fh_complain("the microphones are swapped: the soloist is louder in the ambient one; put the close "
                       "microphone on channel 1 and the ambient one on the last");
  }
  return true;
}

/// Correlation of both microphones' levels in the band's stretches, over 0.1 s: 0 for noises of their own
static double
agreement(const FhLevels* const levels, const FhStretches* const band)
{
  double n = 0.0, sum_x = 0.0, sum_y = 0.0, sum_xx = 0.0, sum_yy = 0.0, sum_xy = 0.0;
  for (size_t i = 2; i + 2 < levels->count; ++i) {
    if (fh_stretches_hold(band, (double)i / FH_LEVEL_RATE, 0.0)) {
      const double x =
        fh_mean_level(levels->close, levels->count, (double)(i - 2) / FH_LEVEL_RATE, (double)(i + 3) / FH_LEVEL_RATE);
      const double y =
        fh_mean_level(levels->ambient, levels->count, (double)(i - 2) / FH_LEVEL_RATE, (double)(i + 3) / FH_LEVEL_RATE);
      n += 1.0;
      sum_x += x;
      sum_y += y;
      sum_xx += x * x;
      sum_yy += y * y;
      sum_xy += x * y;
    }
  }
  const double spread = (sum_xx - sum_x * sum_x / n) * (sum_yy - sum_y * sum_y / n);
  return n > 0.0 && spread > 0.0 ? (sum_xy - sum_x * sum_y / n) / sqrt(spread) : 0.0;
}

/// Find what the user has not named: first by two groups of level differences, then by the spread of the lower one
/// @return false, having complained
static bool
find(FhDivision* const d, const FhLevels* const levels, const bool find_band, const bool find_solo)
{
  const float loud   = fh_quantile_of(levels->close, levels->count, NULL, 0.95);
  float*      values = (float*)malloc((levels->count + 1) * sizeof(float));
  bool*       marked = (bool*)calloc(levels->count + 1, sizeof(bool));
  size_t      n      = 0;
  double      low    = 0.0;
  double      high   = 0.0;
  for (size_t i = 0; values && marked && i < levels->count; ++i) {
    if (band_plays(levels, i) || levels->close[i] > loud - PLAYS) {
      values[n++] = levels->difference[i];
    }
  }
  if (values && marked) {
    split_in_two(values, n, &low, &high);
  }
  const double clear = find_band && find_solo ? CLEAR_STEP : 0.0;
  bool         ok    = values && marked && high - low >= clear;
  if (!ok) {
    fh_quantile_of(levels->difference, levels->count, NULL, 0.9) > BESIDE
      ? fh_complain("the soloist is heard, but never the band alone; %s", record_this)
      : fh_complain("the soloist never stands out of the field by %g dB; %s", CLEAR_STEP, record_this);
  } else {
    collect_by(d, levels, marked, find_band, find_solo, low + 0.4 * (high - low), low + 0.5 * (high - low));
    ok = check_order(d, levels, find_band && find_solo);
    for (int round = 0; ok && round < 2 && d->band.count; ++round) {
      // Soft notes may be among the band's frames, so the spread is taken from below the median
      const double middle = (double)fh_quantile_of(levels->difference, levels->count, &d->band, 0.5);
      const double spread = middle - (double)fh_quantile_of(levels->difference, levels->count, &d->band, 0.16);
      collect_by(d, levels, marked, find_band, find_solo, middle + fmax(2.5, 2.0 * spread),
                 middle + fmax(4.0, 3.0 * spread));
    }
  }
  free(values);
  free(marked);
  return ok;
}

static bool
check_take(const FhLevels* const levels, const FhTake* const take)
{
  const double seconds = fh_take_seconds(take);
  const float  loud    = fh_quantile_of(levels->close, levels->count, NULL, 0.95);
  const float  field   = fh_quantile_of(levels->ambient, levels->count, NULL, 0.95);
  if (seconds < SHORTEST_TAKE) {
    return fh_complain("the take lasts %.1f s, too short to tune by; %s", seconds, record_this);
  }
  if (!(loud > SILENT)) {
    return fh_complain("the close microphone is silent; check its cable and channel, then %s", record_this);
  }
  if (!(field > SILENT)) {
    return fh_complain("the ambient microphone is silent; check its cable and channel, then %s", record_this);
  }
  const float* const close   = take->sound.data[0];
  const float* const ambient = take->sound.data[take->variant->closes];
  if (!memcmp(close, ambient, take->sound.frames * sizeof(float))) {
    return fh_complain("both channels carry the same sound; record the ambient microphone on the second, and %s",
                       record_this);
  }
  return true;
}

static bool
check_named(const FhStretches* const named, const char* const option, const double seconds)
{
  for (size_t i = 0; i < named->count; ++i) {
    if (named->at[i].end > seconds + 0.5) {
      return fh_complain("--%s %g-%g ends after the take, which lasts %.1f s; name a stretch within it", option,
                         named->at[i].start, named->at[i].end, seconds);
    }
  }
  return true;
}

bool
fh_divide(FhDivision* const d, const FhLevels* const levels, const FhTake* const take)
{
  const double seconds   = fh_take_seconds(take);
  const bool   find_band = !d->band.count;
  const bool   find_solo = !d->solo.count;
  if (!check_take(levels, take) || !check_named(&d->band, "band", seconds) ||
      !check_named(&d->solo, "solo", seconds)) {
    return false;
  }
  if (find_band || find_solo ? !find(d, levels, find_band, find_solo) : !check_order(d, levels, false)) {
    return false;
  }
  if (fh_stretches_seconds(&d->band) < SHORTEST_BAND) {
    return fh_complain("the band plays alone for only %.1f s of the take, %g s are needed; %s",
                       fh_stretches_seconds(&d->band), SHORTEST_BAND, record_this);
  }
  if (fh_stretches_seconds(&d->solo) < SHORTEST_SOLO) {
    return fh_complain("the soloist plays for only %.1f s of the take, %g s are needed; %s",
                       fh_stretches_seconds(&d->solo), SHORTEST_SOLO, record_this);
  }
  if (agreement(levels, &d->band) < AGREE) {
    return fh_complain("while the soloist rests, the microphones hear no band in common; %s", record_this);
  }
  d->rest     = (double)fh_quantile_of(levels->difference, levels->count, &d->band, 0.5);
  d->rest_top = (double)fh_quantile_of(levels->difference, levels->count, &d->band, 0.99);
  d->play     = (double)fh_quantile_of(levels->difference, levels->count, &d->solo, 0.5);
  if (!(d->play - d->rest >= CLEAR_STEP)) {
    return fh_complain("the soloist stands only %.1f dB out of the field; move the close microphone closer or the "
                       "ambient one away from the soloist, then %s",
                       d->play - d->rest, record_this);
  }
  return true;
}
