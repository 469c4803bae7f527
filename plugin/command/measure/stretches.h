// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file stretches.h
/// Where in a take the band plays alone, and where the soloist plays.

#ifndef FRONTHASH_COMMAND_STRETCHES_H
#define FRONTHASH_COMMAND_STRETCHES_H

#include "command/base/options.h"
#include "command/measure/levels.h"
#include "command/measure/take.h"

#include <stdbool.h>
#include <stddef.h>

/// A take divided
typedef struct {
  FhStretches band;      ///< The field alone
  FhStretches solo;      ///< The soloist, with or without the field
  double      rest;      ///< Median level difference in `band`, dB
  double      rest_top;  ///< Level difference passed once in a hundred in `band`, dB
  double      play;      ///< Median level difference in `solo`, dB
} FhDivision;

/// Divide a take. What the caller put into `band` or `solo` is kept and checked; what is empty is found.
/// @return false, having complained with what to record instead: too short, silent, twice the same, swapped, no
/// soloist, no band, stretches outside the take.
bool fh_divide(FhDivision* division, const FhLevels* levels, const FhTake* take);

#endif
