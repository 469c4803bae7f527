// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file filter.h
/// A plain band-pass to measure levels with: second-order Butterworth high-pass, then low-pass.
///
/// Bilinear transform as in R. Bristow-Johnson's "Audio EQ Cookbook" (W3C Note, 2021), Q = 0.7071.

#ifndef FRONTHASH_COMMAND_FILTER_H
#define FRONTHASH_COMMAND_FILTER_H

#include <math.h>
#include <stdbool.h>

typedef struct {
  double b0, b1, b2, a1, a2;
  double s1, s2; ///< Transposed direct form II
} FhSecondOrder;

typedef struct {
  FhSecondOrder high;
  FhSecondOrder low;
} FhFilter;

static inline FhSecondOrder
fh_second_order(const double rate, const double frequency, const bool high)
{
  const double w = 2.0 * 3.14159265358979323846 * fmin(frequency / rate, 0.45);
  const double a = sin(w) / (2.0 * 0.70710678118654752);
  const double c = cos(w);
  const double b = (high ? 1.0 + c : 1.0 - c) / 2.0;
  const double d = 1.0 + a;
  return (FhSecondOrder){b / d, (high ? -2.0 * b : 2.0 * b) / d, b / d, -2.0 * c / d, (1.0 - a) / d, 0.0, 0.0};
}

/// Pass from `from` to `to` Hz at a rate in Hz
static inline FhFilter
fh_filter_make(const double rate, const double from, const double to)
{
  return (FhFilter){fh_second_order(rate, from, true), fh_second_order(rate, to, false)};
}

static inline double
fh_second_order_run(FhSecondOrder* const f, const double x)
{
  const double y = f->b0 * x + f->s1;
  f->s1          = f->b1 * x - f->a1 * y + f->s2;
  f->s2          = f->b2 * x - f->a2 * y;
  return y;
}

static inline double
fh_filter_run(FhFilter* const f, const double x)
{
  return fh_second_order_run(&f->low, fh_second_order_run(&f->high, x));
}

#endif
