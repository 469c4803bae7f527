// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file temp.h
/// Files that are whole or not there: written under a temporary name beside their own, flushed to the disk, then
/// renamed. A link is followed: the file it leads to is the one replaced.

#ifndef FRONTHASH_COMMAND_TEMP_H
#define FRONTHASH_COMMAND_TEMP_H

#include <stdbool.h>

#define FH_PATH_MAX 4096

/// One file on its way
typedef struct {
  char path[FH_PATH_MAX];   ///< Its name once whole, as the user called it
  char target[FH_PATH_MAX]; ///< The same with a link followed
  char temp[FH_PATH_MAX];   ///< Its name until then
  bool replace;             ///< A file of that name may be replaced
} FhTemp;

/// Make unfinished files vanish when the command is interrupted, and a full disk a plain write error
void fh_temp_init(void);

/// Create an empty file under a temporary name beside `path`. Pair: fh_temp_commit or fh_temp_drop.
/// @return false, having complained, if the folder is missing or not writable, or `path` exists and may not
/// be replaced.
bool fh_temp_open(FhTemp* temp, const char* path, bool replace);

/// Flush the file and give it its name. On failure it is dropped, and the user told.
bool fh_temp_commit(FhTemp* temp);

/// The same of a picture that was drawn into it; one that could not be is dropped, and the user told.
bool fh_temp_commit_picture(FhTemp* temp, bool drawn);

/// Remove the unfinished file; nothing happens after a commit.
void fh_temp_drop(FhTemp* temp);

/// Names to remove when the command is interrupted, files or empty folders, in the order of noting. `from` is what was
/// noted, or empty for a new note; `to` replaces it, or is empty for no more.
void fh_temp_note(const char* from, const char* to);

/// Wait until a file or folder is on the disk. @return false with errno set.
bool fh_flush(const char* path);

/// The same for the folder in which `path` is.
bool fh_flush_folder_of(const char* path);

/// Follow a link. @return false, having complained: a link to nothing, a name too long.
bool fh_resolve(const char* path, char resolved[FH_PATH_MAX]);

#endif
