// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file note_shape.h
/// How fast a soloist's phrases begin and end in the close microphone.

#ifndef FRONTHASH_COMMAND_NOTE_SHAPE_H
#define FRONTHASH_COMMAND_NOTE_SHAPE_H

#include "command/measure/stretches.h"
#include "command/run/run.h"

#include <stddef.h>

typedef struct {
  double rise;   ///< From a tenth to nine tenths of the amplitude, median, ms
  double fall;   ///< After the last note, median, dB/s
  size_t begins; ///< Phrases that `rise` was seen in
  size_t ends;   ///< Phrases that `fall` was seen in
} FhNoteShape;

/// Measure at the ends of the soloist's stretches. Limits of the measurement: about 4 ms, 1000 dB/s.
FhNoteShape fh_note_shape(const FhTake* take, const FhStretches* solo);

#endif
