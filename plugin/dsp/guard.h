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

#include "dsp/tone.h"

typedef struct {
  FhTone tone;   ///< Of the close microphones
  bool   again;  ///< It was periodic over the last 60 ms
  float  shut_s; ///< Time for which the gate has been shut although a soloist is plain, s
  float  open_s; ///< Time for which it must still be open, s
} FhGuard;

/// Once a hop. @param open The gate is open @param over Close power over predicted pickup per band, power ratio
void fh_guard_hop(FhGuard* guard, float hops_per_second, bool open, fh_v8 over);

#endif
