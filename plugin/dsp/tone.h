// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tone.h
/// Whether a microphone hears something periodic, as an instrument is and neither wind, crowd nor drums are: by the
/// autocorrelation of what it hears, a tick for a sample. Thread: audio.

#ifndef FRONTHASH_DSP_TONE_H
#define FRONTHASH_DSP_TONE_H

#include "dsp/tuning.h"

#include <stdbool.h>

typedef struct {
  float sound[FH_HOP_TICKS + FH_TONE_LAGS]; ///< Changes from tick to tick, the newest first
  fh_v8 alike[FH_TONE_LAGS / 8];            ///< Products with what was a lag before, over a while; a lane for each lag from 0
  float sum, last;                          ///< Of this hop so far, and of the last tick
} FhTone;

/// Once a tick
/// @param tick Of the hop @param sum All samples since the hop began
static inline void
fh_tone_tick(FhTone* const tone, const int tick, const float sum)
{
  const float now                      = sum - tone->sum;
  tone->sound[FH_HOP_TICKS - 1 - tick] = now - tone->last;
  tone->last                           = now;
  tone->sum                            = tick == FH_HOP_TICKS - 1 ? 0.0f : sum;
}

/// Once a hop. @param closely Compare each second tick with those before, not only each fourth @param kept Of the products so far
/// @return Whether what was heard over the last products comes again after some time
bool fh_tone_hop(FhTone* tone, bool closely, float kept);

#endif
