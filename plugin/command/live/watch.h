// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file watch.h
/// Notes what happens at the stands: faults that stay, Learns that end, soloists who come, blocks that came too late. Thread: main.

#ifndef FRONTHASH_COMMAND_WATCH_H
#define FRONTHASH_COMMAND_WATCH_H

#include "command/live/server.h"
#include "command/live/notes.h"
#include "command/live/rig.h"

/// What was noted last of a stand
typedef struct {
  int    fault;     ///< Noted
  int    seen;      ///< Fault that is there now
  double seen_at;   ///< Since when, s
  int    learning;
  double ended_at;  ///< When a Learn of the field ended of which it is still to be said what came; else 0
  size_t soloist;
} FhWatched;

typedef struct {
  FhWatched stand[FH_SHOW_STANDS];
  uint32_t  xruns;
  double    xruns_at; ///< When they were noted, s
} FhWatch;

void fh_watch_begin(FhWatch* watch, const FhRig* rig);

/// Note what is new. Call some ten times a second. @param now s
void fh_watch_tick(FhWatch* watch, const FhRig* rig, const FhServerState* server, FhNotes* notes, double now);

#endif
