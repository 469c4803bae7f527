// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file save.h
/// What a running show knows, kept in one file: what each stand has learnt, who is there, what was changed by hand. Written whole or
/// not at all, and flushed, so that after a kill or a power cut the last one is there. docs/live.md describes the file.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_SAVE_H
#define FRONTHASH_COMMAND_SAVE_H

#include "command/base/temp.h"
#include "command/live/rig.h"

#define FH_SAVE_VERSION 2 ///< 1, which has no sums, is still read
#define FH_SAVE_SECONDS 10.0 ///< How often what is followed is saved; what was pressed is saved at once

typedef struct {
  char   path[FH_PATH_MAX];
  char*  last;    ///< Text of the file
  double looked;  ///< When it was last compared, s
  bool   failing; ///< The last write failed: tried again more slowly
} FhSave;

/// Say where; NULL is beside the show, its name ending in `.live`. Removes what an interrupted write left there.
/// @return false, having complained: too long a name.
bool fh_save_begin(FhSave* save, const char* show_path, const char* path);

/// Bring back what was saved; nothing where there is no file. A file that cannot be understood is renamed to end in `.broken`, so that
/// the show goes on and nothing is lost. Stands are found by their names, and so are soloists. What is known of a stand that the show has not is kept
/// in a copy whose name ends in `.before`.
/// @return false, having complained, where there is a file and it could not be used.
bool fh_save_restore(FhSave* save, FhRig* rig);

/// Save if there is something new and it is time. @param now s; INFINITY: at any time
void fh_save_tick(FhSave* save, FhRig* rig, double now);

void fh_save_end(FhSave* save);

/// The text to be saved, NULL without memory. Free it.
char* fh_save_text(const FhRig* rig);

/// Read a text. @param stranger The first stand in it that the show has not, else empty
/// @return The number of the line that is wrong, 0 if all is well; lines before it have taken effect.
size_t fh_save_read(FhRig* rig, const char* text, char stranger[FH_SHOW_NAME]);

#endif
