// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file guard.h
/// The outer guard: whatever the decision says, a soloist who is plain is heard.
///
/// A decision can be wrong for a whole show: thresholds learnt from the wrong sound, bands not trusted, a model that never met
/// this instrument. What no field does, though, is to stand 12 dB over its own pickup in three bands at once and be periodic
/// while it does: wind, crowd and drums are noise, or over at once. So the gate does not stay shut for more than a second of that,
/// and opens on nothing less, above all not on the field itself. It knows powers and the pickup that is predicted of them,
/// and nothing of the decision but whether the gate is open. Thread: audio.

#ifndef FRONTHASH_DSP_GUARD_H
#define FRONTHASH_DSP_GUARD_H

#include "dsp/detector.h"

#define FH_GUARD_LAGS 96 ///< Ticks, some 30 ms: a period of the lowest brass

typedef struct {
  float sound[FH_HOP_TICKS + FH_GUARD_LAGS]; ///< Changes of the close microphones from tick to tick, the newest first
  fh_v8 alike[FH_GUARD_LAGS / 8];            ///< Products with what was a lag before, over some 40 ms; a lane for each lag from 0
  float sum, last;                           ///< Of this hop so far, and of the last tick
  float shut_s;                              ///< For how long the gate has been shut in spite of a plain soloist
  float open_s;                              ///< For how long it is to be open yet
} FhGuard;

/// Once a tick
/// @param tick Of the hop @param sum All samples of the close microphones since the hop began
static inline void
fh_guard_tick(FhGuard* const guard, const int tick, const float sum)
{
  const float now                       = sum - guard->sum;
  guard->sound[FH_HOP_TICKS - 1 - tick] = now - guard->last;
  guard->last                           = now;
  guard->sum                            = tick == FH_HOP_TICKS - 1 ? 0.0f : sum;
}

/// Once a hop. @param open The gate is open @param over Close power over predicted pickup per band, power ratio
void fh_guard_hop(FhGuard* guard, float hops_per_second, bool open, fh_v8 over);

#endif
