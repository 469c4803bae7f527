// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file swapped.h
/// Whether close and ambient microphone have changed places.
///
/// A soloist stands out in the microphone that is close, over what the field alone is in both. If it is the ambient input in
/// which something periodic stands out time and again, in several bands, while the close input hears nothing of the kind, the
/// soloist plays into that one. Levels alone cannot say so: a band that plays more softly under the soloist moves them alike.
/// It goes by a median of its own, not by what was learnt, which may be of the swapped microphones. Thread: audio, once a hop.

#ifndef FRONTHASH_DSP_SWAPPED_H
#define FRONTHASH_DSP_SWAPPED_H

#include "dsp/tone.h"

typedef struct {
  FhTone tone;    ///< Of the ambient microphone
  fh_v8  field;   ///< Close over ambient while nothing periodic is in either, median, dB
  float  field_s; ///< Time of that so far
  float  sure_s;  ///< Time of the soloist in the ambient microphone less that in the close ones, s
  bool   is;      ///< They have changed places
} FhSwapped;

/// @param hop Its length, s; 0 where nothing counts @param ratio Close over ambient, dB
/// @param usable 1 for each band there is, else 0 @param close_tone The close microphones hear something periodic
void fh_swapped_hop(FhSwapped* swapped, float hop, fh_v8 ratio, fh_v8 usable, bool close_tone);

/// Begin anew, as after a reset
void fh_swapped_forget(FhSwapped* swapped);

#endif
