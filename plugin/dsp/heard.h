// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file heard.h
/// What is known of the microphones before the split: sums over all frames of a close microphone and of the ambient, side
/// by side in one vector, each in four parts still to be put together. Thread: audio, once a tick.

#ifndef FRONTHASH_DSP_HEARD_H
#define FRONTHASH_DSP_HEARD_H

#include "dsp/tuning.h"

/// Four lanes for a close microphone, four for the ambient
typedef struct {
  fh_v8 sum;
  fh_v8 squares;
  fh_v8 peak;    ///< Largest magnitude
  fh_v8 last;    ///< The last four samples
  fh_i8 clipped; ///< Set where three samples in a row were alike and at full scale
  fh_v8 product; ///< Of either microphone and the ambient
} FhHeard;

static inline void
fh_heard_nothing(FhHeard* const heard)
{
  const fh_v8 none = fh_v8_set(0.0f);
  heard->sum = heard->squares = heard->peak = heard->last = heard->product = none;
  heard->clipped = (fh_i8)none;
}

// Both microphones at once where a register holds eight lanes, else one after the other
#if defined(__AVX2__)

#define FH_HEARD_TURNS 1
typedef fh_v8 FhHeardPart;
typedef fh_i8 FhHeardMask;

static inline FhHeardPart
fh_heard_load(const float* const first, const float* const second)
{
  return fh_v8_join(*(const fh_v4*)first, *(const fh_v4*)second);
}

/// As it was one sample ago, or two; `last` are the four before
static inline FhHeardPart
fh_heard_ago(const FhHeardPart last, const FhHeardPart x, const int samples)
{
  return samples == 1 ? (fh_v8)_mm256_alignr_epi8((__m256i)x, (__m256i)last, 12)
                      : (fh_v8)_mm256_alignr_epi8((__m256i)x, (__m256i)last, 8);
}

#define FH_HEARD(name) fh_v8_##name

#else

#define FH_HEARD_TURNS 2
typedef fh_v4 FhHeardPart;
typedef fh_i4 FhHeardMask;

static inline FhHeardPart
fh_heard_load(const float* const first, const float* const second)
{
  (void)second;
  return *(const fh_v4*)first;
}

static inline FhHeardPart
fh_heard_ago(const FhHeardPart last, const FhHeardPart x, const int samples)
{
  return samples == 1 ? __builtin_shufflevector(last, x, 3, 4, 5, 6) : __builtin_shufflevector(last, x, 2, 3, 4, 5);
}

#define FH_HEARD(name) fh_v4_##name

#endif

/// Take `frames` frames, a multiple of four, of both microphones, aligned to 16 bytes
static inline void
fh_heard_add(FhHeard* const heard, const float* const close, const float* const ambient, const uint32_t frames)
{
  for (int turn = 0; turn < FH_HEARD_TURNS; ++turn) {
    const float* const from    = turn ? ambient : close;
    FhHeardPart        sum     = ((FhHeardPart*)&heard->sum)[turn];
    FhHeardPart        squares = ((FhHeardPart*)&heard->squares)[turn];
    FhHeardPart        product = ((FhHeardPart*)&heard->product)[turn];
    FhHeardPart        peak    = ((FhHeardPart*)&heard->peak)[turn];
    FhHeardPart        last    = ((FhHeardPart*)&heard->last)[turn];
    FhHeardMask        clipped = ((FhHeardMask*)&heard->clipped)[turn];
    for (uint32_t i = 0; i < frames; i += 4) {
      const FhHeardPart x    = fh_heard_load(from + i, ambient + i);
      const FhHeardPart size = FH_HEARD(size)(x);
      sum += x;
      squares = FH_HEARD(fma)(x, x, squares);
      product = FH_HEARD(fma)(x, fh_heard_load(ambient + i, ambient + i), product);
      peak    = FH_HEARD(max)(size, peak);
      clipped |= (x == fh_heard_ago(last, x, 1)) & (x == fh_heard_ago(last, x, 2)) & (size >= FH_FULL_SCALE);
      last = x;
    }
    ((FhHeardPart*)&heard->sum)[turn]     = sum;
    ((FhHeardPart*)&heard->squares)[turn] = squares;
    ((FhHeardPart*)&heard->product)[turn] = product;
    ((FhHeardPart*)&heard->peak)[turn]    = peak;
    ((FhHeardPart*)&heard->last)[turn]    = last;
    ((FhHeardMask*)&heard->clipped)[turn] = clipped;
  }
}

/// One of four parts, a lane per microphone: the two close ones, the ambient, nothing
typedef struct {
  fh_v4 part[4];
} FhParts;

static inline FhParts
fh_heard_parts(const fh_v8 first, const fh_v8 second)
{
  const FhHalves a    = {first};
  const FhHalves b    = {second};
  const fh_v4    none = fh_v4_set(0.0f);
  const fh_v4    low  = __builtin_shufflevector(a.half[0], b.half[0], 0, 4, 1, 5);
  const fh_v4    high = __builtin_shufflevector(a.half[0], b.half[0], 2, 6, 3, 7);
  const fh_v4    low_ambient  = __builtin_shufflevector(a.half[1], none, 0, 4, 1, 5);
  const fh_v4    high_ambient = __builtin_shufflevector(a.half[1], none, 2, 6, 3, 7);
  return (FhParts){{__builtin_shufflevector(low, low_ambient, 0, 1, 4, 5),
                    __builtin_shufflevector(low, low_ambient, 2, 3, 6, 7),
                    __builtin_shufflevector(high, high_ambient, 0, 1, 4, 5),
                    __builtin_shufflevector(high, high_ambient, 2, 3, 6, 7)}};
}

/// The parts of all microphones put together, for what was heard of either close microphone
static inline fh_v4
fh_heard_sum(const fh_v8 first, const fh_v8 second)
{
  const FhParts of = fh_heard_parts(first, second);
  return (of.part[0] + of.part[1]) + (of.part[2] + of.part[3]);
}

static inline fh_v4
fh_heard_most(const fh_v8 first, const fh_v8 second)
{
  const FhParts of = fh_heard_parts(first, second);
  return fh_v4_max(fh_v4_max(of.part[0], of.part[1]), fh_v4_max(of.part[2], of.part[3]));
}

#endif
