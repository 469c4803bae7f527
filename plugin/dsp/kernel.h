// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file kernel.h
/// All that happens once a sample: split, sum squares, weigh bands, join them, mix what the listener asked for.
///
/// Everything slower happens once a tick (about a third of a millisecond) elsewhere; here weights only ramp to what the
/// last tick decided. The same source is compiled for four lanes a vector and for eight with fused multiply-add (AVX2,
/// AVX-512): outputs agree within -120 dB of full scale. Within one of them any cutting of blocks gives the same bits.

#ifndef FRONTHASH_DSP_KERNEL_H
#define FRONTHASH_DSP_KERNEL_H

#include "dsp/bands.h"
#include "dsp/heard.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_MAX_TICK 64
#define FH_SPARE 4 ///< Frames of room behind others: work goes in groups of four
#define FH_AHEAD 8 ///< Frames looked at before they are asked for
#define FH_MICS 3  ///< Close 1, close 2, ambient

enum { FH_MIC_CLOSE_1, FH_MIC_CLOSE_2, FH_MIC_AMBIENT };

/// Weights of what reaches the outputs
typedef union {
  struct {
    float wet;     ///< Sum of the weighted bands
    float dry;     ///< Close microphones untouched
    float ambient; ///< Ambient microphone untouched
    float removed; ///< 1: band weights are what the gains take out instead of what they leave. Nothing to the kernel
  };
  fh_v4 all;
} FhMix;

/// What a tick of audio is measured by: sums of squares over its frames
typedef struct {
  fh_v8 close;   ///< All close microphones, per band
  fh_v8 ambient; ///< Ambient microphone, per band
} FhSums;

/// One frame of the delay lines
typedef struct {
  fh_v8 bands[2];     ///< Lower and upper band of each quarter; lanes as FhBands
  float raw[FH_MICS]; ///< Per microphone
} FhLate;

/// What a reset clears
typedef struct {
  FhBandsState bands;
  uint32_t     phase; ///< Frames into this tick
  bool         ahead; ///< The split is five frames ahead of it

  fh_v8 power[FH_TREES][2];        ///< Squares so far: lower and upper band of each quarter
  fh_v8 weight[2], weight_step[2]; ///< Now, and change per frame; likewise
  _Alignas(16) float recent[FH_MICS][FH_MAX_TICK + FH_SPARE]; ///< Input of this tick
  FhMix mix, mix_step;             ///< At the start of this tick, and change per frame

  uint32_t position;        ///< In the delay lines, 0..latency
  FhSums   sums;            ///< Of the last whole tick
  bool     broken;          ///< Some sample was not a number or too large, since whoever reads it cleared it
  FhHeard  heard[FH_TREES]; ///< Of all whole ticks since whoever reads them cleared them; one per close microphone
} FhKernelRunning;

typedef struct {
  // Set up once
  FhBands  bands;
  uint32_t closes;    ///< 1 or 2
  uint32_t tick;      ///< Frames
  float    per_frame; ///< 1 / tick
  FhLate*  late;      ///< The delay lines: latency + 1 frames

  uint32_t latency; ///< Set by the host: frames between decision and audio

  FhKernelRunning running;
} FhKernel;

/// Buffers of one call; any may be NULL, any may alias
typedef struct {
  const float* in[FH_MICS];
  float*       out[2]; ///< Per close microphone
  float*       thru;   ///< Ambient, delayed by the latency
} FhBuffers;

/// Process `n` frames from frame `offset` on, no more than are left of this tick. At least `after` frames follow in the
/// same buffers, and are asked for next, as many at once as are left or a tick takes; 0 is always right. Thread: audio.
/// @return True when the tick is over and `kernel->sums` is new
typedef bool (*FhKernelRun)(FhKernel* kernel, const FhBuffers* buffers, uint32_t offset, uint32_t n, uint32_t after);

/// On the baseline
bool fh_kernel_run(FhKernel* kernel, const FhBuffers* buffers, uint32_t offset, uint32_t n, uint32_t after);

#define FH_KERNEL_PATHS 3

/// All paths this processor has, the baseline first and the fastest last. @return How many. Thread: any.
int fh_kernel_paths(FhKernelRun paths[FH_KERNEL_PATHS]);

/// The fastest of them. Thread: instantiation.
FhKernelRun fh_kernel_choose(void);

/// Set up for a sample rate in Hz, 1 or 2 close microphones and ticks of `tick` frames, at most FH_MAX_TICK.
/// `late` has room for the largest latency plus one. Thread: instantiation.
void fh_kernel_init(FhKernel* kernel, double rate, uint32_t closes, uint32_t tick, FhLate* late);

/// Clear running state, pass the close microphones through untouched. Latency stays. Thread: instantiation (activate).
void fh_kernel_reset(FhKernel* kernel);

/// Change the latency in frames; clears the delay lines. Thread: audio.
void fh_kernel_delay(FhKernel* kernel, uint32_t latency);

/// Ramp within the next tick to a weight per band and from mix `from` to mix `to`. Thread: audio.
void fh_kernel_aim(FhKernel* kernel, fh_v8 weight, const FhMix* from, const FhMix* to);

#endif
