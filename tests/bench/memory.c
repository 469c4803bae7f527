// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Memory of an instance: what the plugin asks for when it is made, and nothing after. The figures are those of
// docs/performance.md; a change of theirs is a change of the document.

#include "subject.h"

#include "dsp/engine.h"

#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>

// Most bytes of one instance, plugin and engine, by sample rate: lines for the longest lookahead are nearly all of it
static const struct {
  double rate;
  size_t most;
} limits[] = {{44100.0, 95000}, {48000.0, 98000}, {96000.0, 146000}, {192000.0, 238000}};

static size_t
allocated(void)
{
  const struct mallinfo2 info = mallinfo2();
  return info.uordblks + info.hblkhd;
}

int
main(void)
{
  int failed = 0;
  for (uint32_t closes = 1; closes <= 2; ++closes) {
    for (size_t i = 0; i < sizeof(limits) / sizeof(limits[0]); ++i) {
      const size_t size = fh_engine_size(limits[i].rate, closes);
      printf("engine, %u close, %6.0f Hz: %6zu bytes, at most %6zu\n", closes, limits[i].rate, size, limits[i].most);
      failed += size > limits[i].most;
    }
  }

  // The whole plugin at 48 kHz, as malloc counts it; the first instance also loads the library
  void* const  first  = fh_plugin_open(1, 0);
  const size_t before = allocated();
  void* const  second = first ? fh_plugin_open(1, 0) : NULL;
  const size_t made   = allocated() - before;
  if (!second) {
    return 1;
  }
  static float       silence[256], out[2][256];
  const float* const close[2] = {silence, silence};
  float* const       outs[2]  = {out[0], out[1]};
  for (int i = 0; i < 100; ++i) {
    fh_plugin_run(second, close, silence, outs, 256);
  }
  const size_t after = allocated() - before;
  printf("plugin solo at 48000 Hz: %zu bytes when made, %zu after a hundred blocks\n", made, after);
  failed += made > 110000 || after > made;
  fh_plugin_close(second);
  fh_plugin_close(first);
  return failed ? 1 : 0;
}
