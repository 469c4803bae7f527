// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fault_take.h
/// A made take, block by block, and what can break in it. Field: noise that swells, and noise of each microphone's own;
/// soloist: a tone with harmonics, 3 s rest, 2 s phrase, heard 9 ms later by the ambient microphone.

#ifndef FRONTHASH_TESTS_FAULT_TAKE_H
#define FRONTHASH_TESTS_FAULT_TAKE_H

#include "check.h"

#define MAX_BLOCK 960 ///< 5 ms at 192 kHz

typedef enum {
  NO_FAULT,
  AMBIENT_SILENT,  ///< Digital silence
  AMBIENT_GONE,    ///< No buffer
  AMBIENT_NOISE,   ///< What a preamplifier without a microphone leaves: -88 dBFS
  CLOSE_SILENT,    ///< Likewise
  CLOSE_NOISE,
  CLOSE_FLIPPED,
  AMBIENT_FLIPPED,
  AMBIENT_COPIED,  ///< The close microphone
  AMBIENT_TURNED,  ///< The close microphone, turned over, at half the level
  CLOSE_CLIPPED,   ///< 36 dB louder, cut off at full scale
  AMBIENT_CLIPPED, ///< 20 dB louder, likewise
  AMBIENT_HUGE,    ///< Noise at +40 dBFS
  CLOSE_BROKEN,    ///< Not a number
  AMBIENT_BROKEN,
  BOTH_SPECKLED,   ///< One sample in a hundred, by chance, is infinite
  CLOSE_OFFSET,    ///< A third of full scale on top
  AMBIENT_OFFSET,
  BOTH_OFFSET,
  BOTH_OFF_A_LITTLE, ///< 1 % of full scale
} FaultKind;

typedef struct {
  double   rate;    ///< Hz
  uint32_t block;   ///< Frames of 5 ms
  uint64_t blocks;  ///< So far
  bool     resting; ///< No soloist
  Noise    noise;
} Take;

typedef struct {
  float close[MAX_BLOCK], ambient[MAX_BLOCK], solo[MAX_BLOCK];
  float noise[MAX_BLOCK]; ///< Which some faults are made of
  bool  ambient_gone;
} Sound;

static inline Take
take_new(const double rate)
{
  return (Take){.rate = rate, .block = (uint32_t)(rate / 200.0), .noise = {11}};
}

/// Uniform over -1..1: -4.8 dBFS
static inline double
take_noise(Take* const t)
{
  return 2.0 * noise_uniform(&t->noise) - 1.0;
}

static inline double
take_solo(const Take* const t, const double at)
{
  const double in = fmod(at, 5.0);
  if (t->resting || in < 3.0) {
    return 0.0;
  }
  return 0.2 * sin(tau * 440.0 * at) + 0.1 * sin(tau * 880.0 * at) + 0.05 * sin(tau * 1320.0 * at);
}

static inline float
take_clip(const float x, const float gain)
{
  return fmaxf(-1.0f, fminf(1.0f, gain * x));
}

static inline void
take_break(const FaultKind kind, const float noise, float* const close, float* const ambient)
{
  switch (kind) {
  case NO_FAULT:
  case AMBIENT_GONE: break;
  case AMBIENT_SILENT: *ambient = 0.0f; break;
  case AMBIENT_NOISE: *ambient = 6.9e-5f * noise; break;
  case CLOSE_SILENT: *close = 0.0f; break;
  case CLOSE_NOISE: *close = 6.9e-5f * noise; break;
  case CLOSE_FLIPPED: *close = -*close; break;
  case AMBIENT_FLIPPED: *ambient = -*ambient; break;
  case AMBIENT_COPIED: *ambient = *close; break;
  case AMBIENT_TURNED: *ambient = -0.5f * *close; break;
  case CLOSE_CLIPPED: *close = take_clip(*close, 60.0f); break;
  case AMBIENT_CLIPPED: *ambient = take_clip(*ambient, 10.0f); break;
  case AMBIENT_HUGE: *ambient = 173.0f * noise; break;
  case CLOSE_BROKEN: *close = NAN; break;
  case AMBIENT_BROKEN: *ambient = NAN; break;
  case BOTH_SPECKLED:
    *close   = noise > 0.98f ? INFINITY : *close;
    *ambient = noise < -0.98f ? -INFINITY : *ambient;
    break;
  case CLOSE_OFFSET: *close += 0.33f; break;
  case AMBIENT_OFFSET: *ambient -= 0.33f; break;
  case BOTH_OFFSET:
    *close -= 0.33f;
    *ambient += 0.33f;
    break;
  case BOTH_OFF_A_LITTLE:
    *close += 0.01f;
    *ambient += 0.01f;
    break;
  }
}

/// Make the next block, whole
static inline void
take_block(Take* const t, Sound* const s)
{
  s->ambient_gone = false;
  for (uint32_t i = 0; i < t->block; ++i) {
    const double at    = (double)(t->blocks * t->block + i) / t->rate;
    const double beat  = pow(10.0, -0.4 * (1.0 - cos(tau * 2.1 * at))); // 16 dB down between the beats
    const double level = 0.05 * beat * (1.0 + 0.3 * sin(tau * 0.3 * at));
    const double field = level * take_noise(t);
    const double solo  = take_solo(t, at);
    s->solo[i]         = (float)solo;
    s->close[i]        = (float)(solo + 0.6 * field + 0.3 * level * take_noise(t));
    s->ambient[i]      = (float)(6.0 * (0.05 * take_solo(t, at - 0.009) + field + 0.3 * level * take_noise(t)));
    s->noise[i]        = (float)take_noise(t);
  }
  ++t->blocks;
}

/// Put a fault into a block
static inline void
take_hit(Sound* const s, const FaultKind kind, const uint32_t frames)
{
  s->ambient_gone = kind == AMBIENT_GONE;
  for (uint32_t i = 0; i < frames; ++i) {
    take_break(kind, s->noise[i], &s->close[i], &s->ambient[i]);
  }
}

#endif
