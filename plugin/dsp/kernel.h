// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file kernel.h
/// All that happens once a sample: split, sum squares, apply band gains, mix what the listener asked for.
///
/// Everything slower happens once a tick (about a third of a millisecond) elsewhere; here gains only ramp to what the last
/// tick decided. The same source is compiled for the baseline and for AVX2; without fused multiply-add both give the
/// same bits.

#ifndef FRONTHASH_DSP_KERNEL_H
#define FRONTHASH_DSP_KERNEL_H

#include "dsp/bands.h"

#include <stddef.h>
#include <stdint.h>

#define FH_MAX_TICK 64

/// Weights of what reaches the outputs
typedef struct {
  float wet;     ///< Gated and ducked close microphones
  float open;    ///< Close microphones through the split alone
  float dry;     ///< Close microphones untouched
  float ambient; ///< Ambient microphone untouched
} FhMix;

/// What a stretch of audio is measured by; sums since the last tick
typedef struct {
  fh_v8 power[FH_FOLDED]; ///< Squares per band and microphone, folded as in FhBands
  fh_v4 raw;              ///< Squares per microphone before the split
  fh_v4 difference;       ///< Squares of microphone less ambient
  fh_v4 peak;             ///< Largest magnitude per microphone
} FhSums;

typedef struct {
  FhBands bands;
  FhSums  sums;
  fh_v8   gain[FH_FOLDED]; ///< Now
  fh_v8   step[FH_FOLDED]; ///< Change per sample until the next tick
  FhMix   mix, mix_step;

  uint32_t latency;  ///< Frames between decision and audio
  uint32_t position; ///< In the delay lines, 0..latency
  fh_v4*   raw_line;
  fh_v8*   band_line; ///< FH_FOLDED a frame
} FhKernel;

/// Process up to FH_MAX_TICK frames of gathered input in place; lane FH_LANE_AMBIENT of the result is the delayed
/// ambient, the close lanes are the outputs. Thread: audio.
typedef void (*FhKernelRun)(FhKernel* kernel, fh_v4* frames, uint32_t n);

#define FH_LANE_AMBIENT 2

void fh_kernel_run_baseline(FhKernel* kernel, fh_v4* frames, uint32_t n);
void fh_kernel_run_avx2(FhKernel* kernel, fh_v4* frames, uint32_t n); ///< Where FH_HAVE_AVX2

/// The fastest path this processor has. Thread: instantiation.
FhKernelRun fh_kernel_choose(void);

#endif
