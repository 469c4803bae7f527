// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file field.h
/// A made-up field in front of one engine: noise on both microphones, a soloist on top, at 48 kHz.

#ifndef FRONTHASH_TESTS_FIELD_H
#define FRONTHASH_TESTS_FIELD_H

#include "check.h"

#include "dsp/engine_state.h"

#define RATE 48000
#define BLOCK 128 ///< Frames, one hop at this rate: the engine's averages move once a block
#define BLOCKS_PER_SECOND (RATE / BLOCK)

/// What sounds; amplitudes are linear
typedef struct {
  Noise  noise;
  double common;  ///< Field that both microphones hear alike, rms
  double own;     ///< Noise of each microphone's own, rms
  double close;   ///< Gain of all field in the close microphone
  double ambient; ///< Gain of the ambient microphone
  double swell;   ///< How far the field falls between two beats, two beats a second, dB
  double solo;    ///< Amplitude of each of the soloist's harmonics; 0: rests
  double t;       ///< Now, s
} Field;

static inline void
field_run(Rig* const rig, Field* const f)
{
  float close[BLOCK], ambient[BLOCK], out[BLOCK];
  for (int i = 0; i < BLOCK; ++i) {
    const double beat = f->swell > 0.0 ? pow(10.0, -0.025 * f->swell * (1.0 - cos(2.0 * tau * f->t))) : 1.0;
    const double both = f->common > 0.0 ? beat * f->common * noise_normal(&f->noise) : 0.0;
    const double own  = beat * f->own;
    double       solo = 0.0;
    for (int h = 1; h <= 8 && f->solo > 0.0; ++h) {
      solo += f->solo * sin(tau * 233.0 * h * f->t);
    }
    close[i]   = (float)(solo + f->close * (both + own * noise_normal(&f->noise)));
    ambient[i] = (float)(f->ambient * (0.03 * solo + both + own * noise_normal(&f->noise)));
    f->t += 1.0 / RATE;
  }
  rig_run(rig, close, ambient, out, BLOCK);
}

static inline void
field_seconds(Rig* const rig, Field* const f, const double seconds)
{
  for (int b = 0; b < (int)(seconds * BLOCKS_PER_SECOND); ++b) {
    field_run(rig, f);
  }
}

/// Press learn for some seconds of this field; no longer than 15
static inline void
field_learn(Rig* const rig, Field* const f, const double seconds)
{
  rig->controls[FH_LEARN] = FH_LEARN_OFF;
  field_seconds(rig, f, 0.3);
  rig->controls[FH_LEARN] = FH_LEARN_AMBIENT;
  field_seconds(rig, f, seconds);
  rig->controls[FH_LEARN] = FH_LEARN_OFF;
  field_run(rig, f);
}

#endif
