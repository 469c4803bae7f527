// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file keys.h
/// The terminal: switched to single keys and back, and what each key does. Thread: main.

#ifndef FRONTHASH_COMMAND_KEYS_H
#define FRONTHASH_COMMAND_KEYS_H

#include "command/live/screen.h"

#include <termios.h>

typedef struct {
  bool           on; ///< There is a terminal, and it is ours
  int            out; ///< The terminal, opened once more so that writing never waits: a line that stalls must not stop the rig
  char*          left; ///< Of a picture that it did not take whole; NULL: nothing
  size_t         left_size, left_at;
  struct termios before;
  FhTerminal     terminal;
  FhScreenState  screen;
  bool           quit; ///< Asked for, and confirmed
} FhKeys;

/// Take the terminal if standard input and output are one; else nothing. Pair: fh_keys_end.
void fh_keys_begin(FhKeys* keys);

/// Give it back as it was. Safe to call twice.
void fh_keys_end(FhKeys* keys);

/// Read what was typed. Where the terminal has gone, `on` is false afterwards: the rig goes on without.
void fh_keys_read(FhKeys* keys, FhRig* rig, double now);

/// What some typed characters do, control sequences of the arrow keys included
void fh_keys_type(FhKeys* keys, FhRig* rig, const char* typed, size_t length, double now);

/// Draw the picture
void fh_keys_draw(FhKeys* keys, const FhRig* rig, const FhServerState* server, const FhNotes* notes);

#endif
