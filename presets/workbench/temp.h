// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file temp.h
/// Files that are whole or not there: written under a temporary name beside their own, then renamed.

#ifndef FRONTHASH_WORKBENCH_TEMP_H
#define FRONTHASH_WORKBENCH_TEMP_H

#include <stdbool.h>

#define FH_PATH_MAX 4096

/// One file on its way
typedef struct {
  char path[FH_PATH_MAX]; ///< Its name once whole
  char temp[FH_PATH_MAX]; ///< Its name until then
  bool replace;           ///< A file of that name may be replaced
} FhTemp;

/// Make unfinished files vanish when the command is interrupted, and a full disk a plain write error
void fh_temp_init(void);

/// Create an empty file under a temporary name beside `path`. Pair: fh_temp_commit or fh_temp_drop.
/// @return false, having complained, if the folder is missing or not writable, or `path` exists and may not
/// be replaced.
bool fh_temp_open(FhTemp* temp, const char* path, bool replace);

/// Give the file its name. On failure it is dropped, and the user told.
bool fh_temp_commit(FhTemp* temp);

/// Remove the unfinished file; nothing happens after a commit.
void fh_temp_drop(FhTemp* temp);

#endif
