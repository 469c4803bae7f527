// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/standing.h"

#include "command/measure/spectrum.h"

#include <math.h>

#define FH_BRIDGE 0.19 // s, about the hold and the release that the plugin comes with

/// Mean powers of the close microphones together and of the ambient one, dBFS
typedef struct {
  double close, ambient;
} FhPlaying;

static double
power_of(const double db)
{
  return pow(10.0, db / 10.0);
}

/// Over the stretches in which the soloist plays, short rests within them included, as the gate holds over these; or over the
/// field's. To take only the moments in which the soloist is loud would flatter.
static FhPlaying
playing(const FhSoundcheck* const take, const FhActivity* const a, const bool solo)
{
  const size_t bridge = (size_t)(FH_BRIDGE * take->rate) / a->hop;
  double       close = 0.0, ambient = 0.0;
  size_t       since = bridge + 1, n = 0; // frames since the soloist was heard
  for (size_t i = 0; i < a->count; ++i) {
    since              = a->audible[i] && a->solo[i] ? 0 : since + 1;
    bool between       = since == 0;
    for (size_t k = i + 1; !between && since <= bridge && k <= i + bridge - since && k < a->count; ++k) {
      between = a->audible[k] && a->solo[k];
    }
    if (a->audible[i] && between == solo) {
      close += power_of(a->close[i]);
      ambient += power_of(a->level[take->closes][i]);
      ++n;
    }
  }
  const double count = fmax((double)n, 1.0);
  return (FhPlaying){fh_decibels(close / count), fh_decibels(ambient / count)};
}

/// How far the level difference rises when the soloist sets in over the field: where the take has the soloist without
/// the field, the field that is missing is added, as the ambient microphone hears it
static FhStandsOut
stand(const FhPlaying* const solo, const FhPlaying* const field)
{
  const double missing = fmax(0.0, power_of(field->ambient) - power_of(solo->ambient));
  const double ratio   = power_of(field->close - field->ambient);
  const double close   = power_of(solo->close) + missing * ratio;
  return (FhStandsOut){fh_decibels(close / (power_of(solo->ambient) + missing) / ratio), fh_decibels(close) - field->close};
}

FhStandsOut
fh_standing_of(const FhSoundcheck* const take, const FhActivity* const activity, double* const field_level)
{
  const FhPlaying solo  = playing(take, activity, true);
  const FhPlaying field = playing(take, activity, false);
  if (field_level) {
    *field_level = field.ambient;
  }
  return activity->field ? stand(&solo, &field) : (FhStandsOut){(double)NAN, (double)NAN};
}

bool
fh_standing_find(const FhSoundcheck* const take, FhStandsOut* const standing)
{
  FhActivity activity;
  const bool ok = fh_activity_find(take, false, &activity);
  if (ok) {
    *standing = fh_standing_of(take, &activity, NULL);
    fh_activity_free(&activity);
  }
  return ok;
}
