// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file levels.h
/// Levels of a take over time, and what can be read from them.

#ifndef FRONTHASH_COMMAND_LEVELS_H
#define FRONTHASH_COMMAND_LEVELS_H

#include "command/base/options.h"
#include "command/measure/take.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_LEVEL_RATE 50 ///< Level frames a second

/// Levels of a take between 250 and 4000 Hz, where wind and rumble are not
typedef struct {
  size_t count;
  float* close;      ///< dBFS, mean of the close microphones
  float* ambient;    ///< dBFS
  float* difference; ///< Close less ambient, each without its floor, dB, median over 0.2 s
  float  close_floor;
  float  ambient_floor; ///< Noise, dBFS: what a microphone hears of crowd, wind and itself
} FhLevels;

/// Measure levels. Pair: fh_levels_free. @return false, having complained.
bool fh_levels_make(FhLevels* levels, const FhTake* take);
void fh_levels_free(FhLevels* levels);

/// Value not passed by the given part of the values, which come out in order. NAN if there are none.
float fh_quantile(float* values, size_t count, double part);

/// Quantile of a row of levels over the frames within stretches, all frames if NULL
float fh_quantile_of(const float* row, size_t count, const FhStretches* within, double part);

/// Mean of a row of levels from `start` to `end` s; clamped to the take
double fh_mean_level(const float* row, size_t count, double start, double end);

#endif
