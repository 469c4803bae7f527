// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file through.h
/// A take through the engine: learn the ambient in the band-only stretch, then play on with everything else at its
/// default or as set. Thread: any.

#ifndef FRONTHASH_SCENES_THROUGH_H
#define FRONTHASH_SCENES_THROUGH_H

#include "scene.h"

#include "dsp/engine.h"

#define FH_GATE_RATE 3000.0 ///< The gate gain is noted this often, Hz

typedef struct {
  size_t step;                 ///< Frames between two gate values
  size_t frames;               ///< Frames put out: all of the scene's
  size_t late;                 ///< Latency the engine declares, frames
  float* out[FH_MAX_CLOSES];   ///< Moved to where its input was: with lookahead the last few ms are missing, and silent
  float* gate;                 ///< Gain 0..1 after each step, moved likewise
  float* excess;               ///< The meter after each step, dB; NULL unless asked for
  float* open_at;              ///< The meter after each step, dB; NULL unless asked for
  double fault_s;              ///< Time for which a fault was shown, but for the first half second, s
} FhThrough;

/// An engine with the controls it runs with
typedef struct {
  FhEngine* engine;
  float     controls[FH_CONTROL_COUNT];
  bool      meters; ///< Note the meters too (slower)
  bool      unlearnt; ///< Do not press learn
} FhRig;

/// Make an engine with all controls at their defaults; fh_rig_free() it. @return false when memory is out
bool fh_rig_make(FhRig* rig, double rate, uint32_t closes);
void fh_rig_free(FhRig* rig);

/// Run a scene; it learns where the scene has a learn stretch. FH_PA scenes run in a closed loop: the output comes
/// back to all microphones from two loudspeakers before the soloist, one block at a time.
/// @return false when memory is out. Free with fh_through_free().
bool fh_through_run(FhThrough* through, FhRig* rig, const FhScene* scene);
void fh_through_free(FhThrough* through);

#endif
