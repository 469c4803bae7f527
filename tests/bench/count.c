// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-bench-count SUBJECT INPUT BLOCK BLOCKS: run under callgrind, one dump a block; count.py reads the dumps.
// With SUBJECT "instantiate": one dump for making an instance of each plugin.

#include "signals.h"
#include "subject.h"

#include <valgrind/callgrind.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WARM_UP = 84480 }; // as long as there is audio: for the first 1.5 s the gate is open, whatever comes

static int
count_instances(void)
{
  for (uint32_t closes = 1; closes <= 2; ++closes) {
    CALLGRIND_ZERO_STATS;
    void* const plugin = fh_plugin_open(closes, 0); // with loading, and with what the benchmark itself allocates
    CALLGRIND_DUMP_STATS;
    if (!plugin) {
      return 1;
    }
    fh_plugin_close(plugin);
  }
  return 0;
}

int
main(const int argc, char** const argv)
{
  if (argc == 2 && !strcmp(argv[1], "instantiate")) {
    CALLGRIND_START_INSTRUMENTATION;
    return count_instances();
  }
  const FhSubject* const subject = argc == 5 ? fh_subject_find(argv[1]) : NULL;
  const int              signal  = argc == 5 ? atoi(argv[2]) : -1;
  const int              asked   = argc == 5 ? atoi(argv[3]) : 0;
  const int              blocks  = argc == 5 ? atoi(argv[4]) : 0;
  if (!subject || signal < 0 || signal >= FH_SIGNALS || asked < 1 || blocks < 1) {
    (void)fprintf(
      stderr, "count.c: give a subject of subjects.c, an input 0 to %d, a block and how many\n", FH_SIGNALS - 1);
    return 1;
  }
  const uint32_t block  = subject->block ? subject->block : (uint32_t)asked;
  FhBenchAudio   audio  = fh_bench_audio((FhSignal)signal);
  static float   out[2][FH_BENCH_FRAMES];
  void* const    self   = subject->open(subject->closes, subject->size);
  const uint32_t warm   = WARM_UP / block;
  for (uint32_t b = 0; self && b < warm + (uint32_t)blocks && (b + 1) * block <= FH_BENCH_FRAMES; ++b) {
    const uint32_t     at       = b * block;
    const float* const close[2] = {audio.close[0] + at, audio.close[1] + at};
    float* const       outs[2]  = {out[0] + at, out[1] + at};
    if (b == warm - 4u) {
      CALLGRIND_START_INSTRUMENTATION;
    }
    CALLGRIND_ZERO_STATS;
    subject->run(self, close, audio.ambient + at, outs, block);
    if (b >= warm) {
      CALLGRIND_DUMP_STATS;
    }
  }
  if (self) {
    subject->close(self);
  }
  fh_bench_audio_free(&audio);
  return self ? 0 : 1;
}
