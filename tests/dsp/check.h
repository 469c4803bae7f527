// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check.h
/// cmocka with a comparison of doubles that says what it compared, and an engine with one call.

#ifndef FRONTHASH_TESTS_CHECK_H
#define FRONTHASH_TESTS_CHECK_H

#include "dsp/engine.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define check_near(got, want, tolerance)                                                       \
  do {                                                                                         \
    const double got_ = (got), want_ = (want), tolerance_ = (tolerance);                       \
    if (!(fabs(got_ - want_) <= tolerance_)) {                                                 \
      fail_msg("%s is %.6g, not %.6g within %.3g", #got, got_, want_, tolerance_);             \
    }                                                                                          \
  } while (0)

static const double tau = 6.283185307179586;

/// Deterministic noise: normal by the sum of twelve uniform numbers of a linear congruential generator
typedef struct {
  uint64_t state;
} Noise;

static inline double
noise_uniform(Noise* const n)
{
  n->state = n->state * 6364136223846793005u + 1442695040888963407u;
  return (double)(n->state >> 11) / 9007199254740992.0;
}

static inline double
noise_normal(Noise* const n)
{
  double sum = -6.0;
  for (int i = 0; i < 12; ++i) {
    sum += noise_uniform(n);
  }
  return sum;
}

typedef struct {
  FhEngine* engine;
  float     controls[FH_CONTROL_COUNT];
} Rig;

static inline Rig
rig_new(const double rate, const uint32_t closes)
{
  const size_t size = (fh_engine_size(rate, closes) + 63u) & ~(size_t)63u;
  Rig          rig  = {.engine = fh_engine_init(aligned_alloc(64, size), rate, closes)};
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    rig.controls[i] = fh_controls[i].def;
  }
  return rig;
}

static inline void
rig_free(Rig* const rig)
{
  free(rig->engine);
  rig->engine = NULL;
}

/// Hand over the controls, run one block, read the meters back
static inline void
rig_run(Rig* const rig, const float* const close, const float* const ambient, float* const out, const uint32_t frames)
{
  const float* const closes[2] = {close, close};
  float* const       outs[2]   = {out, out};
  fh_engine_set(rig->engine, rig->controls);
  fh_engine_run(rig->engine, closes, ambient, outs, NULL, frames);
  fh_engine_meters(rig->engine, rig->controls);
}

#endif
