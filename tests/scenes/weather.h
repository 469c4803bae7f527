// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file weather.h
/// Wind on microphones and the sound of the crowd. Thread: any.

#ifndef FRONTHASH_SCENES_WEATHER_H
#define FRONTHASH_SCENES_WEATHER_H

#include "acoustics.h"
#include "random.h"

#include <stdbool.h>
#include <stdint.h>

/// Write wind noise of unit mean square: below some 100 Hz, falling steeply above, different on every microphone.
/// @param gusts 0 a steady breeze, 1 gusts of one to three seconds with calm between
void fh_make_wind(FhRandom, int gusts, double rate, float* to, size_t frames);

/// Add a crowd in the front stands at all microphones: six voices-like noises 20 to 30 m before them, heard with
/// distance and pattern; unit mean square at the first microphone. @return false when memory is out
bool fh_add_crowd(FhRandom, const FhField*, const FhMic mics[], uint32_t count, double rate, float* const to[], size_t frames);

/// Mean square of a stretch
double fh_power(const float* x, size_t from, size_t to);

#endif
