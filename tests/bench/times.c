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
print_ratio(const char* const what, const char* const of, const double part, const double whole)
{
  printf("%s: %6.2f ns of %8.2f ns, 1 / %4.1f of %s\n", what, part, whole, whole / part, of);
}

/// Cost of the plugin for all inputs and blocks. @return ns per sample of loud input in blocks of 64
static double
time_plugin(const char* const name, const FhBenchAudio audio[FH_SIGNALS])
{
  static const uint32_t blocks[] = {16, 64, 256};
  double                loud     = 0.0;
  for (int b = 0; b < 3; ++b) {
    for (int k = 0; k < FH_SIGNALS; ++k) {
      const double cost = row(name, &audio[k], blocks[b]).per_sample;
      loud              = blocks[b] == 64 && k == FH_SIGNAL_LOUD ? cost : loud;
    }
  }
  return loud;
}

/// The references, and what the plugin's costs are of theirs
static void
time_references(const double solo, const double pair, const FhBenchAudio* const loud)
{
  static const char* const solo_chains[] = {"chain of 38", "chain of 52", "2 chains, 52", "chain of 128"};
  static const char* const pair_chains[] = {"chain of 62", "chain of 83", "2 chains, 83", "chain of 208"};
  static const char* const libraries[]   = {"speexdsp", "webrtc"};
  double                   cost[2][4], library[2] = {0.0};

  (void)row("gain loop", loud, 4800); // quicker than the clock in shorter blocks
  for (int i = 0; i < 4; ++i) {
    cost[0][i] = row(solo_chains[i], loud, 64).per_sample;
    cost[1][i] = row(pair_chains[i], loud, 64).per_sample;
  }
  for (int i = 0; i < 2; ++i) {
    library[i] = fh_subject_find(libraries[i]) ? row(libraries[i], loud, 0).per_sample : 0.0;
  }
  for (const char* const* m = fh_subjects_missing; *m; ++m) {
    printf("%s\n", *m);
  }

  printf("\nLoud input, blocks of 64; what the chains stand for is said in subjects.c:\n");
  for (int i = 0; i < 4; ++i) {
    print_ratio("solo", solo_chains[i], solo, cost[0][i]);
    print_ratio("pair", pair_chains[i], pair, cost[1][i]);
  }
  for (int i = 0; i < 2; ++i) {
    if (library[i] > 0.0) {
      print_ratio("solo", libraries[i], solo, library[i]);
    }
  }
}

int
main(void)
{
  FhBenchAudio audio[FH_SIGNALS];
  for (int k = 0; k < FH_SIGNALS; ++k) {
    audio[k] = fh_bench_audio((FhSignal)k);
  }
  printf("All at 48 kHz on one core. Channels: close microphones one core can carry. Times of blocks in ns.\n");
  printf("%-14s %-13s %5s %9s %9s %9s %9s %9s\n",
         "",
         "input",
         "block",
         "ns/sample",
         "channels",
         "median",
         "99.9 %",
         "worst");

  const double solo = time_plugin("plugin solo", audio);
  const double pair = time_plugin("plugin pair", audio);
  (void)row("baseline solo", &audio[FH_SIGNAL_LOUD], 64);
  (void)row("baseline pair", &audio[FH_SIGNAL_LOUD], 64);
  time_references(solo, pair, &audio[FH_SIGNAL_LOUD]);
  for (int k = 0; k < FH_SIGNALS; ++k) {
    fh_bench_audio_free(&audio[k]);
  }
  return 0;
}
