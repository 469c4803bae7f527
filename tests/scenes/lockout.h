// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file lockout.h
/// A made-up take played to one engine, any stretch of it as often as wanted, with what was missed of the soloist.

#ifndef FRONTHASH_TESTS_LOCKOUT_H
#define FRONTHASH_TESTS_LOCKOUT_H

#include "score.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define SHOW_RATE 48000.0

typedef struct {
  FhScene scene;
  FhTruth truth;
  double  seconds;
  double  first; ///< Start of the first phrase, s
  float*  close;
  float*  ambient;
} Show;

/// What came of a stretch
typedef struct {
  float* gate; ///< Gain at FH_GATE_RATE
  size_t count;
  double missed;  ///< Share of active ticks with the gate not above -6 dB, %: as in score.h
  double falsely; ///< Share of resting ticks with the gate above that, %
} Heard;

/// @param scene Place in the list of scenes
static inline Show
show_make(const size_t scene, const uint64_t seed)
{
  size_t               count;
  const FhSceneSpec*   list    = fh_scene_list(&count);
  const FhSceneRequest request = {
    .spec = &list[scene], .seed = seed, .ratio = 10.0, .rate = SHOW_RATE, .condition = FH_PLAIN, .cache_dir = FH_CACHE_DIR};
  Show                 s       = {.seconds = 0.0};
  assert_true(fh_scene_build(&s.scene, &request));
  s.seconds = (double)s.scene.frames / SHOW_RATE;
  s.first   = s.scene.phrases[0].from;
  s.close   = (float*)malloc(s.scene.frames * sizeof(float));
  s.ambient = (float*)malloc(s.scene.frames * sizeof(float));
  assert_true(s.close && s.ambient);
  for (size_t n = 0; n < s.scene.frames; ++n) {
    s.close[n]   = s.scene.solo[0][n] + s.scene.pickup[0][n];
    s.ambient[n] = s.scene.solo[1][n] + s.scene.pickup[1][n];
  }
  return s;
}

/// Find the truth, which Heard is held against
static inline void
show_find_truth(Show* const s)
{
  assert_true(fh_truth_make(&s->truth, &s->scene));
}

static inline void
show_free(Show* const s)
{
  free(s->close);
  free(s->ambient);
  fh_truth_free(&s->truth);
  fh_scene_free(&s->scene);
}

static inline void
heard_free(Heard* const h)
{
  free(h->gate);
}

/// Share of the ticks at which the soloist is active, or rests, with the gate open, %; for a stretch from frame `first` on
static inline double
show_open(const Show* const s, const Heard* const h, const size_t first, const size_t step, const FhActivity activity)
{
  size_t ticks = 0, open = 0;
  for (size_t i = 0; i < h->count; ++i) {
    const size_t tick = (first + i * step) / s->truth.tick;
    if (tick < s->truth.ticks && s->truth.activity[tick] == activity) {
      ++ticks;
      open += h->gate[i] > 0.5012f;
    }
  }
  return ticks ? 100.0 * (double)open / (double)ticks : activity == FH_ACTIVE ? 100.0 : 0.0;
}

/// Play a stretch of the take, s. @param heard NULL if it does not matter; else heard_free() it
static inline void
show_play(const Show* const s, FhRig* const rig, const double from, const double to, Heard* const heard)
{
  const size_t step = (size_t)(SHOW_RATE / FH_GATE_RATE), first = (size_t)(from * SHOW_RATE) / step * step;
  const size_t last = (size_t)(fmin(to, s->seconds) * SHOW_RATE);
  Heard        h    = {.gate = (float*)calloc((last - first) / step + 1u, sizeof(float))};
  assert_non_null(h.gate);
  fh_engine_set(rig->engine, rig->controls);
  for (size_t n = first; n + step <= last; n += step) {
    float              sound[16];
    float* const       out[]   = {sound};
    const float* const close[] = {s->close + n};
    fh_engine_run(rig->engine, close, s->ambient + n, out, NULL, (uint32_t)step);
    h.gate[h.count++] = fh_engine_gate(rig->engine);
  }
  fh_engine_meters(rig->engine, rig->controls);
  h.missed  = 100.0 - show_open(s, &h, first, step, FH_ACTIVE);
  h.falsely = show_open(s, &h, first, step, FH_RESTING);
  if (heard) {
    *heard = h;
  } else {
    heard_free(&h);
  }
}

/// Press learn while a stretch of the take plays, s
static inline void
show_learn(const Show* const s, FhRig* const rig, const FhLearn mode, const double from, const double to)
{
  show_play(s, rig, from > 0.3 ? from - 0.3 : 0.0, from, NULL);
  rig->controls[FH_LEARN] = (float)mode;
  show_play(s, rig, from, to, NULL);
  rig->controls[FH_LEARN] = FH_LEARN_OFF;
  fh_engine_set(rig->engine, rig->controls);
}

#endif
