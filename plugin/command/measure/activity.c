// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Who is heard when: levels in short frames, and two clusters of the level difference between microphones

#include "command/measure/activity.h"

#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_WINDOW 0.04       // s
#define FH_HOP 0.01          // s
#define FH_ABOVE_REST 12.0   // dB over the quietest moments counts as playing
#define FH_BELOW_PEAK 40.0   // dB under the loudest counts as silence
#define FH_SILENT (-90.0)    // dBFS
#define FH_TWO_KINDS 7.0     // dB between two clusters of the level difference
#define FH_NEAR_REST 6.0     // dB
#define FH_ALONE 16.0        // dB by which the ambient microphone hears less while the soloist plays: then the field does not
#define FH_FIELD_BELOW 25.0  // dB; what lies more than that under the soloist in the ambient microphone is noise, no field

static bool
allocate(const FhSoundcheck* const take, FhActivity* const a)
{
  memset(a, 0, sizeof(*a));
  a->hop   = (size_t)lround(FH_HOP * take->rate);
  a->count = take->frames / a->hop + 1;
  bool ok  = true;
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    a->level[mic] = malloc(a->count * sizeof(double));
    ok            = ok && a->level[mic];
  }
  a->close  = malloc(a->count * sizeof(double));
  a->audible = calloc(a->count, sizeof(bool));
  a->active = calloc(a->count, sizeof(bool));
  a->solo   = calloc(a->count, sizeof(bool));
  return ok && a->close && a->audible && a->active && a->solo;
}

void
fh_activity_free(FhActivity* const a)
{
  for (size_t mic = 0; mic < FH_MICS; ++mic) {
    free(a->level[mic]);
  }
  free(a->close);
  free(a->audible);
  free(a->active);
  free(a->solo);
  memset(a, 0, sizeof(*a));
}

static bool
measure(const FhSoundcheck* const take, FhActivity* const a)
{
  FhSpectrum   s;
  const size_t window = (size_t)(FH_WINDOW * take->rate);
  if (!fh_spectrum_init(&s, window, fh_power_of_two((double)window))) {
    return false;
  }
  for (size_t i = 0; i < a->count; ++i) {
    const ptrdiff_t at    = (ptrdiff_t)(i * a->hop) - (ptrdiff_t)(window / 2); // centred
    double          close = 0.0;
    for (size_t mic = 0; mic <= take->closes; ++mic) {
      fh_spectrum_run(&s, take->mic[mic], take->frames, at);
      const double power = fh_spectrum_band(&s, take->rate, 100.0, 8000.0);
      a->level[mic][i]   = fh_decibels(power);
      close += mic < take->closes ? power : 0.0;
    }
    a->close[i] = fh_decibels(close);
  }
  fh_spectrum_free(&s);
  return true;
}

/// Two clusters of one list
typedef struct {
  double threshold;
  double below, above; ///< Means
  double within;       ///< The larger quartile range of the two, as a standard deviation
  double smaller;      ///< Share of the smaller one
} FhSplit;

/// The split of a list that leaves the least spread within its parts (Otsu's criterion); sorts the list
static FhSplit
split(double* const values, const size_t count)
{
  FhSplit s     = {0};
  double  total = 0.0, left = 0.0, best = 0.0;
  fh_percentile(values, count, 0.5); // sorts
  for (size_t i = 0; i < count; ++i) {
    total += values[i];
  }
  for (size_t i = 0; i + 1 < count; ++i) {
    left += values[i];
    const double n       = (double)(i + 1);
    const double m       = (double)count - n;
    const double means   = left / n - (total - left) / m;
    const double between = n * m / (double)count * means * means;
    if (between > best && values[i + 1] > values[i]) {
      const double first  = values[3 * (i + 1) / 4] - values[(i + 1) / 4];
      const double second = values[i + 3 * (count - i) / 4] - values[i + (count - i) / 4];
      best                = between;
      s = (FhSplit){0.5 * (values[i] + values[i + 1]), left / n, (total - left) / m, fmax(first, second) / 1.35,
                    fmin(n, m) / (double)count};
    }
  }
  return s;
}

/// Are these two kinds of sound, or one that wavers?
static bool
two_kinds(const FhSplit* const s)
{
  const double apart = s->above - s->below;
  return s->smaller > 0.08 && (apart > FH_TWO_KINDS || (apart > 0.5 * FH_TWO_KINDS && apart > 4.0 * s->within));
}

/// Median of a level, or of the difference of two, over the audible frames that are solo, or that are not; NAN of none
static double
median_of(const FhActivity* const a, const double* const level, const double* const less, const bool solo,
          double* const scratch)
{
  size_t n = 0;
  for (size_t i = 0; i < a->count; ++i) {
    if (a->audible[i] && a->solo[i] == solo) {
      scratch[n++] = level[i] - (less ? less[i] : 0.0);
    }
  }
  return fh_percentile(scratch, n, 0.5);
}

static void
mark_active(const FhSoundcheck* const take, FhActivity* const a, double* const scratch)
{
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    memcpy(scratch, a->level[mic], a->count * sizeof(double));
    a->rest[mic] = fh_percentile(scratch, a->count, 0.03);
    a->peak[mic] = fh_percentile(scratch, a->count, 0.95);
    const bool   steady  = a->peak[mic] - a->rest[mic] < FH_ABOVE_REST;
    const double audible = fmax(a->peak[mic] - FH_BELOW_PEAK, FH_SILENT);
    const double active  = fmax(steady ? a->peak[mic] - FH_ABOVE_REST : a->rest[mic] + FH_ABOVE_REST, audible);
    for (size_t i = 0; i < a->count; ++i) {
      a->audible[i] = a->audible[i] || a->level[mic][i] > audible;
      a->active[i]  = a->active[i] || (mic < take->closes && a->level[mic][i] > active);
    }
  }
}

/// Two kinds of level difference among the audible frames above a limit
static bool
find_kinds(const FhSoundcheck* const take, const FhActivity* const a, const double above, double* const scratch, FhSplit* const parts)
{
  size_t n = 0;
  for (size_t i = 0; i < a->count; ++i) {
    const double difference = a->close[i] - a->level[take->closes][i];
    if (a->audible[i] && difference > above) {
      scratch[n++] = difference;
    }
  }
  *parts = split(scratch, n);
  return n > 20 && two_kinds(parts);
}

/// Is the lower kind nothing but the rests between notes, with a crowd in the ambient microphone?
static bool
is_rest(const FhSoundcheck* const take, const FhActivity* const a, const double threshold, double* const scratch)
{
  size_t n = 0;
  for (size_t i = 0; i < a->count; ++i) {
    if (a->audible[i] && a->close[i] - a->level[take->closes][i] <= threshold) {
      scratch[n++] = a->close[i];
    }
  }
  const double middle = fh_percentile(scratch, n, 0.5);
  return middle < a->rest[0] + FH_NEAR_REST;
}

/// Tell soloist from field by the level difference: where there are two kinds of it, the soloist's is the larger one; where there are
/// three, the smallest is neither's
static void
mark_solo(const FhSoundcheck* const take, FhActivity* const a, const bool alone, double* const scratch)
{
  const double* const ambient = a->level[take->closes];
  FhSplit             parts, upper;
  const bool          two = find_kinds(take, a, -INFINITY, scratch, &parts) && !alone;
  if (two && is_rest(take, a, parts.threshold, scratch) && find_kinds(take, a, parts.threshold, scratch, &upper)) {
    for (size_t i = 0; i < a->count; ++i) {
      a->audible[i] = a->audible[i] && a->close[i] - ambient[i] > parts.threshold;
    }
    parts = upper;
  }
  for (size_t i = 0; i < a->count; ++i) {
    a->solo[i] = a->audible[i] && (two ? a->close[i] - ambient[i] > parts.threshold : a->active[i]);
  }
  const double solo  = median_of(a, ambient, NULL, true, scratch);
  const double field = median_of(a, ambient, NULL, false, scratch);
  a->field           = two && field > solo - FH_FIELD_BELOW;
  a->alone           = a->field && solo < field - FH_ALONE;
  for (size_t i = 0; i < a->count && !a->field; ++i) {
    a->solo[i] = a->solo[i] && a->active[i]; // what is left is noise
  }
  a->solo_difference  = median_of(a, a->close, ambient, true, scratch);
  a->field_difference = a->field ? median_of(a, a->close, ambient, false, scratch) : (double)NAN;
}

bool
fh_activity_find(const FhSoundcheck* const take, const bool alone, FhActivity* const activity)
{
  double* scratch = NULL;
  bool    ok      = allocate(take, activity) && measure(take, activity);
  ok              = ok && (scratch = malloc(activity->count * sizeof(double)));
  if (ok) {
    mark_active(take, activity, scratch);
    mark_solo(take, activity, alone, scratch);
  } else {
    fh_activity_free(activity);
  }
  free(scratch);
  return ok;
}

void
fh_marked_spans(const FhSoundcheck* const take, const FhActivity* const a, const bool* const mark, FhSpans* const spans)
{
  const size_t bridge = (size_t)(0.15 / FH_HOP);
  size_t       gap    = bridge + 1;
  spans->count        = 0;
  spans->moving       = false;
  for (size_t i = 0; i < a->count; ++i) {
    if (!mark[i]) {
      ++gap;
      continue;
    }
    const size_t at = i * a->hop;
    if (gap > bridge) {
      if (spans->count == FH_SPANS_MAX) {
        break;
      }
      spans->list[spans->count++].start = at;
    }
    spans->list[spans->count - 1].end = at + a->hop < take->frames ? at + a->hop : take->frames;
    gap                               = 0;
  }
}
