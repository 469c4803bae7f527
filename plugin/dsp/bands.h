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
/// A vector has four lanes for the lower half of the tree, then four for the upper half. Nothing passes between them but
/// the two branches of the root, which both compute.

#ifndef FRONTHASH_DSP_BANDS_H
#define FRONTHASH_DSP_BANDS_H

#include "dsp/simd.h"
#include "ports.h"

#include <stdint.h>

#define FH_CROSSOVERS (FH_BANDS - 1)
#define FH_TREES 2 ///< One for two closes, or close and ambient; one for the ambient beside two closes

/// Crossover frequencies in Hz
extern const float fh_crossovers[FH_CROSSOVERS];

/// Coefficients of one second-order section, for all lanes
typedef struct {
  fh_v8 keep, rise, turn;
  fh_v8 first; ///< A sixteenth of `rise`, for the first of two low-passes: what both gain
} FhSection;

typedef struct {
  fh_v8 next; ///< Of the next frame's `band` all but its x
  fh_v8 low;
} FhSectionState;

/// Two low-passes in a row
typedef struct {
  FhSectionState section[2];
  fh_v8 once, both; ///< From the first to the second, where that is a frame behind: low branch so far, all-pass
} FhSplitState;

/// Set up once. In brackets the four lanes of either half. Two microphones a and b: the closes, or close and ambient
typedef struct {
  FhSection top;     ///< [half of a, half of b, root of a, root of b]
  FhSection quarter; ///< [lower of a, upper of a, lower of b, upper of b]
  FhSection ambient; ///< Second tree: [half, root, lower quarter, upper quarter]

  /// All-passes: of each quarter that of the other, then in a chain the three of the other half
  FhSection join;  ///< Two closes: as `quarter`. One: [lower quarter, upper quarter, first of chain, second]
  FhSection chain; ///< Two closes: [first of a, first of b, second of a, second of b]
  FhSection last;  ///< Third of the chain. Two closes: [unused, unused, a, b]. One: in the last lane
} FhBands;

/// What has gone through so far; all zero at first
typedef struct {
  FhSplitState   top_state, quarter_state, ambient_state;
  FhSectionState join_state, chain_state, last_state;
  fh_v8          to_top, to_quarter, to_ambient; ///< From level to level, where each is some frames behind
} FhBandsState;

/// Compute coefficients for a sample rate in Hz and 1 or 2 close microphones. Thread: instantiation.
void fh_bands_init(FhBands* bands, double rate, uint32_t closes);

/// Number of bands that lie at least half below Nyquist. Thread: any.
int fh_bands_usable(double rate);

#endif
