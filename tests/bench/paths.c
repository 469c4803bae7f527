// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The sample-rate loop on every instruction set this processor has, against plain double-precision sections and against
// each other. Needs nothing but the engine, so that it also runs where it was cross-compiled to.
//
// Tolerances, of full scale: 1e-5 (-100 dB) against double precision, 1e-6 (-120 dB) between instruction sets; sums of
// squares 1e-4 and 5e-5 of their value (0.0004 and 0.0002 dB). Within one instruction set, whatever the cuts: the same
// bits.

#include "dsp/kernel.h"
#include "lv2/fpenv.h"

#include "../noise.h"
#include "../dsp/plain_split.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef FRAMES
#define FRAMES 48000
#endif
enum { TICK = 16, LATENCY = 37 };

typedef struct {
  float in[FH_MICS][FRAMES];
} Audio;

typedef struct {
  float out[2][FRAMES];
  FhSums sums[FRAMES / TICK];
} Result;

static uint32_t seed = 1u;

/// Weights that stay (0), or change at every tick
static fh_v8
weights(const int tick, const bool change)
{
  fh_v8 w;
  for (int k = 0; k < FH_BANDS; ++k) {
    w[k] = (float)((k * 5 + (change ? tick * 7 : 0)) % 8) / 7.0f;
  }
  return w;
}

/// Run it all; `cuts` 0 for one block, else blocks of all sizes up to that
static void
process(const FhKernelRun  run,
        const uint32_t     closes,
        const uint32_t     latency,
        const bool         change,
        const uint32_t     cuts,
        const Audio* const audio,
        Result* const      result)
{
  static FhLate late[LATENCY + 1];
  static FhKernel kernel;
  const FhMix wet = {.wet = 1.0f};
  fh_kernel_init(&kernel, 48000.0, closes, TICK, late);
  fh_kernel_delay(&kernel, latency);
  const FhBuffers buffers = {{audio->in[0], closes > 1u ? audio->in[1] : NULL, audio->in[2]},
                             {result->out[0], closes > 1u ? result->out[1] : NULL},
                             NULL};
  uint32_t size = 1, block = 0;
  int      tick = 0;
  for (uint32_t at = 0; at < FRAMES;) {
    if (!block) {
      block = cuts && size < FRAMES - at ? size : FRAMES - at;
      size  = cuts ? size % cuts + 1 : size;
    }
    const uint32_t left = TICK - kernel.running.phase;
    const uint32_t n    = block < left ? block : left;
    block -= n;
    if (run(&kernel, &buffers, at, n, block)) {
      result->sums[tick] = kernel.running.sums;
      fh_kernel_aim(&kernel, weights(tick++, change), &wet, &wet);
    }
    at += n;
  }
}

static int failures = 0;

static void
judge(const char* const what, const double got, const double most)
{
  printf("%-58s %9.2e, at most %.0e%s\n", what, got, most, got <= most ? "" : "  FAILED");
  failures += !(got <= most);
}

/// Largest difference of the outputs
static double
difference(const Result* const a, const Result* const b, const uint32_t closes)
{
  double most = 0.0;
  for (uint32_t c = 0; c < closes; ++c) {
    for (uint32_t i = 0; i < FRAMES; ++i) {
      most = fmax(most, fabs((double)a->out[c][i] - (double)b->out[c][i]));
    }
  }
  return most;
}

/// Largest difference of the power per band, of its value
static double
power_difference(const Result* const a, const Result* const b)
{
  double most = 0.0;
  for (int tick = 0; tick < FRAMES / TICK; ++tick) {
    for (int k = 0; k < FH_BANDS; ++k) {
      const double x[2] = {(double)a->sums[tick].close[k], (double)a->sums[tick].ambient[k]};
      const double y[2] = {(double)b->sums[tick].close[k], (double)b->sums[tick].ambient[k]};
      for (int m = 0; m < 2; ++m) {
        most = fmax(most, fabs(x[m] - y[m]) / (fmax(x[m], y[m]) + 1e-4)); // of powers above -40 dB
      }
    }
  }
  return most;
}

/// Output and powers as textbook sections in double precision have them, weights constant
static void
compare_with_plain(const char* const name, const Audio* const audio, const Result* const result, const uint32_t closes)
{
  static PlainSplit split;
  const fh_v8       weight = weights(0, false);
  double            most = 0.0;
  for (uint32_t c = 0; c < closes; ++c) {
    plain_split_init(&split, 48000.0);
    for (uint32_t i = 0; i < FRAMES; ++i) {
      double band[FH_BANDS], sum = 0.0;
      plain_split(&split, (double)audio->in[c][i], band);
      for (int k = 0; k < FH_BANDS; ++k) {
        sum += (double)weight[k] * band[k];
      }
      most = i >= 4800 ? fmax(most, fabs(sum - (double)result->out[c][i])) : most; // after the start from silence
    }
  }
  judge(name, most, 1e-5);
}

static void
compare_power_with_plain(const char* const name, const Audio* const audio, const Result* const result)
{
  static PlainSplit split;
  double            most = 0.0;
  plain_split_init(&split, 48000.0);
  for (int k = 0; k < FH_BANDS; ++k) { // the engine measures before it aligns: leave the all-passes out
    for (int s = 0; s < PLAIN_SECTIONS; ++s) {
      PlainSection* const section = &split.section[k][s];
      if (section->b2 == 1.0) {
        *section = (PlainSection){.b0 = 1.0};
      }
    }
  }
  for (int tick = 0; tick < FRAMES / TICK; ++tick) {
    double power[FH_BANDS] = {0.0};
    for (int i = 0; i < TICK; ++i) {
      double band[FH_BANDS];
      plain_split(&split, (double)audio->in[FH_MIC_AMBIENT][tick * TICK + i], band);
      for (int k = 0; k < FH_BANDS; ++k) {
        power[k] += band[k] * band[k];
      }
    }
    for (int k = 0; k < FH_BANDS; ++k) {
      const double got = (double)result->sums[tick].ambient[k];
      most = fmax(most, fabs(got - power[k]) / (power[k] + 1e-4)); // of powers above -40 dB
    }
  }
  judge(name, most, 1e-4);
}

/// A close microphone beside a silent ambient microphone, denormal numbers flushed as the plugin does it: nothing of one
/// lane depends on another. @return Largest difference of the output
static double
beside_silence(const FhKernelRun run, const Audio* const audio, const Result* const beside_sound)
{
  static Audio  quiet;
  static Result result;
  memcpy(quiet.in, audio->in, sizeof(quiet.in));
  memset(quiet.in[FH_MIC_AMBIENT], 0, sizeof(quiet.in[FH_MIC_AMBIENT]));
  const FhFpState before = fh_fp_enter();
  process(run, 1, 0, false, 0, &quiet, &result);
  fh_fp_leave(before);
  return difference(&result, beside_sound, 1);
}

int
main(void)
{
  static Audio  audio;
  static Result plain, fast, cut;
  for (int m = 0; m < FH_MICS; ++m) {
    for (int i = 0; i < FRAMES; ++i) {
      audio.in[m][i] = (float)fh_noise(&seed);
    }
  }
  FhKernelRun paths[FH_KERNEL_PATHS];
  const int   n = fh_kernel_paths(paths);
  printf("%d instruction sets on this processor\n", n);
  for (int path = 0; path < n; ++path) {
    for (uint32_t closes = 1; closes <= 2; ++closes) {
      printf("path %d, %u close:\n", path, closes);
      process(paths[path], closes, 0, false, 0, &audio, &fast);
      compare_with_plain("against double precision", &audio, &fast, closes);
      compare_power_with_plain("against double precision, power", &audio, &fast);
      if (closes == 1) {
        judge("beside a silent microphone", beside_silence(paths[path], &audio, &fast), 0.0);
      }
      for (uint32_t latency = 0; latency <= LATENCY; latency += LATENCY) {
        process(paths[0], closes, latency, true, 0, &audio, &plain);
        process(paths[path], closes, latency, true, 0, &audio, &fast);
        judge("against the baseline, moving weights", difference(&plain, &fast, closes), 1e-6);
        judge("against the baseline, power", power_difference(&plain, &fast), 5e-5);
        process(paths[path], closes, latency, true, 90, &audio, &cut);
        judge("cut into blocks of 1 to 90", difference(&fast, &cut, closes), 0.0);
        judge("cut into blocks of 1 to 90, power", power_difference(&fast, &cut), 0.0);
      }
    }
  }
  return failures ? 1 : 0;
}
