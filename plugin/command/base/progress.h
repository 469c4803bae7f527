// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file progress.h
/// A bar on the terminal for work that takes more than a moment. Silent when standard error is no terminal.

#ifndef FRONTHASH_COMMAND_PROGRESS_H
#define FRONTHASH_COMMAND_PROGRESS_H

#include <stdbool.h>

typedef struct {
  const char* what;    ///< A word or two before the bar
  double      started; ///< s
  double      drawn;   ///< s; when the bar was last drawn
  bool        on;      ///< Standard error is a terminal
  bool        visible; ///< Something has been drawn
} FhProgress;

FhProgress fh_progress_start(const char* what);

/// Say how much is done, 0..1. Draws at most ten times a second, and not in the first second.
void fh_progress_show(FhProgress* progress, double done);

/// Wipe the bar away.
void fh_progress_end(FhProgress* progress);

#endif
