// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file plain_split.h
/// The engine's band split as a textbook would build it: per band a row of second-order sections in double precision.
///
/// Each band passes a low- or high-pass at every crossover on its way through the tree, twice (Linkwitz-Riley of fourth
/// order is two Butterworth filters in a row), and an all-pass at every other, so that all bands stay in phase. Sections
/// by the bilinear transform of the analogue prototypes with s = tan(pi f / rate) (A. V. Oppenheim, R. W. Schafer,
/// "Discrete-Time Signal Processing", ch. 7), transposed direct form II. Slow, plain, and shares no code with the engine.

#ifndef FRONTHASH_TESTS_PLAIN_SPLIT_H
#define FRONTHASH_TESTS_PLAIN_SPLIT_H

#include "dsp/bands.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#define PLAIN_SECTIONS 10 ///< Per band: three crossovers twice, four all-passes

typedef struct {
  double b0, b1, b2, a1, a2, s1, s2;
} PlainSection;

typedef struct {
  PlainSection section[FH_BANDS][PLAIN_SECTIONS];
} PlainSplit;

enum { PLAIN_LOW, PLAIN_HIGH, PLAIN_ALL };

/// Crossovers a band passes on its way through the tree; it lies above those whose index is less than its own
static const int plain_way[FH_BANDS][3] = {
  {3, 1, 0}, {3, 1, 0}, {3, 1, 2}, {3, 1, 2}, {3, 5, 4}, {3, 5, 4}, {3, 5, 6}, {3, 5, 6}};

/// Second-order Butterworth low- or high-pass, or the all-pass with the same poles
static inline PlainSection
plain_section(const int kind, const double hz, const double rate)
{
  const double g = tan(3.14159265358979324 * hz / rate);
  const double q = sqrt(2.0) * g;
  const double d = 1.0 + q + g * g;

  PlainSection s = {.a1 = 2.0 * (g * g - 1.0) / d, .a2 = (1.0 - q + g * g) / d};
  if (kind == PLAIN_LOW) {
    s.b0 = s.b2 = g * g / d;
    s.b1        = 2.0 * s.b0;
  } else if (kind == PLAIN_HIGH) {
    s.b0 = s.b2 = 1.0 / d;
    s.b1        = -2.0 * s.b0;
  } else {
    s.b0 = s.a2;
    s.b1 = s.a1;
    s.b2 = 1.0;
  }
  return s;
}

static inline void
plain_split_init(PlainSplit* const split, const double rate)
{
  memset(split, 0, sizeof(*split));
  for (int band = 0; band < FH_BANDS; ++band) {
    PlainSection* next = split->section[band];
    for (int c = 0; c < FH_CROSSOVERS; ++c) {
      const int* const way    = plain_way[band];
      const bool       passed = way[0] == c || way[1] == c || way[2] == c;
      const int        kind   = !passed ? PLAIN_ALL : c < band ? PLAIN_HIGH : PLAIN_LOW;
      const double     hz     = fmin((double)fh_crossovers[c], 0.49 * rate);
      *next++                 = plain_section(kind, hz, rate);
      if (passed) {
        *next++ = plain_section(kind, hz, rate);
      }
    }
  }
}

/// Split one sample; the plain sum of the bands is flat in magnitude
static inline void
plain_split(PlainSplit* const split, const double x, double out[FH_BANDS])
{
  for (int band = 0; band < FH_BANDS; ++band) {
    double v = x;
    for (int i = 0; i < PLAIN_SECTIONS; ++i) {
      PlainSection* const s = &split->section[band][i];
      const double        y = s->b0 * v + s->s1;
      s->s1                 = s->b1 * v - s->a1 * y + s->s2;
      s->s2                 = s->b2 * v - s->a2 * y;
      v                     = y;
    }
    out[band] = v;
  }
}

#endif
