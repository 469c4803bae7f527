// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fixed_gate.h
/// Reference: the best textbook gate with fixed threshold, its settings chosen in hindsight for each scene.
///
/// Feed-forward gate on the close microphones alone: one-pole mean-square level, threshold with hysteresis, hold,
/// one-pole smoothing of the gain with attack and release (ballistics as in D. Giannoulis, M. Massberg, J. D. Reiss,
/// JAES 60(6), 2012), range. Decision and gain move in steps of 1 ms. Threshold (1 dB steps), hysteresis,
/// hold, release, range and level time constant are searched one after the other, over and over until none helps,
/// from two starting points. Thread: any.

#ifndef FRONTHASH_SCENES_FIXED_GATE_H
#define FRONTHASH_SCENES_FIXED_GATE_H

#include "truth.h"

/// Settings of the gate, as indices into the searched values or as what they mean
typedef struct {
  double threshold;  ///< dBFS, mean square
  double hysteresis; ///< dB
  double hold;       ///< ms
  double release;    ///< ms
  double range;      ///< dB
  double average;    ///< ms
} FhFixedGate;

/// SI-SDR of the best gate, dB. @param best Receives its settings; may be NULL
double fh_fixed_gate_best(const FhTruth* truth, FhFixedGate* best);

/// SI-SDR with given settings, dB
double fh_fixed_gate_score(const FhTruth* truth, const FhFixedGate* gate);

#endif
