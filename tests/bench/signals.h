// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file signals.h
/// What the benchmarks play: signals that a careless loop would take more time over. Thread: any.

#ifndef FRONTHASH_BENCH_SIGNALS_H
#define FRONTHASH_BENCH_SIGNALS_H

#include <stdint.h>

#define FH_BENCH_RATE 48000.0 ///< Hz
#define FH_BENCH_FRAMES 96000 ///< Two seconds; a multiple of 16, 64 and 256, and of 480 where a library wants 10 ms

typedef enum {
  FH_SIGNAL_QUIET,   ///< Noise at -80 dBFS
  FH_SIGNAL_LOUD,    ///< A tone at -3 dBFS over pickup, and the field at -12 dBFS
  FH_SIGNAL_TAIL,    ///< Decay through the denormal numbers, again and again
  FH_SIGNAL_NAN,     ///< Noise with 5 ms of NaN and infinity every 20 ms
  FH_SIGNAL_CHATTER, ///< The soloist on for 15 ms, off for 15 ms: with no hold the gate never rests
  FH_SIGNALS
} FhSignal;

typedef struct {
  const char* name;
  float*      close[2];
  float*      ambient;
} FhBenchAudio;

/// Make FH_BENCH_FRAMES frames, the same each time; free with fh_bench_audio_free
FhBenchAudio fh_bench_audio(FhSignal signal);
void         fh_bench_audio_free(FhBenchAudio* audio);

#endif
