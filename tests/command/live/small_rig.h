// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file small_rig.h
/// A rig of two stands without a sound server, and noise to run it on.

#ifndef FRONTHASH_TESTS_SMALL_RIG_H
#define FRONTHASH_TESTS_SMALL_RIG_H

#include "command/live/rig.h"
#include "command/show/show.h"
#include "../../noise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#define RATE 48000
#define BLOCK 64u

static const char* const show_text = "fronthash-show 1\ntitle \"Tide Lines\"\nambient 4\n"
                                     "stand \"Left corner\"\n input 1\n family trumpet\n soloist Mira preset Trumpet\n soloist Jonas\n"
                                     "stand Bars\n input 2 3\n family marimba\n microphone pair\n";

typedef struct {
  FhShow* show;
  FhRig*  rig;
} Running;

static inline Running
start(void)
{
  Running r = {.show = fh_show_parse("tide.show", show_text, strlen(show_text))};
  assert_non_null(r.show);
  r.rig = fh_rig_new(r.show, NULL);
  assert_non_null(r.rig);
  return r;
}

static inline void
end(Running* const r)
{
  fh_rig_free(r->rig);
  fh_show_free(r->show);
}

/// Run the whole rig on noise: the close microphones hear the field so much softer, dB
static inline void
play(FhRig* const rig, const double seconds, const double softer)
{
  static uint32_t seed;
  static float    line[RATE / 1000]; // 1 ms on the way, or it would be the ambient microphone itself
  static uint32_t at;
  const float     gain = (float)pow(10.0, -0.05 * softer);
  for (uint32_t n = 0; n < (uint32_t)(seconds * RATE / BLOCK); ++n) {
    float ambient[BLOCK], close[BLOCK], out[2][BLOCK];
    for (uint32_t i = 0; i < BLOCK; ++i) {
      ambient[i] = 0.2f * (float)fh_noise(&seed);
      close[i]   = gain * line[at];
      line[at]   = ambient[i];
      at         = (at + 1) % (RATE / 1000);
    }
    for (size_t s = 0; s < rig->count; ++s) {
      const bool         pair   = rig->stand[s].host->variant->closes == 2;
      const float* const in[]   = {close, pair ? close : ambient, ambient};
      float* const       outs[] = {out[0], out[1]};
      fh_rig_run(&rig->stand[s], in, outs, BLOCK);
    }
    if (n % 75u == 0) {
      fh_rig_tick(rig, (double)n * BLOCK / RATE);
    }
  }
}

#endif
