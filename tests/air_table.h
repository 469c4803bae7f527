// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file air_table.h
/// ISO 9613-2:1996, table 2: how much air takes from octaves of sound, in dB/km at the mid-bands 63 Hz to 8 kHz. Printed to one
/// decimal below 100, to whole dB above. The formula of part 1 gives 4.151 where the table prints 4.1: hence 0.055, not 0.05.

#ifndef FRONTHASH_TESTS_AIR_TABLE_H
#define FRONTHASH_TESTS_AIR_TABLE_H

#define FH_AIR_ROWS 6
#define FH_AIR_BANDS 8

static const struct {
  double celsius;
  double humidity; ///< %
  double printed[FH_AIR_BANDS];
} fh_air_table[FH_AIR_ROWS] = {
  {10, 70, {0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117}},
  {20, 70, {0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6}},
  {30, 70, {0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3}},
  {15, 20, {0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202}},
  {15, 50, {0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129}},
  {15, 80, {0.1, 0.3, 1.1, 2.4, 4.1, 8.3, 23.7, 82.8}},
};

/// What rounding in print allows, dB/km
static inline double
fh_air_tolerance(const double printed)
{
  return printed >= 100.0 ? 0.5 : 0.055;
}

#endif
