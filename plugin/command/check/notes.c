// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Notes of a melody played alone. Pitch: normalised square difference function (McLeod and Wyvill, ICMC 2005), the
// autocorrelation by way of the power spectrum; a note is a stretch in which it keeps to one semitone.

#include "command/check/check.h"
#include "command/measure/filter.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_CLEAR 0.8    // value of the function below which there is no pitch
#define FH_CHOSEN 0.9   // of the highest peak: the first one above is the period
#define FH_SHORTEST 8   // frames of 10 ms that make a note
#define FH_BLIP 12      // frames
#define FH_SOFT 0.35    // of the way from the field's level difference to the soloist's
#define FH_WANDER 0.7   // semitones a note may wander

typedef struct {
  size_t       window, size;
  double*      square; ///< Running sum of squares
  FhBin*       bins;
  double*      signal;
  FhTransform* transform;
} FhTracker;

static void
tracker_free(FhTracker* const t)
{
  fh_transform_free(t->transform);
  free(t->square);
  free(t->bins);
  free(t->signal);
}

static bool
tracker_init(FhTracker* const t, const size_t window)
{
  memset(t, 0, sizeof(*t));
  t->window    = window;
  t->size      = fh_power_of_two(2.0 * (double)window);
  t->square    = malloc((window + 1) * sizeof(*t->square));
  t->bins      = malloc((t->size / 2 + 1) * sizeof(*t->bins));
  t->signal    = malloc(t->size * sizeof(*t->signal));
  t->transform = fh_transform_new(t->size);
  return t->square && t->bins && t->signal && t->transform;
}

/// Fill t->signal with the function for lags below half the window: 1 where the signal repeats itself
static void
difference_function(FhTracker* const t, const float* const x)
{
  double mean  = 0.0;
  t->square[0] = 0.0;
  for (size_t i = 0; i < t->window; ++i) {
    mean += (double)x[i] / (double)t->window;
  }
  for (size_t i = 0; i < t->size; ++i) {
    t->signal[i] = i < t->window ? (double)x[i] - mean : 0.0;
    if (i < t->window) {
      t->square[i + 1] = t->square[i] + t->signal[i] * t->signal[i];
    }
  }
  fh_transform_forward(t->transform, t->signal, t->bins);
  for (size_t bin = 0; bin <= t->size / 2; ++bin) {
    t->bins[bin][0] = t->bins[bin][0] * t->bins[bin][0] + t->bins[bin][1] * t->bins[bin][1];
    t->bins[bin][1] = 0.0;
  }
  fh_transform_back(t->transform, (const FhBin*)t->bins, t->signal);
  for (size_t lag = 0; lag < t->window / 2; ++lag) {
    const double both = t->square[t->window - lag] + t->square[t->window] - t->square[lag];
    t->signal[lag]    = both > 0.0 ? 2.0 * t->signal[lag] / (double)t->size / both : 0.0;
  }
}

/// @return The pitch in Hz, 0 where there is none between `low` and `high`
static double
pick_pitch(const FhTracker* const t, const double rate, const double low, const double high)
{
  const double* const n     = t->signal;
  const size_t        least = (size_t)fmax(floor(rate / high), 2.0);
  const size_t        most  = (size_t)fmin(ceil(rate / low), (double)(t->window / 2 - 2));
  double              top   = 0.0;
  size_t              from  = 1;
  while (from < most && n[from] > 0.0) {
    ++from; // past the peak at zero
  }
  from = from > least ? from : least;
  for (size_t lag = from; lag <= most; ++lag) {
    top = n[lag] > n[lag - 1] && n[lag] >= n[lag + 1] ? fmax(top, n[lag]) : top;
  }
  for (size_t lag = from; top > FH_CLEAR && lag <= most; ++lag) {
    if (n[lag] > n[lag - 1] && n[lag] >= n[lag + 1] && n[lag] >= FH_CHOSEN * top) {
      const double bend  = n[lag - 1] - 2.0 * n[lag] + n[lag + 1];
      const double shift = bend < 0.0 ? 0.5 * (n[lag - 1] - n[lag + 1]) / bend : 0.0;
      return rate / ((double)lag + shift);
    }
  }
  return 0.0;
}

/// Level and brightness of a note's inside
static bool
measure_note(const FhSoundcheck* const take, FhStroke* const note)
{
  const size_t length = note->end - note->start;
  FhSpectrum   s;
  if (!fh_spectrum_init(&s, length, fh_power_of_two((double)length))) {
    return false;
  }
  double total  = 0.0;
  double bright = 0.0;
  for (size_t mic = 0; mic < take->closes; ++mic) {
    fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)note->start);
    const double power = fh_spectrum_band(&s, take->rate, 0.7 * note->hz, 10000.0);
    note->level[mic]   = fh_decibels(power);
    total += power;
    bright += fh_spectrum_band(&s, take->rate, 2000.0, 10000.0);
  }
  note->total  = fh_decibels(total);
  note->bright = fh_decibels(bright) - note->total;
  fh_spectrum_free(&s);
  return true;
}

typedef struct {
  size_t from, to; ///< Frames of activity
  double semitones; ///< Mean so far
} FhRunning;

static bool
finish(const FhSoundcheck* const take, const FhActivity* const a, const FhRunning* const run, FhStrokes* const notes)
{
  if (run->to - run->from < FH_SHORTEST) {
    return true;
  }
  FhStroke note = {.start = run->from * a->hop, .end = run->to * a->hop};
  note.end      = note.end < take->frames ? note.end : take->frames;
  note.hz       = 440.0 * pow(2.0, (run->semitones - 69.0) / 12.0);
  note.note     = (int)lround(run->semitones);
  return measure_note(take, &note) && fh_strokes_add(notes, &note);
}

/// Does the soloist sound, be it softly?
static bool
sounds(const FhSoundcheck* const take, const FhActivity* const a, const size_t i)
{
  const double over = a->close[i] - a->level[take->closes][i] - a->field_difference;
  return a->solo[i] || (a->field && a->active[i] && over > FH_SOFT * (a->solo_difference - a->field_difference));
}

/// A blip that goes over into its own octave is how a reed begins that note, and no note
static void
leave_onsets(FhStrokes* const notes, const size_t hop)
{
  size_t kept = 0;
  for (size_t i = 0; i < notes->count; ++i) {
    const FhStroke* const n    = &notes->list[i];
    const bool            over = i + 1 < notes->count && n->end + 2 * hop >= n[1].start && abs(n[1].note - n->note) == 12;
    if (!over || n->end - n->start > FH_BLIP * hop) {
      notes->list[kept++] = *n;
    }
  }
  notes->count = kept;
}

/// The close microphone without what is lower than any note, as wind is. Free it. @return NULL without memory.
static float*
without_wind(const FhSoundcheck* const take, const double low)
{
  FhFilter     f[2] = {fh_filter_make(take->rate, low, 0.4 * take->rate), fh_filter_make(take->rate, low, 0.4 * take->rate)};
  float* const x    = malloc(take->frames * sizeof(*x));
  for (size_t i = 0; x && i < take->frames; ++i) {
    x[i] = (float)fh_filter_run(&f[1], fh_filter_run(&f[0], (double)take->mic[0][i]));
  }
  return x;
}

bool
fh_find_notes(const FhSoundcheck* const   take,
              const FhActivity* const     activity,
              const FhCheckOptions* const options,
              FhStrokes* const            notes)
{
  const double low    = 440.0 * pow(2.0, (options->low - 71) / 12.0);
  const double high   = 440.0 * pow(2.0, (options->high - 67) / 12.0);
  const size_t window = (size_t)(fmax(3.0 / low, 0.03) * take->rate);
  FhTracker    t;
  FhRunning    run = {0};
  float* const x   = without_wind(take, 0.7 * low);
  bool         ok  = tracker_init(&t, window) && x;
  for (size_t i = 0; ok && i <= activity->count; ++i) {
    const ptrdiff_t at   = (ptrdiff_t)(i * activity->hop) - (ptrdiff_t)(window / 2);
    double          tone = 0.0; // semitones; 0: none
    if (i < activity->count && sounds(take, activity, i) && at >= 0 && (size_t)at + window <= take->frames) {
      difference_function(&t, x + at);
      const double hz = pick_pitch(&t, take->rate, low, high);
      tone            = hz > 0.0 ? 69.0 + 12.0 * log2(hz / 440.0) : 0.0;
    }
    if (tone > 0.0 && run.to == i && i && fabs(tone - run.semitones) < FH_WANDER) {
      run.semitones += (tone - run.semitones) / (double)(i - run.from + 1);
      run.to = i + 1;
    } else {
      ok  = finish(take, activity, &run, notes);
      run = tone > 0.0 ? (FhRunning){i, i + 1, tone} : (FhRunning){0, 0, 0.0};
    }
  }
  leave_onsets(notes, activity->hop);
  free(x);
  tracker_free(&t);
  return ok;
}
