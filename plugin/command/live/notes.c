// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/notes.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char*
fh_notes_last(const FhNotes* const notes, const uint64_t ago)
{
  return ago < notes->count && ago < FH_NOTES ? notes->line[(notes->count - 1 - ago) % FH_NOTES] : NULL;
}

void
fh_note_complaint(void* const data, const char* const line)
{
  FhNotes* const    notes = (FhNotes*)data;
  const char* const last  = fh_notes_last(notes, 0);
  char              text[FH_NOTE_SIZE];
  snprintf(text, sizeof(text), "%s", line);
  if (last && !strcmp(last, text)) {
    return;
  }
  memcpy(notes->line[notes->count++ % FH_NOTES], text, sizeof(text));
  if (notes->print) {
    fprintf(stderr, "%s\n", line);
  }
}

void
fh_note(FhNotes* const notes, const char* const format, ...)
{
  char    text[FH_NOTE_SIZE];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  fh_note_complaint(notes, text);
}
