// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file ears.h
/// The trained decision: how sure is it that the soloist sounds?
///
/// Three ticks (1 to 1.1 ms) make a look: 64 numbers, all in dB relative to the predicted pickup or to the usual one, so that input
/// gains do not matter. A layer, one gated recurrent unit (K. Cho et al., EMNLP 2014; the form that PyTorch documents) and one
/// number out, the natural log of the odds. plugin/train makes the weights, and runs fh_ears_look() itself to make what it
/// trains on. A look's work is spread over ticks alike, so that no block bears it all; it is answered a tick
/// after it is full. Thread: audio, once a tick.

#ifndef FRONTHASH_DSP_EARS_H
#define FRONTHASH_DSP_EARS_H

#include "dsp/simd.h"

#include <stdbool.h>
#include <stdint.h>

#define FH_EARS_TICKS 3   ///< A look is made of so many ticks
#define FH_EARS_INPUTS 64
#define FH_EARS_UNITS 64
#define FH_EARS_MEANS 3

/// What is usual, which is saved: averages over 5 s
typedef struct {
  fh_v8 pickup; ///< Predicted pickup, mean square
  fh_v8 above;  ///< Close over predicted pickup, 10 dB
  float looks;  ///< So far; the averages begin as means of all of them
} FhEarsUsual;

/// What is looked at: averages of the powers per band
typedef struct {
  fh_v8 close[FH_EARS_MEANS];  ///< Close microphones, mean squares over 3, 20 and 80 ms
  fh_v8 pickup[FH_EARS_MEANS]; ///< Predicted pickup, likewise
  fh_v8 lately;                ///< Close over predicted pickup, 10 dB, over 500 ms
} FhEarsLook;

typedef struct {
  FhEarsLook look;
  fh_v8      close, pickup; ///< Sums over the ticks of the look now filling
  int        filled;        ///< Ticks in it
  bool       looked;        ///< There has been a look to answer
  float      odds;          ///< Natural log of the odds that the soloist sounds, from the last full look

  int16_t inputs[FH_EARS_INPUTS] __attribute__((aligned(32)));
  int16_t layer[FH_EARS_UNITS] __attribute__((aligned(32)));
  int16_t memory[FH_EARS_UNITS] __attribute__((aligned(32)));   ///< `state`, rounded
  float   state[FH_EARS_UNITS] __attribute__((aligned(32)));    ///< What is remembered, -1 to 1
  float   sums[3 * FH_EARS_UNITS] __attribute__((aligned(32))); ///< Of reset, update and new, by what is looked at
  float   past[3 * FH_EARS_UNITS] __attribute__((aligned(32))); ///< Likewise, by what is remembered
} FhEars;

/// As if nothing had been heard but what is usual
void fh_ears_start(FhEars* ears, const FhEarsUsual* usual);

/// Remember again what was remembered, each -1 to 1
void fh_ears_recall(FhEars* ears, const float memory[FH_EARS_UNITS]);

/// What was heard before is no further than 10 dB from what is heard now: mean squares as below
void fh_ears_near(FhEars* ears, fh_v8 close, fh_v8 pickup);

/// Take one tick's mean squares per band: close microphones, and the pickup predicted in them. @param spread What the level difference
/// passes once in a hundred at rest, per band, dB from its median
void fh_ears_tick(FhEars* ears, FhEarsUsual* usual, fh_v8 close, fh_v8 pickup, fh_v8 spread);

/// What the network is given is within -3 to 4
static inline fh_v8
fh_ears_sane(const fh_v8 x)
{
  return fh_v8_max(fh_v8_min(x, fh_v8_set(4.0f)), fh_v8_set(-3.0f));
}

/// Take the mean squares of one look. @param to receives what the network is given
static inline void
fh_ears_look(FhEarsLook* const  look,
             FhEarsUsual* const usual,
             const fh_v8        close,
             const fh_v8        pickup,
             const fh_v8        spread,
             fh_v8              to[FH_EARS_INPUTS / 8])
{
  static const float poles[FH_EARS_MEANS] = {0.7165313f, 0.9512294f, 0.9875778f}; // exp(-1 / ms)
  const fh_v8        quiet                = fh_v8_set(1e-12f);
  fh_v8              pickup_db[FH_EARS_MEANS];
  fh_v8              close_db = quiet;
  for (int i = FH_EARS_MEANS - 1; i >= 0; --i) {
    const fh_v8 pole = fh_v8_set(poles[i]);
    look->close[i]   = fh_v8_fma(pole, look->close[i] - close, close);
    look->pickup[i]  = fh_v8_fma(pole, look->pickup[i] - pickup, pickup);
    close_db         = fh_v8_db(look->close[i] + quiet);
    pickup_db[i]     = fh_v8_db(look->pickup[i] + quiet);
    to[i]            = 0.1f * (close_db - pickup_db[i]);
  }
  usual->looks         = usual->looks < 5000.0f ? usual->looks + 1.0f : 5000.0f;
  const float part     = 1.0f / usual->looks;
  const fh_v8 five_s   = fh_v8_set(1.0f - part), half_s = fh_v8_set(part > 0.002f ? 1.0f - part : 0.998f);
  usual->pickup        = fh_v8_fma(five_s, usual->pickup - pickup, pickup);
  const fh_v8 now      = fh_ears_sane(to[1]);
  look->lately         = fh_v8_fma(half_s, look->lately - now, now);
  usual->above         = fh_v8_fma(five_s, usual->above - now, now);
  const fh_v8 usual_db = fh_v8_db(usual->pickup + quiet);
  to[3]                = 0.05f * (close_db - usual_db);
  to[4]                = 0.05f * (pickup_db[1] - usual_db);
  to[5]                = 0.1f * spread;
  to[6]                = look->lately;
  to[7]                = usual->above;
  for (int i = 0; i < FH_EARS_INPUTS / 8; ++i) {
    to[i] = fh_ears_sane(to[i]);
  }
}

#endif
