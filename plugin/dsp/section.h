// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file section.h
/// Second-order sections for as many lanes as fill a register: both halves of the tree or, with four lanes, one of them.
/// What a section computes is said in bands.h. Included by kernel.c only, compiled once per instruction set: see avx2_names.h.
/// Thread: audio.

#ifndef FRONTHASH_DSP_SECTION_H
#define FRONTHASH_DSP_SECTION_H

#include "dsp/bands.h"

#include <string.h>

/// All state stays in registers only if all is one function
#define FH_INLINE static inline __attribute__((always_inline))

#ifdef __AVX__

#define FH_WIDE 8
#define fh_v_fma fh_v8_fma
typedef fh_v8  V;
typedef double Pairs __attribute__((vector_size(32), may_alias));

/// The same four lanes of either half, picked from a (0 to 3) and b (4 to 7)
#define FH_PICK(a, b, i, j, k, l) \
  __builtin_shufflevector(a, b, FH_LOW(i), FH_LOW(j), FH_LOW(k), FH_LOW(l), FH_UP(i), FH_UP(j), FH_UP(k), FH_UP(l))
#define FH_LOW(i) ((i) < 4 ? (i) : (i) + 4)
#define FH_UP(i) (FH_LOW(i) + 4)

#else

#define FH_WIDE 4
#define fh_v_fma fh_v4_fma
typedef fh_v4  V;
typedef double Pairs __attribute__((vector_size(16), may_alias));

#define FH_PICK(a, b, i, j, k, l) __builtin_shufflevector(a, b, i, j, k, l)

#endif

typedef struct {
  V keep, rise, turn, first; ///< As FhSection
} Section;

typedef struct {
  V next, low; ///< As FhSectionState
} State;

typedef struct {
  State section[2];
  V     once, both; ///< From the first section to the second, one frame behind: low branch so far, all-pass
} Split;

/// Lanes from `lane` on of a vector of eight
FH_INLINE V
part(const fh_v8* const x, const int lane)
{
  return *(const V*)((const float*)x + lane);
}

FH_INLINE void
keep(fh_v8* const to, const int lane, const V x)
{
  *(V*)((float*)to + lane) = x;
}

FH_INLINE Section
section_of(const FhSection* const s, const int lane)
{
  return (Section){part(&s->keep, lane), part(&s->rise, lane), part(&s->turn, lane), part(&s->first, lane)};
}

/// Two floats over and over
FH_INLINE V
pairs_of(const float* const two)
{
  double both; // only moved: as a number it might be flushed to zero
  memcpy(&both, two, sizeof(both));
#if FH_WIDE == 8
  return (V)(Pairs){both, both, both, both};
#else
  return (V)(Pairs){both, both};
#endif
}

/// One float over and over
FH_INLINE V
all_of(const float x)
{
#if FH_WIDE == 8
  return fh_v8_set(x);
#else
  return fh_v4_set(x);
#endif
}

/// Of the root's branches the low one for the lower half, the high one for the upper half
FH_INLINE V
branch_of(const V low, const V high, const int lane)
{
#if FH_WIDE == 8
  (void)lane;
  return (V)_mm256_blend_ps((__m256)low, (__m256)high, 0xf0);
#else
  return lane ? high : low;
#endif
}

enum { LANE_0 = 1, LANE_1 = 2, LANE_2 = 4, LANE_3 = 8, LANES = 15 };

/// Some lanes of either half from `from`, the others as they were
FH_INLINE V
replaced(const V x, const V from, const int lanes)
{
  switch (lanes) {
  case LANE_0:
    return FH_PICK(x, from, 4, 1, 2, 3);
  case LANE_1:
    return FH_PICK(x, from, 0, 5, 2, 3);
  case LANE_2:
    return FH_PICK(x, from, 0, 1, 6, 3);
  case LANE_3:
    return FH_PICK(x, from, 0, 1, 2, 7);
  case LANE_0 | LANE_1:
    return FH_PICK(x, from, 4, 5, 2, 3);
  case LANE_2 | LANE_3:
    return FH_PICK(x, from, 0, 1, 6, 7);
  default:
    return from;
  }
}

FH_INLINE V
align(const Section c, State* const s, const V x)
{
  const V band = x + s->next;
  s->next      = fh_v_fma(c.keep, band, x - s->low);
  s->low       = fh_v_fma(c.rise, band, s->low);
  return fh_v_fma(c.turn, band, x);
}

/// Second section for the frame before: returns the low branch, writes the high branch. First section for this frame
FH_INLINE V
split(const Section c, Split* const s, const V x, V* const high)
{
  State* const second = &s->section[1];
  const V      band_2 = s->once + second->next;
  const V      twice  = fh_v_fma(c.rise, band_2, second->low);
  const V      low    = twice + second->low;
  second->next        = fh_v_fma(c.keep, band_2, s->once - second->low);
  second->low         = twice;
  *high               = s->both - low;

  State* const first = &s->section[0];
  const V      band  = x + first->next;
  const V      once  = fh_v_fma(c.first, band, first->low);
  s->once            = once + first->low;
  s->both            = fh_v_fma(c.turn, band, x);
  first->next        = fh_v_fma(c.keep, band, fh_v_fma((V){0} - 16.0f, first->low, x));
  first->low         = once;
  return low;
}

#endif
