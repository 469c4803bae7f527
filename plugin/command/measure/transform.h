// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file transform.h
/// Fourier transform of real signals, and back, through kissfft. It works in single precision: errors are some 130 dB below the
/// loudest line.
///
/// Thread: any; one transform serves one thread at a time.

#ifndef FRONTHASH_COMMAND_TRANSFORM_H
#define FRONTHASH_COMMAND_TRANSFORM_H

#include <stddef.h>

typedef double FhBin[2]; ///< Real and imaginary part

typedef struct FhTransformImpl FhTransform;

/// @param size Points; even. Quick where it has small factors. Pair: fh_transform_free. @return NULL without memory.
FhTransform* fh_transform_new(size_t size);

/// NULL is fine
void fh_transform_free(FhTransform* transform);

/// @param signal Of `size` points. @param bins Receives size / 2 + 1: sums of signal times exp(-2 pi i bin point / size)
void fh_transform_forward(FhTransform* transform, const double* signal, FhBin* bins);

/// The way back, times `size`. @param bins size / 2 + 1 of them.
void fh_transform_back(FhTransform* transform, const FhBin* bins, double* signal);

#endif
