// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file random.h
/// Repeatable random numbers: the same seed gives the same scene on every machine.
///
/// Generator: SplitMix64 (Steele, Lea, Flood, OOPSLA 2014). Thread: any, one state each.

#ifndef FRONTHASH_SCENES_RANDOM_H
#define FRONTHASH_SCENES_RANDOM_H

#include <stdint.h>

typedef struct {
  uint64_t state;
} FhRandom;

/// Independent stream number `stream` of a seed
static inline FhRandom
fh_random(const uint64_t seed, const uint64_t stream)
{
  return (FhRandom){seed * 0xD1342543DE82EF95u + stream * 0x9E3779B97F4A7C15u + 0x2545F4914F6CDD1Du};
}

static inline uint64_t
fh_random_bits(FhRandom* const r)
{
  uint64_t z = (r->state += 0x9E3779B97F4A7C15u);
  z          = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
  z          = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
  return z ^ (z >> 31);
}

/// Uniform in low..high
static inline double
fh_random_in(FhRandom* const r, const double low, const double high)
{
  return low + (high - low) * ((double)(fh_random_bits(r) >> 11) * 0x1.0p-53);
}

/// Whole number 0..count-1
static inline int
fh_random_below(FhRandom* const r, const int count)
{
  return (int)(fh_random_bits(r) % (uint64_t)count);
}

/// White noise of unit variance: three uniforms summed, close enough to normal for noise beds
static inline float
fh_random_noise(FhRandom* const r)
{
  const uint64_t b = fh_random_bits(r);
  const double   s = (double)(b & 0x1FFFFF) + (double)((b >> 21) & 0x1FFFFF) + (double)((b >> 42) & 0x1FFFFF);
  return (float)((s * 0x1.0p-21 - 1.5) * 2.0);
}

#endif
