// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file spoil_parts.h
/// How each fault is made.

#ifndef FRONTHASH_TEST_SPOIL_PARTS_H
#define FRONTHASH_TEST_SPOIL_PARTS_H

#include "spoil.h"

#include "../../scenes/random.h"

typedef struct {
  const FhRehearsal* rehearsal;
  size_t             closes, frames;
  double             rate;
  float*             solo[FH_MICS];  ///< Until they are mixed
  float*             field[FH_MICS];
  float*             sum[FH_MICS];   ///< From then on
  FhRandom           random;
} FhSpoiling;

/// Faults of places, in the stems
void fh_spoil_places(FhSpoiling* s, FhSpoil what, double amount);

/// Faults of microphones, inputs and plugs, in the mixed sound
void fh_spoil_sound(FhSpoiling* s, FhSpoil what, double amount);

#endif
