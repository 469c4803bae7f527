// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file simd.h
/// Small vectors in the compiler's own extension: SSE, AVX or NEON as the target has, plain code elsewhere.

#ifndef FRONTHASH_DSP_SIMD_H
#define FRONTHASH_DSP_SIMD_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

#if defined(__AVX2__)
#include <immintrin.h>
#elif defined(__SSE2__)
#include <emmintrin.h> // the whole of immintrin.h takes most of the time of a build
#elif defined(__aarch64__)
#include <arm_neon.h>
#endif

/// One lane per microphone (close 1, close 2, ambient, unused), or four lanes of the band tree
typedef float fh_v4 __attribute__((vector_size(16), may_alias));

/// One lane per band, or eight lanes of the band tree
typedef float fh_v8 __attribute__((vector_size(32), may_alias));

typedef int32_t fh_i4 __attribute__((vector_size(16), may_alias));
typedef int32_t fh_i8 __attribute__((vector_size(32), may_alias));

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

/// The smaller; b where either is not a number
static inline fh_v4
fh_v4_min(const fh_v4 a, const fh_v4 b)
{
#if defined(__SSE2__)
  return (fh_v4)_mm_min_ps((__m128)a, (__m128)b);
#else
  const fh_i4 less = a < b;
  return (fh_v4)((less & (fh_i4)a) | (~less & (fh_i4)b));
#endif
}

/// Eight lanes as two registers of four: what the compiler does not do by itself where registers are no wider
typedef union {
  fh_v8 whole;
  fh_i8 mask;
  fh_v4 half[2];
  fh_i4 half_mask[2];
} FhHalves;

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
fh_v8_join(const fh_v4 low, const fh_v4 high)
{
#if defined(__AVX__)
  return (fh_v8)_mm256_set_m128((__m128)high, (__m128)low);
#else
  return (FhHalves){.half = {low, high}}.whole;
#endif
}

/// All bits of a lane where a > b
static inline fh_i8
fh_v8_above(const fh_v8 a, const fh_v8 b)
{
#if defined(__AVX__)
  return a > b;
#else
  const FhHalves x = {a};
  const FhHalves y = {b};
  return (FhHalves){.half_mask = {x.half[0] > y.half[0], x.half[1] > y.half[1]}}.mask;
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
  const FhHalves x = {a};
  const FhHalves y = {b};
  return (FhHalves){.half = {fh_v4_max(x.half[0], y.half[0]), fh_v4_max(x.half[1], y.half[1])}}.whole;
#endif
}

/// The smaller; b where either is not a number
static inline fh_v8
fh_v8_min(const fh_v8 a, const fh_v8 b)
{
#if defined(__AVX__)
  return (fh_v8)_mm256_min_ps((__m256)a, (__m256)b);
#else
  const FhHalves x = {a};
  const FhHalves y = {b};
  return (FhHalves){.half = {fh_v4_min(x.half[0], y.half[0]), fh_v4_min(x.half[1], y.half[1])}}.whole;
#endif
}

/// Magnitude
static inline fh_v8
fh_v8_size(const fh_v8 x)
{
  return (fh_v8)((fh_i8)x & 0x7fffffff);
}

static inline fh_v4
fh_v4_size(const fh_v4 x)
{
  return (fh_v4)((fh_i4)x & 0x7fffffff);
}

/// x where the mask is set, else 0
static inline fh_v4
fh_v4_kept(const fh_i4 mask, const fh_v4 x)
{
  return (fh_v4)(mask & (fh_i4)x);
}

static inline bool
fh_v4_any(const fh_i4 mask)
{
#if defined(__SSE2__)
  return _mm_movemask_ps((__m128)mask) != 0;
#else
  return (mask[0] | mask[1] | mask[2] | mask[3]) != 0;
#endif
}

/// Sum of all lanes, in each lane
static inline fh_v4
fh_v4_total(const fh_v4 a)
{
  const fh_v4 pairs = a + __builtin_shufflevector(a, a, 1, 0, 3, 2);
  return pairs + __builtin_shufflevector(pairs, pairs, 2, 3, 0, 1);
}

static inline float
fh_v8_sum(const fh_v8 a)
{
  const FhHalves x = {a};
  return fh_v4_total(x.half[0] + x.half[1])[0];
}

/// Rounded toward zero; magnitude below 2^31
static inline fh_i8
fh_v8_whole(const fh_v8 x)
{
#if defined(__SSE2__) && !defined(__AVX__)
  const FhHalves h    = {x};
  const fh_i4    low  = (fh_i4)_mm_cvttps_epi32((__m128)h.half[0]);
  const fh_i4    high = (fh_i4)_mm_cvttps_epi32((__m128)h.half[1]);
  return (FhHalves){.half_mask = {low, high}}.mask;
#else
  return __builtin_convertvector(x, fh_i8);
#endif
}

static inline fh_v8
fh_v8_of_whole(const fh_i8 x)
{
#if defined(__SSE2__) && !defined(__AVX__)
  const FhHalves h    = {.mask = x};
  const fh_v4    low  = (fh_v4)_mm_cvtepi32_ps((__m128i)h.half_mask[0]);
  const fh_v4    high = (fh_v4)_mm_cvtepi32_ps((__m128i)h.half_mask[1]);
  return (FhHalves){.half = {low, high}}.whole;
#else
  return __builtin_convertvector(x, fh_v8);
#endif
}

/// Ten times the decimal logarithm of a positive normal number; error below 0.0001 dB
///
/// log2(1 + m) = m (1 + (1 - m) p(m)) is exact at both ends of an octave; p is a least-squares fit between.
static inline fh_v8
fh_v8_db(const fh_v8 power)
{
  const fh_i8 bits     = (fh_i8)power;
  const fh_v8 exponent = fh_v8_of_whole(bits >> 23) - 127.0f;
  const fh_v8 m        = (fh_v8)((bits & 0x007fffff) | 0x3f800000) - 1.0f;
  fh_v8 p              = fh_v8_fma(m, fh_v8_set(0.02627305f), fh_v8_set(-0.09838762f));
  p                    = fh_v8_fma(m, p, fh_v8_set(0.18486223f));
  p                    = fh_v8_fma(m, p, fh_v8_set(-0.27672833f));
  p                    = fh_v8_fma(m, p, fh_v8_set(0.44265944f));
  return 3.01029996f * fh_v8_fma(m, fh_v8_fma(1.0f - m, p, fh_v8_set(1.0f)), exponent);
}

/// Power ratio of a figure in dB, for -370 to 370 dB; error below 0.0001 dB
///
/// 2^f = 1 + f + f (f - 1) p(f) is exact at both ends of an octave; p is a least-squares fit between.
static inline fh_v8
fh_v8_undb(const fh_v8 db)
{
  const fh_v8 log2   = fh_v8_max(fh_v8_min(db, fh_v8_set(370.0f)), fh_v8_set(-370.0f)) * 0.332192809f;
  const fh_i8 biased = fh_v8_whole(log2 + 127.0f); // positive, so that it rounds down
  const fh_v8 f      = log2 - (fh_v8_of_whole(biased) - 127.0f);

  fh_v8 p = fh_v8_fma(f, fh_v8_set(0.01371135f), fh_v8_set(0.06561149f));
  p       = fh_v8_fma(f, p, fh_v8_set(0.30691046f));
  return (fh_v8)(biased << 23) * fh_v8_fma(f * (f - 1.0f), p, 1.0f + f);
}

static inline fh_v8
fh_v8_sqrt(fh_v8 x)
{
#if defined(__AVX__)
  x = (fh_v8)_mm256_sqrt_ps((__m256)x);
#elif defined(__SSE2__)
  const FhHalves h = {x};
  x = (FhHalves){.half = {(fh_v4)_mm_sqrt_ps((__m128)h.half[0]), (fh_v4)_mm_sqrt_ps((__m128)h.half[1])}}.whole;
#else
  for (int i = 0; i < 8; ++i) {
    x[i] = sqrtf(x[i]);
  }
#endif
  return x;
}

/// Sum of `of` over the lanes in which `x` is more than `than`
static inline float
fh_v8_sum_above(const fh_v8 x, const fh_v8 than, const fh_v8 of)
{
  return fh_v8_sum(fh_v8_select(fh_v8_above(x, than), of, fh_v8_set(0.0f)));
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
