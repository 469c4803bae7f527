// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file spectrum.h
/// Short-time spectra with a Hann window.

#ifndef FRONTHASH_COMMAND_SPECTRUM_H
#define FRONTHASH_COMMAND_SPECTRUM_H

#include "command/measure/transform.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct {
  size_t       length; ///< Frames under the window
  size_t       size;   ///< Points of the transform, at least length; the rest is zeros
  size_t       bins;   ///< size / 2 + 1
  double       scale;  ///< From squared magnitude to power
  double*      window;
  double*      in;
  FhBin*       out; ///< Spectrum of the last run
  FhTransform* transform;
} FhSpectrum;

/// Pair: fh_spectrum_free. @return False without memory; free is fine then, too.
bool fh_spectrum_init(FhSpectrum* spectrum, size_t length, size_t size);
void fh_spectrum_free(FhSpectrum* spectrum);

/// Transform `length` frames from `at` of a signal of `frames`; what lies outside counts as zero
void fh_spectrum_run(FhSpectrum* spectrum, const float* signal, size_t frames, ptrdiff_t at);

/// Power of a bin of the last run. The sum over all bins is the mean square under the window: a sine of amplitude 1
/// gives 0.5 in all.
double fh_spectrum_power(const FhSpectrum* spectrum, size_t bin);

/// Sum of power from `low` to `high` Hz, both ends included
double fh_spectrum_band(const FhSpectrum* spectrum, double rate, double low, double high);

/// Smallest power of two that is at least `frames`
size_t fh_power_of_two(double frames);

/// 10 lg, with silence at -200 dB
double fh_decibels(double power);

/// The value below which `share` (0..1) of the values lie; sorts `values` in place; NAN of none
double fh_percentile(double* values, size_t count, double share);

#endif
