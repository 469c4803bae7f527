// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/standing.h"

#include "command/measure/filter.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_CLEAR 4.0       // dB
#define FH_LOWEST 40.0     // Hz
#define FH_HIGHEST 16000.0 // Hz
#define FH_BACKING 5.5     // dB by which a band backs a soloist more softly than it plays on the whole: of scenes to tune by, 5.3 +- 1.6
#define FH_BRIDGE 0.4      // s: on scenes with known truth the figure is right by this; by less loud moments alone count

/// Mean powers of the close microphones together and of the ambient one, dBFS
typedef struct {
  double close, ambient;
} FhPlaying;

static double
power_of(const double db)
{
  return pow(10.0, db / 10.0);
}

static double
difference(const FhSoundcheck* const take, const FhActivity* const a, const size_t frame)
{
  return a->close[frame] - a->level[take->closes][frame];
}

/// The level difference that the field alone hardly passes: soft notes lie between it and where the soloist usually is. By the lower
/// half of the field's frames, since such notes are among the upper ones
static double
passed_by_notes(const FhSoundcheck* const take, const FhActivity* const a, double* const scratch)
{
  size_t n = 0;
  for (size_t i = 0; i < a->count; ++i) {
    if (a->audible[i] && !a->solo[i]) {
      scratch[n++] = difference(take, a, i);
    }
  }
  const double middle = fh_percentile(scratch, n, 0.5);
  return middle + fmax(FH_CLEAR, 3.0 * (middle - fh_percentile(scratch, n, 0.16)));
}

/// Who plays in a frame of the activity: 1 the soloist, short rests included; 0 the field alone; -1 nobody
static void
mark(const FhSoundcheck* const take, const FhActivity* const a, const double least, signed char* const who)
{
  const size_t bridge = (size_t)(FH_BRIDGE * take->rate) / a->hop;
  size_t       last   = a->count; // frame in which the soloist was heard last
  for (size_t i = 0; i < a->count; ++i) {
    const bool solo = a->audible[i] && (a->solo[i] || difference(take, a, i) > least);
    who[i]          = (signed char)(!a->audible[i] ? -1 : solo);
    for (size_t k = last + 1; solo && k < i && i - last <= bridge + 1; ++k) {
      who[k] = a->audible[k] ? 1 : -1;
    }
    last = solo ? i : last;
  }
}

/// Add a microphone's powers over the frames of each. The limits of the verdict are broadband, so this is; below 40 Hz are wind and stands.
static void
add_powers(const FhSoundcheck* const take, const FhActivity* const a, const signed char* const who, const size_t mic, double sum[2])
{
  FhFilter filter   = fh_filter_make(take->rate, FH_LOWEST, fmin(FH_HIGHEST, 0.45 * take->rate));
  double   power[2] = {0.0, 0.0};
  size_t   n[2]     = {0, 0};
  for (size_t i = 0; i < take->frames; ++i) {
    const double x    = fh_filter_run(&filter, (double)take->mic[mic][i]);
    const size_t at   = (i + a->hop / 2) / a->hop;
    const int    part = at < a->count ? who[at] : -1;
    if (part >= 0) {
      power[part] += x * x;
      ++n[part];
    }
  }
  for (int part = 0; part < 2; ++part) {
    sum[part] += power[part] / fmax((double)n[part], 1.0);
  }
}

/// How far the level difference rises when the soloist sets in over the field. Where the soloist plays alone, as a scale is asked
/// for, the field that is missing is added, as the ambient microphone hears it: for the separation as softly as it would back the
/// soloist, for the rise as it is. A field that backs the soloist already is there: that is the music, and what the gate will have to do with.
static FhStandsOut
stand(const FhPlaying* const solo, const FhPlaying* const field, const bool alone)
{
  const double ratio = power_of(field->close - field->ambient), ambient = power_of(solo->ambient), close = power_of(solo->close);
  const double back  = fmax(0.0, power_of(field->ambient - FH_BACKING) - ambient);
  const double whole = alone ? fmax(0.0, power_of(field->ambient) - ambient) : 0.0;
  return (FhStandsOut){fh_decibels((close + back * ratio) / (ambient + back) / ratio), fh_decibels(close + whole * ratio) - field->close};
}

bool
fh_standing_of(const FhSoundcheck* const take, const FhActivity* const activity, FhStandsOut* const standing)
{
  signed char* const who     = malloc(activity->count);
  double* const      scratch = malloc(activity->count * sizeof(double));
  double close[2] = {0.0, 0.0}, ambient[2] = {0.0, 0.0};
  *standing = (FhStandsOut){(double)NAN, (double)NAN};
  const bool ok = who && scratch;
  if (ok && activity->field) {
    mark(take, activity, passed_by_notes(take, activity, scratch), who);
    for (size_t mic = 0; mic <= take->closes; ++mic) {
      add_powers(take, activity, who, mic, mic < take->closes ? close : ambient);
    }
    *standing = stand(&(FhPlaying){fh_decibels(close[1]), fh_decibels(ambient[1])}, &(FhPlaying){fh_decibels(close[0]), fh_decibels(ambient[0])},
                      activity->alone);
  }
  free(who);
  free(scratch);
  return ok;
}

bool
fh_standing_find(const FhSoundcheck* const take, FhStandsOut* const standing)
{
  FhActivity activity;
  bool       ok = fh_activity_find(take, false, &activity);
  if (ok) {
    ok = fh_standing_of(take, &activity, standing);
    fh_activity_free(&activity);
  }
  return ok;
}
