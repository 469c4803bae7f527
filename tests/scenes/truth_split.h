// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file truth_split.h
/// The stems through the plugin's band split, and ideal gains on its bands. Thread: any.

#ifndef FRONTHASH_SCENES_TRUTH_SPLIT_H
#define FRONTHASH_SCENES_TRUTH_SPLIT_H

#include "truth.h"

/// Energy per tick and band, summed over the close microphones
typedef struct {
  float* solo[FH_BANDS];
  float* pickup[FH_BANDS];
} FhBandEnergy;

/// Split both stems of every close microphone; fill truth's solo, pickup and ideal, and the energies.
/// Ideal gains: S / (S + P) of the stems' own band powers, one-pole averages of 10 ms (20 ms below 300 Hz).
void fh_truth_split(FhTruth* truth, const FhScene* scene, FhBandEnergy* energy);

#endif
