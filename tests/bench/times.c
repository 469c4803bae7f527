// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-bench: what a sample of audio costs, in time

#include "signals.h"
#include "subject.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PASSES = 9 };

/// Of each block the quickest of all passes counts: another program's turn does not
typedef struct {
  double per_sample;          ///< ns
  double median, p999, worst; ///< ns per block
} Cost;

static double
now(void)
{
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return 1e9 * (double)t.tv_sec + (double)t.tv_nsec;
}

static int
by_size(const void* const a, const void* const b)
{
  const double x = *(const double*)a, y = *(const double*)b;
  return (x > y) - (x < y);
}

/// Cost of asking for the time, ns
static double
clock_cost(void)
{
  double least = 1e9;
  for (int i = 0; i < 1000; ++i) {
    const double t = now();
    const double d = now() - t;
    least          = d < least ? d : least;
  }
  return least;
}

static Cost
measure(const FhSubject* const subject, const FhBenchAudio* const audio, const uint32_t block)
{
  static float  out[2][FH_BENCH_FRAMES];
  static double times[FH_BENCH_FRAMES];
  const uint32_t blocks = FH_BENCH_FRAMES / block;
  const double   clock  = clock_cost();

  void* const self = subject->open(subject->closes, subject->size);
  if (!self) {
    exit(1);
  }
  for (int pass = 0; pass <= PASSES; ++pass) {
    for (uint32_t b = 0; b < blocks; ++b) {
      const uint32_t     at       = b * block;
      const float* const close[2] = {audio->close[0] + at, audio->close[1] + at};
      float* const       outs[2]  = {out[0] + at, out[1] + at};
      const double       begin    = now();
      subject->run(self, close, audio->ambient + at, outs, block);
      const double time = now() - begin - clock;
      times[b]          = pass <= 1 || time < times[b] ? time : times[b]; // the first pass warms up
    }
  }
  subject->close(self);

  double total = 0.0;
  for (uint32_t b = 0; b < blocks; ++b) {
    total += times[b];
  }
  qsort(times, blocks, sizeof(double), by_size);
  return (Cost){total / (blocks * block), times[blocks / 2], times[(uint32_t)(0.999 * blocks)], times[blocks - 1]};
}

static void
print_row(const FhSubject* const s, const char* const audio, const uint32_t block, const Cost c)
{
  const double channels = 1e9 / FH_BENCH_RATE / c.per_sample * s->closes;
  printf("%-14s %-13s %5u %9.2f %9.0f %9.0f %9.0f %9.0f\n",
         s->name,
         audio,
         block,
         c.per_sample,
         channels,
         c.median,
         c.p999,
         c.worst);
  (void)fflush(stdout);
}

static Cost
row(const char* const name, const FhBenchAudio* const audio, const uint32_t block)
{
  const FhSubject* const s = fh_subject_find(name);
  const Cost             c = measure(s, audio, s->block ? s->block : block);
  print_row(s, audio->name, s->block ? s->block : block, c);
  return c;
}

static void
print_ratio(const char* const what, const double part, const double whole)
{
  printf("%-44s %6.2f ns of %8.2f ns: 1 / %.1f\n", what, part, whole, whole / part);
}

int
main(void)
{
  static const uint32_t blocks[] = {16, 64, 256};
  FhBenchAudio          audio[FH_SIGNALS];
  for (int k = 0; k < FH_SIGNALS; ++k) {
    audio[k] = fh_bench_audio((FhSignal)k);
  }
  printf("All at 48 kHz on one core. Channels: close microphones one core can carry.\n");
  printf("%-14s %-13s %5s %9s %9s %9s %9s %9s\n",
         "",
         "input",
         "block",
         "ns/sample",
         "channels",
         "median",
         "99.9 %",
         "worst ns");

  double plugin[2] = {0.0, 0.0};
  for (int pair = 0; pair < 2; ++pair) {
    for (int b = 0; b < 3; ++b) {
      for (int k = 0; k < FH_SIGNALS; ++k) {
        const double cost = row(pair ? "plugin pair" : "plugin solo", &audio[k], blocks[b]).per_sample;
        plugin[pair]      = blocks[b] == 64 && k == FH_SIGNAL_LOUD ? cost : plugin[pair];
      }
    }
  }

  const FhBenchAudio* const loud = &audio[FH_SIGNAL_LOUD];
  (void)row("baseline solo", loud, 64);
  (void)row("baseline pair", loud, 64);
  double library[2] = {0.0, 0.0};
  double chain[8]   = {0.0};
  int    chains     = 0;
  for (const FhSubject* s = fh_subject_find("gain loop"); s->name; ++s) {
    const double cost = row(s->name, loud, s->size ? 64 : 4800).per_sample; // a gain is quicker than the clock
    if (s->block) {
      library[s->block == 480] = cost;
    } else if (s->size) {
      chain[chains++] = cost;
    }
  }
  for (const char* const* m = fh_subjects_missing; *m; ++m) {
    printf("%s\n", *m);
  }

  printf("\nLoud input, blocks of 64:\n");
  print_ratio("solo, of a chain of 38 (its own sections)", plugin[0], chain[0]);
  print_ratio("solo, of a chain of 52 (plain sections)", plugin[0], chain[1]);
  print_ratio("solo, of 52 in two chains side by side", plugin[0], chain[6]);
  print_ratio("solo, of a chain of 128 (a row per band)", plugin[0], chain[2]);
  print_ratio("pair, of a chain of 62 (its own sections)", plugin[1], chain[3]);
  print_ratio("pair, of a chain of 83 (plain sections)", plugin[1], chain[4]);
  print_ratio("pair, of 83 in two chains side by side", plugin[1], chain[7]);
  print_ratio("pair, of a chain of 208 (a row per band)", plugin[1], chain[5]);
  if (library[0] > 0.0) {
    print_ratio("solo, of speexdsp", plugin[0], library[0]);
  }
  if (library[1] > 0.0) {
    print_ratio("solo, of webrtc-audio-processing", plugin[0], library[1]);
  }
  for (int k = 0; k < FH_SIGNALS; ++k) {
    fh_bench_audio_free(&audio[k]);
  }
  return 0;
}
