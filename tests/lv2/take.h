// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file take.h
/// Made-up microphone signals for the host tests, the same on every run and machine.
///
/// Noise stands for the field; it reaches the ambient microphone and, 12 dB down and 1 ms later, the close ones.
/// A soloist of eight partials on A4 plays from 0.4 to 0.8 of every second. Each microphone has noise of its own.

#ifndef FRONTHASH_TESTS_TAKE_H
#define FRONTHASH_TESTS_TAKE_H

#include <stdint.h>

typedef struct {
  uint32_t frames;
  float*   close[2];
  float*   ambient;
} FhTake;

/// Random numbers (Marsaglia, Xorshift RNGs, J. Stat. Software 8(14), 2003)
uint32_t fh_random(uint32_t* seed);

/// Uniform from -1 to 1
float fh_random_sample(uint32_t* seed);

/// Make a take; `rate` in Hz. Free it with fh_take_free().
FhTake fh_take_make(double rate, double seconds, uint32_t seed);

/// The same while the soloist rests
FhTake fh_take_field(double rate, double seconds, uint32_t seed);

void fh_take_free(FhTake* take);

/// Zeroed samples; free() them
float* fh_samples(uint32_t frames);

#endif
