// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file activity.h
/// Who is heard when in a take of one or two close microphones and an ambient one.
///
/// Levels are mean squares in dB relative to a full-scale square wave (dBFS). Thread: main.

#ifndef FRONTHASH_COMMAND_ACTIVITY_H
#define FRONTHASH_COMMAND_ACTIVITY_H

#include "command/measure/correlate.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_MICS 3

/// A soundcheck: one or two close microphones, then the ambient
typedef struct {
  const float* mic[FH_MICS];
  size_t       closes;
  size_t       frames;
  double       rate; ///< Hz
} FhSoundcheck;

/// Levels over time, and who is heard when
typedef struct {
  size_t  count;          ///< Frames of about 10 ms
  size_t  hop;            ///< Samples from one to the next
  double* level[FH_MICS]; ///< 100 Hz to 8 kHz, dBFS
  double* close;          ///< Of the close microphones together, dBFS
  bool*   audible;        ///< Not silence
  bool*   active;         ///< Well above the quietest moments
  bool*   solo;           ///< The microphones differ as they do for the soloist; elsewhere field or rest
  bool    field;          ///< There is field to be heard without the soloist
  bool    alone;          ///< And it rests while the soloist plays
  double  solo_difference;  ///< Close less ambient while the soloist plays, median dB
  double  field_difference; ///< While the field plays alone, median dB; NAN without field
  double  rest[FH_MICS];    ///< Level of the quietest moments, dBFS
  double  peak[FH_MICS];    ///< Level passed a twentieth of the time, dBFS
} FhActivity;

/// Pair: fh_activity_free. @return False without memory.
/// @param alone Nobody but those on the close microphones plays: look for no field.
bool fh_activity_find(const FhSoundcheck* take, bool alone, FhActivity* activity);
void fh_activity_free(FhActivity* activity);

#define FH_SPANS_MAX 4096

typedef struct {
  bool   moving; ///< The source is elsewhere in each
  size_t count;
  FhSpan list[FH_SPANS_MAX];
} FhSpans;

/// Stretches of marked frames, joined over short gaps
void fh_marked_spans(const FhSoundcheck* take, const FhActivity* activity, const bool* mark, FhSpans* spans);

#endif
