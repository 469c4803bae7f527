// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file noise.h
/// White noise that is the same on every run, from a linear congruential generator with the multiplier 1664525 (D. Knuth, The Art
/// of Computer Programming, vol. 2; from memory). Its low bits are poor: scale, do not mask.

#ifndef FRONTHASH_TESTS_NOISE_H
#define FRONTHASH_TESTS_NOISE_H

#include <stdint.h>

static inline uint32_t
fh_noise_next(uint32_t* const seed)
{
  *seed = *seed * 1664525u + 1013904223u;
  return *seed;
}

/// -1..1, rms 1 / sqrt 3
static inline double
fh_noise(uint32_t* const seed)
{
  return (double)(int32_t)fh_noise_next(seed) / 2147483648.0;
}

#endif
