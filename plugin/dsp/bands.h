// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file bands.h
/// Split up to four microphones into eight bands whose plain sum is flat in magnitude.
///
/// A tree of fourth-order Linkwitz-Riley crossovers (S. Linkwitz, "Active Crossover Networks for Noncoincident
/// Drivers", JAES 24(1), 1976) at 150, 300, 600, 1200, 2400, 4800 and 9600 Hz; each branch passes the all-pass of the
/// crossovers that only the other branch has, so that the branches stay in phase. Sections are
/// trapezoidal-integrated state variable filters: one section gives low-pass and all-pass at once, and
/// high = all-pass - low. No latency. Crossovers above 0.49 of the sample rate sit there: bands above Nyquist are empty.

#ifndef FRONTHASH_DSP_BANDS_H
#define FRONTHASH_DSP_BANDS_H

#include "dsp/simd.h"
#include "ports.h"

#define FH_CROSSOVERS (FH_BANDS - 1)
#define FH_MICS 4   ///< Lanes of one half of the tree: close 1, close 2, ambient, unused
#define FH_FOLDED 4 ///< Vectors of a split: vector j holds band j in its lower and band j + 4 in its upper half

/// Crossover frequencies in Hz
extern const float fh_crossovers[FH_CROSSOVERS];

/// One second-order section, Q = 0.7071, for all lanes (V. Zavalishin, "The Art of VA Filter Design", ch. 3-4)
typedef struct {
  fh_v8 g, a1, a2, a3;
} FhSection;

typedef struct {
  fh_v8 s1, s2;
} FhSectionState;

enum {
  FH_SECTION_ROOT,      ///< Split at 1200 Hz
  FH_SECTION_ALIGN,     ///< Three all-passes: 2400, 4800, 9600 Hz below, 150, 300, 600 Hz above
  FH_SECTION_HALF = 4,  ///< Split at 300 and 4800 Hz
  FH_SECTION_ALIGN_LOW, ///< All-pass 600 and 9600 Hz for the lower quarters
  FH_SECTION_ALIGN_HIGH, ///< All-pass 150 and 2400 Hz for the upper quarters
  FH_SECTION_LOW,       ///< Split at 150 and 2400 Hz
  FH_SECTION_HIGH,      ///< Split at 600 and 9600 Hz
  FH_SECTIONS
};

#define FH_SPLITS 4 ///< Of the sections, those that split: they need a second section

typedef struct {
  FhSection      section[FH_SECTIONS];
  FhSectionState first[FH_SECTIONS];
  FhSectionState second[FH_SECTIONS]; ///< Used by the splits
} FhBands;

/// Compute coefficients for a sample rate in Hz and clear the state. Thread: instantiation.
void fh_bands_init(FhBands* bands, double rate);

/// Clear the state. Thread: any but while running.
void fh_bands_reset(FhBands* bands);

/// Number of bands that lie at least half below Nyquist. Thread: any.
int fh_bands_usable(double rate);

// What does not need the new sample is grouped so that it is ready before the sample arrives: sections in a row then cost
// two operations of delay each
static inline fh_v8
fh_section_low(const FhSection* const c, FhSectionState* const s, const fh_v8 x, fh_v8* const band)
{
  const fh_v8 rest1 = c->a1 * s->s1 - c->a2 * s->s2;
  const fh_v8 rest2 = s->s2 + c->g * rest1;
  const fh_v8 v1    = rest1 + c->a2 * x;
  const fh_v8 v2    = rest2 + c->a3 * x;
  s->s1             = (v1 + v1) - s->s1;
  s->s2             = (v2 + v2) - s->s2;
  *band             = v1;
  return v2;
}

static inline fh_v8
fh_section_allpass(const FhSection* const c, FhSectionState* const s, const fh_v8 x)
{
  fh_v8 band;
  (void)fh_section_low(c, s, x, &band);
  return x - 2.82842712f * band;
}

/// Split once: returns the low branch, writes the high branch
static inline fh_v8
fh_section_split(const FhSection* const c,
                 FhSectionState* const  first,
                 FhSectionState* const  second,
                 const fh_v8            x,
                 fh_v8* const           high)
{
  fh_v8       band, unused;
  const fh_v8 once = fh_section_low(c, first, x, &band);
  const fh_v8 low  = fh_section_low(c, second, once, &unused);
  *high            = (x - 2.82842712f * band) - low;
  return low;
}

/// Split one sample of all microphones. Thread: audio.
static inline void
fh_bands_split(FhBands* const t, const fh_v4 x, fh_v8 out[FH_FOLDED])
{
  const fh_v8 both = __builtin_shufflevector(x, x, 0, 1, 2, 3, 0, 1, 2, 3);

  fh_v8       high;
  const fh_v8 low  = fh_section_split(&t->section[FH_SECTION_ROOT],
                                     &t->first[FH_SECTION_ROOT],
                                     &t->second[FH_SECTION_ROOT],
                                     both,
                                     &high);
  fh_v8 half = __builtin_shufflevector(low, high, 0, 1, 2, 3, 12, 13, 14, 15);
  for (int i = FH_SECTION_ALIGN; i < FH_SECTION_HALF; ++i) {
    half = fh_section_allpass(&t->section[i], &t->first[i], half);
  }

  fh_v8 quarter_high;
  fh_v8 quarter_low = fh_section_split(&t->section[FH_SECTION_HALF],
                                       &t->first[FH_SECTION_HALF],
                                       &t->second[FH_SECTION_HALF],
                                       half,
                                       &quarter_high);
  quarter_low = fh_section_allpass(&t->section[FH_SECTION_ALIGN_LOW], &t->first[FH_SECTION_ALIGN_LOW], quarter_low);
  quarter_high =
    fh_section_allpass(&t->section[FH_SECTION_ALIGN_HIGH], &t->first[FH_SECTION_ALIGN_HIGH], quarter_high);

  out[0] = fh_section_split(
    &t->section[FH_SECTION_LOW], &t->first[FH_SECTION_LOW], &t->second[FH_SECTION_LOW], quarter_low, &out[1]);
  out[2] = fh_section_split(
    &t->section[FH_SECTION_HIGH], &t->first[FH_SECTION_HIGH], &t->second[FH_SECTION_HIGH], quarter_high, &out[3]);
}

#endif
