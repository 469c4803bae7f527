// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/runs.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FH_STEP 4 // semitones from note to note of a run, at most

const char*
fh_note_name(const int note, char text[8])
{
  static const char* const names[] = {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};
  const int                n       = note < 0 ? 0 : note > 127 ? 127 : note;
  snprintf(text, 8, "%s%d", names[n % 12], n / 12 - 1);
  return text;
}

bool
fh_strokes_add(FhStrokes* const strokes, const FhStroke* const stroke)
{
  if (strokes->count == strokes->room) {
    const size_t    room = strokes->room ? 2 * strokes->room : 64;
    FhStroke* const list = realloc(strokes->list, room * sizeof(*list));
    if (!list) {
      return false;
    }
    strokes->list = list;
    strokes->room = room;
  }
  strokes->list[strokes->count++] = *stroke;
  return true;
}

void
fh_strokes_free(FhStrokes* const strokes)
{
  free(strokes->list);
  memset(strokes, 0, sizeof(*strokes));
}

bool
fh_is_run(const FhStrokes* const strokes)
{
  size_t steps = 0;
  for (size_t i = 1; i < strokes->count; ++i) {
    steps += abs(strokes->list[i].note - strokes->list[i - 1].note) <= FH_STEP;
  }
  // Up, down, or both once: hardly ever a turn
  int turns = 0;
  for (size_t i = 2; i < strokes->count; ++i) {
    const int before = strokes->list[i - 1].note - strokes->list[i - 2].note;
    const int now    = strokes->list[i].note - strokes->list[i - 1].note;
    turns += (before > 0) != (now > 0) && before && now;
  }
  return 5 * steps >= 4 * strokes->count && 5 * turns <= (int)strokes->count;
}
