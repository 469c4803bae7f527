// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file simd.h
/// Small vectors in the compiler's own extension: SSE, AVX or NEON as the target has, plain code elsewhere.

#ifndef FRONTHASH_DSP_SIMD_H
#define FRONTHASH_DSP_SIMD_H

#include <math.h>
#include <stdint.h>

#if defined(__SSE2__)
#include <immintrin.h>
#elif defined(__aarch64__)
#include <arm_neon.h>
#endif

/// One lane per microphone (close 1, close 2, ambient, unused), or four lanes of the band tree
typedef float fh_v4 __attribute__((vector_size(16), may_alias));

/// One lane per band, or eight lanes of the band tree
typedef float fh_v8 __attribute__((vector_size(32), may_alias));

typedef int32_t fh_i4 __attribute__((vector_size(16)));
typedef int32_t fh_i8 __attribute__((vector_size(32)));

static inline fh_v4
fh_v4_set(const float x)
{
  return (fh_v4){x, x, x, x};
}

static inline fh_v8
fh_v8_set(const float x)
{
  return (fh_v8){x, x, x, x, x, x, x, x};
}

/// a * b + c, rounded once where the instruction set of this file can: asked for by name, so that the compiler's choice
/// never decides which bits come out
static inline fh_v4
fh_v4_fma(const fh_v4 a, const fh_v4 b, const fh_v4 c)
{
#if defined(__FMA__)
  return (fh_v4)_mm_fmadd_ps((__m128)a, (__m128)b, (__m128)c);
#elif defined(__aarch64__)
  return (fh_v4)vfmaq_f32((float32x4_t)c, (float32x4_t)a, (float32x4_t)b);
#else
  return a * b + c;
#endif
}

/// The larger; b where either is not a number
static inline fh_v4
fh_v4_max(const fh_v4 a, const fh_v4 b)
{
#if defined(__SSE2__)
  return (fh_v4)_mm_max_ps((__m128)a, (__m128)b);
#else
  const fh_i4 more = a > b;
  return (fh_v4)((more & (fh_i4)a) | (~more & (fh_i4)b));
#endif
}

static inline fh_v8
fh_v8_fma(const fh_v8 a, const fh_v8 b, const fh_v8 c)
{
#if defined(__FMA__)
  return (fh_v8)_mm256_fmadd_ps((__m256)a, (__m256)b, (__m256)c);
#else
  return a * b + c;
#endif
}

static inline fh_v8
fh_v8_select(const fh_i8 mask, const fh_v8 yes, const fh_v8 no)
{
#if defined(__AVX__)
  return (fh_v8)_mm256_blendv_ps((__m256)no, (__m256)yes, (__m256)mask);
#else
  return (fh_v8)((mask & (fh_i8)yes) | (~mask & (fh_i8)no));
#endif
}

/// The larger; b where either is not a number
static inline fh_v8
fh_v8_max(const fh_v8 a, const fh_v8 b)
{
#if defined(__AVX__)
  return (fh_v8)_mm256_max_ps((__m256)a, (__m256)b);
#else
  return fh_v8_select(a > b, a, b);
#endif
}

/// The smaller; b where either is not a number
static inline fh_v8
fh_v8_min(const fh_v8 a, const fh_v8 b)
{
#if defined(__AVX__)
  return (fh_v8)_mm256_min_ps((__m256)a, (__m256)b);
#else
  return fh_v8_select(a < b, a, b);
#endif
}

static inline float
fh_v8_sum(const fh_v8 a)
{
  return ((a[0] + a[4]) + (a[1] + a[5])) + ((a[2] + a[6]) + (a[3] + a[7]));
}

/// Ten times the decimal logarithm of a positive normal number; error below 0.0001 dB
///
/// log2(1 + m) = m (1 + (1 - m) p(m)) is exact at both ends of an octave; p is a least-squares fit between.
static inline fh_v8
fh_v8_db(const fh_v8 power)
{
  const fh_i8 bits     = (fh_i8)power;
  const fh_i8 exponent = ((bits >> 23) & 255) - 127;
  const fh_v8 m        = (fh_v8)((bits & 0x007fffff) | 0x3f800000) - 1.0f;
  fh_v8 p              = fh_v8_fma(m, fh_v8_set(0.02627305f), fh_v8_set(-0.09838762f));
  p                    = fh_v8_fma(m, p, fh_v8_set(0.18486223f));
  p                    = fh_v8_fma(m, p, fh_v8_set(-0.27672833f));
  p                    = fh_v8_fma(m, p, fh_v8_set(0.44265944f));
  const fh_v8 log2     = __builtin_convertvector(exponent, fh_v8) + m * (1.0f + (1.0f - m) * p);
  return 3.01029996f * log2;
}

/// Power ratio of a figure in dB, for -370 to 370 dB; error below 0.0001 dB
///
/// 2^f = 1 + f + f (f - 1) p(f) is exact at both ends of an octave; p is a least-squares fit between.
static inline fh_v8
fh_v8_undb(const fh_v8 db)
{
  const fh_v8 log2  = fh_v8_max(fh_v8_min(db, fh_v8_set(370.0f)), fh_v8_set(-370.0f)) * 0.332192809f;
  fh_i8       whole = __builtin_convertvector(log2, fh_i8);
  fh_v8       f     = log2 - __builtin_convertvector(whole, fh_v8);
  const fh_i8 below = f < 0.0f; // all bits set is -1: one octave down
  whole += below;
  f -= __builtin_convertvector(below, fh_v8);

  fh_v8 p            = fh_v8_fma(f, fh_v8_set(0.01371135f), fh_v8_set(0.06561149f));
  p                  = fh_v8_fma(f, p, fh_v8_set(0.30691046f));
  const fh_v8 octave = (fh_v8)((whole + 127) << 23);
  return octave * fh_v8_fma(f * (f - 1.0f), p, 1.0f + f);
}

static inline fh_v8
fh_v8_sqrt(fh_v8 x)
{
#if defined(__AVX__)
  x = (fh_v8)_mm256_sqrt_ps((__m256)x);
#elif defined(__SSE2__)
  fh_v4* const half = (fh_v4*)&x;
  half[0]           = (fh_v4)_mm_sqrt_ps((__m128)half[0]);
  half[1]           = (fh_v4)_mm_sqrt_ps((__m128)half[1]);
#else
  for (int i = 0; i < 8; ++i) {
    x[i] = sqrtf(x[i]);
  }
#endif
  return x;
}

/// Like fminf and fmaxf, but never a call
static inline float
fh_least(const float a, const float b)
{
  return a < b ? a : b;
}

static inline float
fh_most(const float a, const float b)
{
  return a > b ? a : b;
}

static inline float
fh_db(const float power)
{
  return fh_v8_db(fh_v8_set(power))[0];
}

static inline float
fh_undb(const float db)
{
  return fh_v8_undb(fh_v8_set(db))[0];
}

#endif
