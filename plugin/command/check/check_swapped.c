// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Swapped inputs. The louder microphone need not be the close one, for nobody knows the gains: it takes the time at
// which the soloist arrives, or which of the two gets louder when the soloist sets in over a field that plays on.

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_LOUDER 3.0       // dB by which the input called ambient is above the other
#define FH_LOUD 20.0        // dB under its loudest an input still counts as loud
#define FH_ONE_SOURCE 0.65  // strength of a correlation; a field, from many places, stays below
#define FH_STRONGER 0.18    // by which one source stands out of a field
#define FH_STANDS 9.0       // times the usual correlation
#define FH_LATER 1.5        // times what comes earlier
#define FH_STEADY 4.0       // dB by which a microphone gets louder at most where the soloist is far from it
#define FH_SETS_IN 10.0     // dB by which it does at least where the soloist is near
#define FH_WHILE 2.0        // s
#define FH_ONLY 12.0        // dB louder
#define FH_NEAR_REST 14.0   // dB over the quietest moments
#define FH_FAR_FROM_REST 22.0
#define FH_PLAYS_ON 38.0    // dB between loud and quietest moments, while a field plays on

/// Median level of a microphone, less that of the ambient one if `less` is set, over the marked frames; NAN of none
static double
median_level(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic, const bool less,
             const bool* const mark,
             double* const scratch)
{
  size_t n = 0;
  for (size_t i = 0; i < a->count; ++i) {
    if (mark[i]) {
      scratch[n++] = a->level[mic][i] - (less ? a->level[take->closes][i] : 0.0);
    }
  }
  return fh_percentile(scratch, n, 0.5);
}

/// What is compared, and room to do it in
typedef struct {
  bool*    here;    ///< Frames in which the soloist plays if the plugs are right
  bool*    other;   ///< Frames in which the soloist plays if they are not
  double*  scratch;
  FhSpans* spans;
} FhWork;

static void
say_swapped(FhSoundcheck* const take, const size_t mic, const double value, const char* const why,
            FhFindings* const findings)
{
  fh_find(findings, true, "swapped", value, "dB",
          "The inputs of the %s and the ambient microphone are swapped: %s: exchange the two plugs.",
          fh_mic_name(take, mic), why);
  const float* const close = take->mic[take->closes];
  take->mic[take->closes]  = take->mic[mic];
  take->mic[mic]           = close;
}

/// Does what the ambient input hears reach the other one later, and nothing the other way round? Nobody but the soloist plays.
static bool
comes_later(const FhSoundcheck* const take, const FhSpans* const spans, const size_t mic, FhLag* const lag)
{
  FhCorrelation* const c = fh_correlate(take->mic[take->closes], take->mic[mic], take->frames, take->rate, spans->list, spans->count,
                                        (size_t)(FH_MOST_DELAY * take->rate), FH_WEIGH_BY_NOISE);
  double stands[2] = {0.0, 0.0};
  if (c) {
    fh_correlation_peak(c, -FH_FARTHEST, -FH_NEAREST, &stands[0]);
    *lag       = fh_correlation_peak(c, FH_NEAREST, FH_FARTHEST, &stands[1]);
    lag->delay = -lag->delay;
  }
  fh_correlation_free(c);
  return stands[1] > FH_STANDS && stands[1] > FH_LATER * stands[0];
}

/// The soloist is alone and louder on the ambient input: swapped where the sound gets there first
static bool
alone(FhSoundcheck* const take, const FhActivity* const a, const FhSpans* const spans, const size_t mic,
      const double least,
      FhWork* const work, FhFindings* const findings)
{
  FhLag        lag   = {0};
  const double level = median_level(take, a, mic, true, work->other, work->scratch);
  if (!(level < -FH_LOUDER)) {
    return false;
  }
  const bool later = !a->field && !spans->moving && comes_later(take, spans, mic, &lag);
  if (!later && (!fh_check_lag(take, spans, mic, take->closes, &lag) || lag.delay > -FH_NEAREST * take->rate ||
                 (!spans->moving && lag.strength < least))) {
    return false;
  }
  char why[160];
  snprintf(why, sizeof(why), "the soloist is %.0f dB louder and %.1f ms earlier on the ambient input", -level,
           -1000.0 * lag.delay / take->rate);
  say_swapped(take, mic, -level, why, findings);
  return true;
}

/// Does somebody play for a while whom the ambient input hears loudly and the close one hardly at all?
static bool
only_there(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic, FhWork* const work)
{
  size_t count = 0;
  for (size_t i = 0; i < a->count; ++i) {
    count += work->other[i];
  }
  const double close   = median_level(take, a, mic, false, work->other, work->scratch);
  const double ambient = median_level(take, a, take->closes, false, work->other, work->scratch);
  return (double)(count * a->hop) > FH_WHILE * take->rate && close - ambient < -FH_ONLY &&
         close < a->rest[mic] + FH_NEAR_REST && ambient > a->rest[take->closes] + FH_FAR_FROM_REST;
}

static bool
plays_there(FhSoundcheck* const take, const FhActivity* const a, const size_t mic, FhWork* const work, FhFindings* const findings)
{
  if (!only_there(take, a, mic, work)) {
    return false;
  }
  const double there = median_level(take, a, mic, true, work->other, work->scratch);
  char         why[160];
  snprintf(why, sizeof(why), "what plays alone is %.0f dB louder on the ambient input", -there);
  say_swapped(take, mic, -there, why, findings);
  return true;
}

/// There is field in the take, too: by the arrival if the soloist plays without it, else by who gets louder
static bool
with_field(FhSoundcheck* const take, const FhActivity* const a, const size_t mic, FhWork* const work,
           FhFindings* const findings)
{
  FhLag usual = {0};
  fh_marked_spans(take, a, work->here, work->spans);
  const bool read = fh_find_lag(take->mic[mic], take->mic[take->closes], take->frames, take->rate, work->spans->list,
                                work->spans->count, (size_t)(FH_MOST_DELAY * take->rate), &usual);
  fh_marked_spans(take, a, work->other, work->spans);
  if (alone(take, a, work->spans, mic, fmax(FH_ONE_SOURCE, read ? usual.strength + FH_STRONGER : 0.0), work,
            findings)) {
    return true;
  }
  if (plays_there(take, a, mic, work, findings)) {
    return true;
  }
  // Frames called `here` are then those in which the soloist rests
  const double close   = median_level(take, a, mic, false, work->here, work->scratch) -
                         median_level(take, a, mic, false, work->other, work->scratch);
  const double ambient = median_level(take, a, take->closes, false, work->here, work->scratch) -
                         median_level(take, a, take->closes, false, work->other, work->scratch);
  // and a soloist who is the louder there, as one is who plays into it
  const bool louder = median_level(take, a, mic, true, work->other, work->scratch) < -FH_LOUDER;
  if (!(louder && close < FH_STEADY && ambient < -FH_SETS_IN && a->peak[mic] - a->rest[mic] < FH_PLAYS_ON)) {
    return false;
  }
  char why[160];
  snprintf(why, sizeof(why), "where the soloist sets in, the ambient input gets %.0f dB louder and the other does not",
           -ambient);
  say_swapped(take, mic, -ambient, why, findings);
  return true;
}

static bool
check_each(FhSoundcheck* const take, const FhActivity* const a, const FhSpans spans[FH_MICS], FhWork* const work,
           FhFindings* const findings)
{
  const double loud = fmax(a->peak[take->closes] - FH_LOUD, 0.5 * (a->peak[take->closes] + a->rest[take->closes]));
  for (size_t i = 0; i < a->count; ++i) {
    work->here[i]  = a->audible[i] && a->solo[i];
    work->other[i] = a->field ? !a->solo[i] && (a->active[i] || (a->audible[i] && a->level[take->closes][i] > loud)) : a->level[take->closes][i] > loud;
  }
  for (size_t mic = 0; mic < take->closes; ++mic) {
    if (fh_same_sound(take, mic, take->closes)) {
      return false; // and then the ambient microphone is nowhere
    }
  }
  for (size_t mic = 0; mic < take->closes; ++mic) {
    const FhSpans* where = &spans[mic];
    if (!where->moving && !a->field) {
      fh_marked_spans(take, a, work->other, work->spans);
      where = work->spans;
    }
    if (a->field ? with_field(take, a, mic, work, findings)
                 : alone(take, a, where, mic, FH_ONE_SOURCE, work, findings) || plays_there(take, a, mic, work, findings)) {
      return true;
    }
  }
  return false;
}

bool
fh_check_swapped(FhSoundcheck* const take, const FhActivity* const activity, const FhSpans spans[FH_MICS],
                 FhFindings* const findings)
{
  FhWork work = {malloc(activity->count * sizeof(bool)), malloc(activity->count * sizeof(bool)),
                 malloc(activity->count * sizeof(double)), malloc(sizeof(FhSpans))};
  const bool swapped = work.here && work.other && work.scratch && work.spans &&
                       check_each(take, activity, spans, &work, findings);
  free(work.here);
  free(work.other);
  free(work.scratch);
  free(work.spans);
  return swapped;
}
