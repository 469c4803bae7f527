// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file speex_reference.h
/// Reference for scale: libspeexdsp's adaptive echo canceller with its residual echo suppressor, the ambient
/// microphone in the place of the loudspeaker signal.
///
/// Frames of 10 ms, filter 200 ms, noise suppression off beyond the residual echo. The library was made for speech on
/// telephones, not for this: a figure for scale, not a rival. Thread: any.

#ifndef FRONTHASH_SCENES_SPEEX_REFERENCE_H
#define FRONTHASH_SCENES_SPEEX_REFERENCE_H

#include "truth.h"

/// SI-SDR of its output against the solo, dB, with the library's delay taken out; NaN where it was not compiled in
double fh_speex_score(const FhTruth* truth, const FhScene* scene);

#endif
