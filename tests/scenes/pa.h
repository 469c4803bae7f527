// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file pa.h
/// The loudspeakers that play the processed solo to the audience, and what of it comes back to the microphones.
///
/// Two loudspeakers 8 m to the sides and 5 m before the soloist, heard from behind, so dull (one pole at 3 kHz). They
/// are as loud as the job asks: at the ambient microphone the returned solo is 4 dB under the mean pickup; at the
/// close ones what distance and pattern make of that. Thread: any.

#ifndef FRONTHASH_SCENES_PA_H
#define FRONTHASH_SCENES_PA_H

#include "scene.h"

typedef struct {
  uint32_t mics;
  size_t   delay[FH_MAX_MICS]; ///< Frames, per microphone; both loudspeakers alike, from the nearer one
  float    gain[FH_MAX_MICS];  ///< Output to microphone signal
  float    pole, low;
  size_t   length, at;
  float*   past; ///< What the loudspeakers played
} FhPa;

/// Set up from a scene. @return false when memory is out. Free with fh_pa_free().
bool fh_pa_make(FhPa* pa, const FhScene* scene);
void fh_pa_free(FhPa* pa);

/// Add what returns to a microphone during the next `count` frames; at most fh_pa_longest_block()
void fh_pa_add(const FhPa* pa, uint32_t mic, float* to, size_t count);

/// Play a block (the sum of all outputs)
void fh_pa_play(FhPa* pa, const float* const out[], uint32_t outs, size_t count);

/// Blocks must not be longer than the shortest way back, frames
size_t fh_pa_longest_block(const FhPa* pa);

#endif
