// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file notes.h
/// What happened to the rig, in lines: the last ones for the screen, all of them for a log where there is no screen.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_NOTES_H
#define FRONTHASH_COMMAND_NOTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_NOTES 4      ///< That are kept
#define FH_NOTE_SIZE 240 ///< Bytes of a line with its end

typedef struct {
  bool     print; ///< On standard error, as there is no picture
  uint64_t count; ///< Of all
  char     line[FH_NOTES][FH_NOTE_SIZE]; ///< Number n lies at n modulo FH_NOTES
} FhNotes;

/// Note a line; one that says the same as the last is left out.
void fh_note(FhNotes* notes, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// The same for fh_complain_to. @param data FhNotes
void fh_note_complaint(void* data, const char* line);

/// A line, the last one with 0, or NULL if there is none so long ago
const char* fh_notes_last(const FhNotes* notes, uint64_t ago);

#endif
