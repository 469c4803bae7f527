// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file measure.h
/// Time and resources of this process.

#ifndef FRONTHASH_TESTS_UI_MEASURE_H
#define FRONTHASH_TESTS_UI_MEASURE_H

void pause_for(double seconds);

/// Seconds on a clock that never goes back, and of processor time used
double wall_seconds(void);
double used_seconds(void);

/// Entries of /proc/self/fd
int open_files(void);

/// Resident memory, KiB
long resident(void);

#endif
