// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file desk.h
/// A recording of all channels of a show, and whose each of them is.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_DESK_H
#define FRONTHASH_COMMAND_DESK_H

#include "command/base/options.h"
#include "command/measure/take.h"
#include "command/show/show.h"

#include <stdbool.h>
#include <stddef.h>

/// What a command line says of it; pointers into argv
typedef struct {
  const char* take;
  const char* show;     ///< NULL: a recording of one take
  const char* channels; ///< NULL: all, in their order
  FhTextList  stands;   ///< None: all
  const char* soloist;  ///< NULL: the first at each stand
} FhDeskWish;

/// The options that every verb with a recording takes, for its table; `w` is an FhDeskWish
#define FH_DESK_OPTIONS(w)                                                                                                       \
  {"show", "SHOW", "A show file: TAKE holds all channels of the show, and every stand of it is served.", FH_OPTION_TEXT,         \
   &(w)->show, 0, 0},                                                                                                            \
    {"stand", "NAME", "With --show: this stand alone. May be repeated.", FH_OPTION_LIST, &(w)->stands, 0, 0},                   \
    {"channels", "LIST",                                                                                                         \
     "Which channels of TAKE to use: close, or both of a pair, then ambient, as 3,9. With --show: which channel of the desk's "  \
     "interface each of TAKE's is, as 1-8,17; default: the same number.",                                                        \
     FH_OPTION_TEXT, &(w)->channels, 0, 0}

/// One stand in the recording
typedef struct {
  const FhStand*   stand;
  const FhSoloist* soloist; ///< Who is taken to play; NULL where nobody comes
  size_t           number;  ///< In the show, from 1
  FhChannels       mics;    ///< Close microphones, then the ambient
} FhDeskStand;

/// An open desk; zero it before first use
typedef struct {
  FhShow*     show;
  FhRecording recording;
  size_t      count;
  FhDeskStand stand[FH_SHOW_STANDS];
  size_t      all_count;
  FhChannels  all[FH_SHOW_STANDS]; ///< Microphones of every stand in the recording, asked for or not
} FhDesk;

/// Complain of options that need a show where none is named, and of --ambient where one is
bool fh_desk_may(const FhDeskWish* wish, const char* ambient);

/// Are all these stands of the show? @return false, having complained of the first that is not
bool fh_stands_known(const FhShow* show, const FhTextList* names);

/// Is a stand among those asked for? Where no names are given, all are
bool fh_stand_wanted(const FhStand* stand, const FhTextList* names);

/// Read the show and open the recording. Pair: fh_desk_close.
/// @return false, having complained: another rate than the show's, channels missing, no such stand or soloist.
bool fh_desk_open(FhDesk* desk, const FhDeskWish* wish);

void fh_desk_close(FhDesk* desk);

/// Name of a stand's file: FOLDER/01 NAME plus an ending; what a file system may not like becomes an underscore.
/// @return false, having complained: too long.
bool fh_desk_file(char path[FH_PATH_MAX], const char* folder, const FhDeskStand* stand, const char* ending);

#endif
