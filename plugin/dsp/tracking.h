// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tracking.h
/// Follow a change of level between the microphones without being asked to learn anew. Thread: audio, once a hop.

#ifndef FRONTHASH_DSP_TRACKING_H
#define FRONTHASH_DSP_TRACKING_H

#include "dsp/detector.h"

/// Whether the band plays, not crowd and wind alone, which reach the microphones in another ratio: the ambient
/// microphone is less than 5 dB under its own mean over 8 s. @param heard Whether this hop counts toward that mean
bool fh_tracking_band_plays(FhEngine* engine, bool heard);

/// @param first The model is being learnt, by request or for the first time
/// @param watch What this hop may be used for
/// @param follow The model is there: follow what moves all of its bands
void fh_tracking_hop(FhEngine* engine, bool first, FhWatch watch, bool follow);

#endif
