// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file chart.h
/// The one chart of the benchmarks: time per block against instances.

#ifndef FRONTHASH_BENCH_CHART_H
#define FRONTHASH_BENCH_CHART_H

/// Write a PNG of `n` points: instances, and microseconds for a block of each; `budget` is how long a block lasts.
/// @return 0, or 1 after a line on stderr
int fh_chart_write(const char* path, const double* x, const double* y, int n, double budget);

#endif
