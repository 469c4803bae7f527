// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file duck.h
/// Per-band gain that takes the predicted pickup out of the sum while the soloist plays. Thread: audio, once a tick.

#ifndef FRONTHASH_DSP_DUCK_H
#define FRONTHASH_DSP_DUCK_H

#include "dsp/simd.h"

/// Set by the host
typedef struct {
  float margin; ///< Factor on the predicted pickup's power
  float depth;  ///< Smallest power gain, 0..1
  float up;     ///< One-pole coefficient while a band recovers, per tick
  float down;   ///< One-pole coefficient while a band is turned down, per tick
} FhDuck;

/// Power subtraction with an over-estimate and a floor (M. Berouti, R. Schwartz, J. Makhoul, ICASSP 1979):
/// sqrt(max(1 - margin * pickup / close, depth)). Mean squares in.
/// @param gain Smoothed: amplitude per band, now
static inline void
fh_duck_tick(const FhDuck* const duck, fh_v8* const gain, const fh_v8 close, const fh_v8 pickup)
{
  const fh_v8 left   = 1.0f - duck->margin * pickup / (close + 1e-12f);
  const fh_v8 target = fh_v8_sqrt(fh_v8_max(left, fh_v8_set(duck->depth)));
  const fh_v8 pole   = fh_v8_select(fh_v8_above(target, *gain), fh_v8_set(duck->up), fh_v8_set(duck->down));
  *gain              = fh_v8_min(fh_v8_fma(pole, *gain - target, target), fh_v8_set(1.0f));
}

#endif
