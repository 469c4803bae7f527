// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file runs.h
/// Strokes or notes in a row, and whether they are a run from each to the next. Levels as in check.h. Thread: main.

#ifndef FRONTHASH_COMMAND_RUNS_H
#define FRONTHASH_COMMAND_RUNS_H

#include "command/measure/activity.h"

#include <stdbool.h>
#include <stddef.h>

/// One note or one stroke
typedef struct {
  size_t start, end;             ///< Samples
  double hz;                     ///< 0: no pitch found
  int    note;                   ///< MIDI number, nearest
  double level[FH_MICS];         ///< dBFS, of each close microphone
  double total;                  ///< Of all close microphones together, dBFS
  double bright;                 ///< Share of power above 2 kHz, dB
} FhStroke;

/// All strokes or sung notes of a take; zero it before first use
typedef struct {
  size_t    count, room;
  FhStroke* list;
} FhStrokes;

bool fh_strokes_add(FhStrokes* strokes, const FhStroke* stroke);
void fh_strokes_free(FhStrokes* strokes);

/// Do they go up or down in small steps, as a scale or a run over the bars does and music does not?
bool fh_is_run(const FhStrokes* strokes);

/// Name of a note, "A4", into `text` of at least 8 characters
const char* fh_note_name(int note, char text[8]);

#endif
