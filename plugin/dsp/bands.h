// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file bands.h
/// Tree of crossovers that splits two microphones into eight bands, and joins bands so that their sum is flat.
///
/// Fourth-order Linkwitz-Riley crossovers (S. Linkwitz, "Active Crossover Networks for Noncoincident Drivers", JAES
/// 24(1), 1976) at 150, 300, 600, 1200, 2400, 4800 and 9600 Hz: first at 1200 Hz, then each half, then each quarter.
/// Where branches join again, each passes the all-passes of the crossovers that only the other branch has, which keeps
/// them in phase: the sum of all bands is flat in magnitude. No latency. Crossovers above 0.49 of the sample rate sit
/// there: bands above Nyquist are empty.
///
/// A section is the bilinear transform of a second-order filter with Q = 0.7071, written with two integrators so that
/// rounding does little harm where a crossover is low against the sample rate (R. H. Middleton, G. C. Goodwin, "Improved
/// Finite Word Length Characteristics in Digital Control Using Delta Operators", IEEE TAC 31(11), 1986). With x1 for x a
/// frame ago, and so on:
///   band = keep band1 + (x + x1 - low2);  low = low1 + rise band
///   low-pass = (low + low1) / 4;  all-pass = x + turn band
/// so that one section gives the first half of the low branch and the all-pass, and high = all-pass - low.
///
/// Lanes of a vector are, from the lowest bit up: microphone of a tree, lower or upper half, lower or upper quarter.

#ifndef FRONTHASH_DSP_BANDS_H
#define FRONTHASH_DSP_BANDS_H

#include "dsp/simd.h"
#include "ports.h"

#define FH_CROSSOVERS (FH_BANDS - 1)
#define FH_TREES 2  ///< Pairs of microphones: the closes (or close and ambient), and the ambient beside two closes
#define FH_ALIGNS 3 ///< Crossovers within one half

/// Crossover frequencies in Hz
extern const float fh_crossovers[FH_CROSSOVERS];

/// Coefficients of one second-order section, for all lanes
typedef struct {
  fh_v8 keep, rise, turn;
} FhSection;

typedef struct {
  fh_v8 x, band, low, before; ///< x1, band1, low1, low2
} FhSectionState;

/// Two low-passes in a row
typedef struct {
  FhSectionState first, second; ///< The first holds a sixteenth of its `low`, for what two low-passes gain
} FhSplitState;

typedef struct {
  FhSection top;              ///< 1200 Hz, lanes: microphone of both trees; 300 and 4800 Hz, lanes: half, microphone
  FhSection quarter;          ///< 150, 600, 2400, 9600 Hz; lanes: quarter, half, microphone
  FhSection align_quarter;    ///< The crossover of the other quarter; likewise
  FhSection align[FH_ALIGNS]; ///< The crossovers of the other half; lanes: (twice), half, microphone

  FhSplitState   top_state;   ///< With the halves of the first tree
  FhSplitState   other_state; ///< Halves of the second tree; the first four lanes are unused
  FhSplitState   quarter_state[FH_TREES];
  FhSectionState align_quarter_state;
  FhSectionState align_state[FH_ALIGNS];
} FhBands;

/// Compute coefficients for a sample rate in Hz and clear the state. Thread: instantiation.
void fh_bands_init(FhBands* bands, double rate);

/// Clear the state. Thread: any but while running.
void fh_bands_reset(FhBands* bands);

/// Number of bands that lie at least half below Nyquist. Thread: any.
int fh_bands_usable(double rate);

#endif
