// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file soundcheck_sound.h
/// The sounds that made-up soundchecks consist of.

#ifndef FRONTHASH_TEST_SOUNDCHECK_SOUND_H
#define FRONTHASH_TEST_SOUNDCHECK_SOUND_H

#include "soundcheck.h"

#include <stdint.h>

/// What is being made
typedef struct {
  FhMade      made;
  FhCheckKind kind;
  unsigned    faults;
  unsigned    take; ///< Which take of it
  double      rate;
  size_t      frames;
  size_t      closes;
  uint32_t    seed;
} FhMaker;

/// Distance a sound has come by and the gain it has there
typedef struct {
  double seconds;
  double gain;
} FhPath;

/// One sound of partials into every microphone, each with its own delay: evaluated at the delayed time, so that
/// fractions of a frame are exact
typedef struct {
  double start, length; ///< s
  double hz;
  int    partials;
  double ratio[12];
  double level[12];
  double decay[12]; ///< 1/s
  double attack;    ///< s
  double noise;     ///< Click or breath at the attack
} FhMadeSound;

/// White noise from -1 to 1: rms 1 / sqrt 3
double fh_made_noise(FhMaker* maker);

/// A number from -most to most; 0 in the first take, which is even
double fh_made_vary(FhMaker* maker, double most);

float* fh_made_channel(const FhMaker* maker, size_t mic);

/// A blown note: harmonics with a formant near 1.2 kHz
FhMadeSound fh_made_blown(double start, double length, int note);

/// A bar: tuned partials, the higher the sooner gone
FhMadeSound fh_made_bar(double start, int note);

/// Add a sound to each microphone by its path
void fh_made_play(FhMaker* maker, const FhMadeSound* sound, const FhPath paths[FH_MICS]);

#endif
