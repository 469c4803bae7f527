// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file screen.h
/// All soloists on one terminal: a line for each stand, for a terminal of 80 columns or more. Drawn as text with the control
/// sequences of ECMA-48, so that it can be held against what it must show. Thread: main.

#ifndef FRONTHASH_COMMAND_SCREEN_H
#define FRONTHASH_COMMAND_SCREEN_H

#include "command/live/server.h"
#include "command/live/notes.h"
#include "command/live/rig.h"

#include <stdio.h>

typedef struct {
  int  columns, rows;
  bool colour; ///< Else only bold and reverse
  bool utf8;   ///< Else bars of plain characters
} FhTerminal;

/// What is on the screen beside the rig
typedef struct {
  size_t      chosen;   ///< Stand that the keys act on, from 0
  const char* question; ///< Asked in place of the keys, NULL for none
} FhScreenState;

/// Write the whole picture, from the upper left corner
void fh_screen_draw(FILE* file, const FhTerminal* terminal, const FhScreenState* screen, const FhRig* rig,
                    const FhServerState* server, const FhNotes* notes);

#endif
