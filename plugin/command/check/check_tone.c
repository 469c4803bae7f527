// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What the colour of the soloist's sound tells: a microphone so near that its pattern swells the lows (proximity effect)

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_TONE_WINDOW 0.08 // s
#define FH_BANDS 2
#define FH_BOOMY (-3.0)    // dB of the lows against the middle; usual are -5 and less
#define FH_CLEAR 15.0       // dB between soloist and field
#define FH_LOWEST 36        // MIDI; a tuba has so much of itself

/// Hz
static const double bands[FH_BANDS][2] = {{50.0, 150.0}, {200.0, 800.0}};

/// Mean power of the bands of a microphone over marked frames, dB. @return False without memory.
static bool
band_levels(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic, const bool* const mark,
            double level[FH_BANDS])
{
  FhSpectrum   s;
  const size_t length = (size_t)(FH_TONE_WINDOW * take->rate);
  memset(level, 0, FH_BANDS * sizeof(*level));
  if (!fh_spectrum_init(&s, length, fh_power_of_two((double)length))) {
    return false;
  }
  for (size_t i = 0; i < a->count; i += 4) {
    if (mark[i]) {
      fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)(i * a->hop) - (ptrdiff_t)(length / 2));
      for (size_t band = 0; band < FH_BANDS; ++band) {
        level[band] += fh_spectrum_band(&s, take->rate, bands[band][0], bands[band][1]);
      }
    }
  }
  for (size_t band = 0; band < FH_BANDS; ++band) {
    level[band] = fh_decibels(level[band]);
  }
  fh_spectrum_free(&s);
  return true;
}

bool
fh_check_tone(const FhSoundcheck* const take, const FhActivity* const a, const FhCheckOptions* const options,
              FhFindings* const findings)
{
  double     level[FH_BANDS];
  const bool ok = options->kind != FH_CHECK_SOLOIST || band_levels(take, a, 0, a->solo, level);
  if (!ok || fh_found(findings, "wind") || fh_found(findings, "no_signal") || fh_found(findings, "same_signal") ||
      options->kind != FH_CHECK_SOLOIST || options->low < FH_LOWEST) {
    return ok;
  }
  const double lows  = level[0] - level[1];
  const bool   clear = !a->field || a->solo_difference - a->field_difference > FH_CLEAR; // else they are the field's
  if (clear && lows > FH_BOOMY) {
    fh_find(findings, true, "near", lows, "dB",
            "The lows of the close microphone are swollen (%.0f dB below 150 Hz against the middle): it is too near for its "
            "pattern; move it a hand's width back, or cut the lows at the desk.",
            lows);
  }
  return true;
}
