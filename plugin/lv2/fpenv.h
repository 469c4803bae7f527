// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fpenv.h
/// Flush denormal numbers to zero for the length of one run(), then give the thread back as it was.
///
/// Hosts differ: some set these bits on their audio thread, some do not. Setting them here makes the output the
/// same in every host, and decaying filters never slow down. Thread: audio.
/// Bits: Intel SDM volume 1, 10.2.3 (MXCSR); Arm Architecture Reference Manual, FPCR.

#ifndef FRONTHASH_LV2_FPENV_H
#define FRONTHASH_LV2_FPENV_H

#include <stdint.h>

#if defined(__SSE2__)

#include <xmmintrin.h>

typedef unsigned FhFpState;

#define FH_FP_FLUSH 0x8040u ///< FTZ (bit 15) and DAZ (bit 6)

/// Set the flush bits and return what was set before
static inline FhFpState
fh_fp_enter(void)
{
  const FhFpState before = _mm_getcsr();
  _mm_setcsr(before | FH_FP_FLUSH);
  return before;
}

/// Put back what fh_fp_enter() returned
static inline void
fh_fp_leave(const FhFpState before)
{
  _mm_setcsr(before);
}

#elif defined(__aarch64__)

typedef uint64_t FhFpState;

#define FH_FP_FLUSH (UINT64_C(1) << 24) ///< FZ, inputs and results

static inline FhFpState
fh_fp_enter(void)
{
  FhFpState before = 0;
  __asm__ __volatile__("mrs %0, fpcr" : "=r"(before));
  __asm__ __volatile__("msr fpcr, %0" : : "r"(before | FH_FP_FLUSH));
  return before;
}

static inline void
fh_fp_leave(const FhFpState before)
{
  __asm__ __volatile__("msr fpcr, %0" : : "r"(before));
}

#else

// No flush on this machine: results stay right, decays may cost more time
typedef int FhFpState;

static inline FhFpState
fh_fp_enter(void)
{
  return 0;
}

static inline void
fh_fp_leave(const FhFpState before)
{
  (void)before;
}

#endif

#endif
