// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What the colour of the soloist's sound tells: a microphone so near that its pattern swells the lows (proximity effect), or one
// that the soloist turns away from: it hears them duller than the ambient microphone does. The soloist's sound is followed
// from one microphone to the other by correlation, so that what else the ambient one hears does not count; what the field
// says of the two microphones is taken off.

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_TONE_WINDOW 0.08 // s
#define FH_BOOMY (-3.0)    // dB of the lows against the middle; usual are -5 and less
#define FH_CLEAR 15.0       // dB between soloist and field
#define FH_LOWEST 36        // MIDI; a tuba has so much of itself
#define FH_ARRIVES 15.0     // times over the usual correlation: below, a few notes and what the ground returns decide
#define FH_OVER_REST 17.0   // dB over the quietest tenth: below, the crowd at the ambient microphone has a say
#define FH_DULL 1.5         // dB; usual are -0.4 and less, and with a bell far less: it beams its highs at the close microphone
#define FH_FAINTEST (-38.0) // dB of the soloist, close to ambient, against the field's: below, it is something else
#define FH_UNDER_FIELD 8.5  // dB by which the ambient microphone must hear less of highs than while the field plays: else it plays

enum { FH_LOWS, FH_BODY, FH_MIDDLE, FH_HIGHS, FH_BANDS };

/// Hz
static const double bands[FH_BANDS][2] = {{50.0, 150.0}, {200.0, 800.0}, {500.0, 1000.0}, {2500.0, 6000.0}};

/// Levels of a microphone per band, dB
typedef struct {
  double solo[FH_BANDS], field[FH_BANDS]; ///< Mean power while the soloist plays, while the field does
  double rest[FH_BANDS];                  ///< Passed in nine tenths of the take
} FhTone;

/// @return False without memory.
static bool
band_levels(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic, FhTone* const tone)
{
  FhSpectrum   s;
  const size_t length = (size_t)(FH_TONE_WINDOW * take->rate);
  const size_t most   = a->count / 4 + 1;
  double       sum[2][FH_BANDS] = {{0.0}};
  size_t       n = 0, count[2] = {0};
  double* const all = malloc(FH_BANDS * most * sizeof(double));
  const bool    ok  = fh_spectrum_init(&s, length, fh_power_of_two((double)length)) && all;
  for (size_t i = 0; ok && i < a->count; i += 4, ++n) {
    fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)(i * a->hop) - (ptrdiff_t)(length / 2));
    const bool solo = a->solo[i];
    for (size_t band = 0; band < FH_BANDS; ++band) {
      const double power   = fh_spectrum_band(&s, take->rate, bands[band][0], bands[band][1]);
      all[band * most + n] = power;
      sum[solo][band] += solo || a->audible[i] ? power : 0.0;
    }
    count[solo] += solo || a->audible[i];
  }
  for (size_t band = 0; ok && band < FH_BANDS; ++band) {
    tone->solo[band]  = fh_decibels(sum[1][band] / fmax((double)count[1], 1.0));
    tone->field[band] = fh_decibels(sum[0][band] / fmax((double)count[0], 1.0));
    tone->rest[band]  = fh_decibels(fh_percentile(&all[band * most], n, 0.1));
  }
  free(all);
  fh_spectrum_free(&s);
  return ok;
}

/// By how many dB the ambient microphone hears the soloist brighter than the close one does, beyond what it does with the field
/// @return NAN where that cannot be told.
static double
dullness(const FhSoundcheck* const take, const FhArrivals* const arrivals, const FhTone tone[2])
{
  double                 gain[FH_BANDS] = {0.0};
  const FhArrival* const direct         = &arrivals->list[FH_ARRIVES_DIRECT];
  if (arrivals->first != FH_ARRIVES_DIRECT || tone[1].solo[FH_HIGHS] > tone[1].field[FH_HIGHS] - FH_UNDER_FIELD) {
    return (double)NAN;
  }
  for (size_t band = FH_MIDDLE; band <= FH_HIGHS; ++band) {
    const bool own = tone[0].solo[band] > tone[0].rest[band] + FH_OVER_REST;
    gain[band]     = !own ? (double)NAN
                          : fh_correlation_gain(arrivals->heard, bands[band][0], bands[band][1], direct->lag.delay / take->rate) -
                              (tone[1].field[band] - tone[0].field[band]);
  }
  return direct->stands > FH_ARRIVES && gain[FH_MIDDLE] > FH_FAINTEST ? gain[FH_HIGHS] - gain[FH_MIDDLE] : (double)NAN;
}

bool
fh_check_tone(const FhSoundcheck* const take, const FhActivity* const a, const FhArrivals* const arrivals,
              const FhCheckOptions* const options, FhFindings* const findings)
{
  FhTone tone[2];
  if (options->kind != FH_CHECK_SOLOIST || fh_found(findings, "no_signal") || fh_found(findings, "same_signal")) {
    return true;
  }
  if (!band_levels(take, a, 0, &tone[0]) || !band_levels(take, a, 1, &tone[1])) {
    return false;
  }
  const double lows  = tone[0].solo[FH_LOWS] - tone[0].solo[FH_BODY];
  const bool   clear = !a->field || a->solo_difference - a->field_difference > FH_CLEAR; // else they are the field's
  if (clear && lows > FH_BOOMY && options->low >= FH_LOWEST && !fh_found(findings, "wind")) {
    fh_find(findings, true, "near", lows, "dB",
            "The lows of the close microphone are swollen (%.0f dB below 150 Hz against the middle): it is too near for its "
            "pattern; move it a hand's width back, or cut the lows at the desk.",
            lows);
  }
  const double dull = a->field ? dullness(take, arrivals, tone) : (double)NAN;
  if (dull > FH_DULL) {
    fh_find(findings, true, "off_axis", dull, "dB",
            "The close microphone hears the soloist %.0f dB duller (above 2.5 kHz against the middle) than the ambient one does: they "
            "turn away from it, or it points past them; aim it at where the sound leaves the instrument.",
            dull);
  }
  return true;
}
