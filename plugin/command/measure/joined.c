// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/joined.h"

#include <math.h>
#include <stdlib.h>

#define FADE 0.02 // s

/// Choose the longest stretches up to a length in all; the last one is cut to fit
static FhStretches
choose(const FhStretches* const from, const double longest)
{
  FhStretches left   = *from;
  bool        taken[FH_LIST_MAX] = {false};
  double      room   = longest;
  for (size_t round = 0; round < from->count && room > 0.5; ++round) {
    size_t best  = from->count;
    double most  = 0.0;
    for (size_t i = 0; i < from->count; ++i) {
      const double length = from->at[i].end - from->at[i].start;
      if (!taken[i] && length > most) {
        most = length;
        best = i;
      }
    }
    if (best == from->count) {
      break;
    }
    taken[best]       = true;
    left.at[best].end = from->at[best].start + fmin(most, room);
    room -= fmin(most, room);
  }
  FhStretches chosen = {0};
  for (size_t i = 0; i < from->count; ++i) {
    if (taken[i]) {
      chosen.at[chosen.count++] = left.at[i];
    }
  }
  return chosen;
}

bool
fh_take_join(FhTake* const joined, const FhTake* const take, const FhStretches* const stretches, const double longest)
{
  const FhStretches chosen = choose(stretches, longest);
  const double      rate   = take->sound.rate;
  const size_t      fade   = (size_t)(FADE * rate);
  joined->variant          = take->variant;
  if (!fh_audio_alloc(&joined->sound, take->sound.channels, take->sound.rate,
                      (size_t)(fh_stretches_seconds(&chosen) * rate) + 1, take->sound.format)) {
    return false;
  }
  size_t at = 0;
  for (size_t i = 0; i < chosen.count; ++i) {
    const size_t start = (size_t)(chosen.at[i].start * rate);
    const size_t end   = (size_t)fmin(chosen.at[i].end * rate, (double)take->sound.frames);
    const size_t back  = at < fade ? at : fade; // overlap with what is there
    at -= back;
    for (size_t j = start; j < end && at < joined->sound.frames; ++j, ++at) {
      const float in = j - start < back ? (float)(j - start) / (float)back : 1.0f;
      for (uint32_t c = 0; c < take->sound.channels; ++c) {
        float* const to = &joined->sound.data[c][at];
        *to             = *to * (1.0f - in) + in * take->sound.data[c][j];
      }
    }
  }
  joined->sound.frames = at;
  return true;
}
