// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check.h"

#include <math.h>

/// Mean of the strokes of one note, over their powers
static FhPlace
gather(const FhStrokes* const strokes, const int note)
{
  FhPlace place                = {.note = note};
  double  power[FH_MICS] = {0.0}, total = 0.0, bright = 0.0;
  for (size_t i = 0; i < strokes->count; ++i) {
    const FhStroke* const s = &strokes->list[i];
    if (s->hz > 0.0 && s->note == note) {
      for (size_t mic = 0; mic < FH_MICS; ++mic) {
        power[mic] += pow(10.0, s->level[mic] / 10.0);
      }
      total += pow(10.0, s->total / 10.0);
      bright += s->bright;
      ++place.strokes;
    }
  }
  for (size_t mic = 0; place.strokes && mic < FH_MICS; ++mic) {
    place.level[mic] = 10.0 * log10(power[mic] / place.strokes);
  }
  place.total  = place.strokes ? 10.0 * log10(total / place.strokes) : 0.0;
  place.bright = place.strokes ? bright / place.strokes : 0.0;
  return place;
}

void
fh_gather_places(const FhStrokes* const strokes, FhReport* const report)
{
  report->count = 0;
  for (int note = 0; note < 128 && report->count < FH_PLACES_MAX; ++note) {
    const FhPlace place = gather(strokes, note);
    if (place.strokes) {
      report->places[report->count++] = place;
    }
  }
}
