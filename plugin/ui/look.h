// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file look.h
/// Looking back: a strip that stands still, a place in it, and marks of what went wrong. Thread: UI.
///
/// A still strip is a copy of what was kept, so that time goes on beside it. Heads, bands and values stay live.

#ifndef FRONTHASH_UI_LOOK_H
#define FRONTHASH_UI_LOOK_H

#include "ui/view.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_SEEN_SECONDS 10.0    ///< Length of the strip
#define FH_HISTORY_SECONDS 60.0 ///< How far one can look back
#define FH_HISTORY_RATE 50.0    ///< Most frames a second that are kept
#define FH_HISTORY 3072         ///< Frames; more than seconds times rate

/// A hole in an open gate no longer than this cuts a note: common practice (no source), below a quaver at 150 a minute
#define FH_CUT_SECONDS 0.2

/// What is marked in the strip
typedef enum {
  FH_MARK_NONE,
  FH_MARK_SHORT, ///< An opening under 50 ms, hold not counted: a beat of the field rather than a note
  FH_MARK_CUT    ///< The gate shut and opened again at once
} FhMarkKind;

typedef struct {
  double     seconds; ///< Where it begins
  double     length;  ///< s; of an opening as the meters show it, which hold for 50 ms
  FhMarkKind kind;
} FhMark;

/// Follows the gate from frame to frame; begins as zeros
typedef struct {
  bool   known, open, sounding;
  double last, opened, heard, closed;
} FhTracker;

/// Take the next frame. @return true if something to be marked is over, and now in `mark`
bool fh_track(FhTracker* tracker, const FhFrame* frame, FhMark* mark);

/// One or several frames kept, the newest last
typedef struct {
  FhFrame frames[FH_HISTORY]; ///< A ring
  size_t  written;            ///< Frames ever put in
} FhHistory;

typedef struct {
  bool   frozen;
  double still;   ///< When it was frozen, s
  int    back;    ///< How long before that the right edge lies, whole seconds
  bool   pointed; ///< There is a place that is looked at
  bool   keyed;   ///< It was reached by key: the pointer does not take it away
  double ago;     ///< It lies so long before the right edge, s

  bool   held;    ///< The pointer holds the strip
  bool   moved;   ///< It has moved it, or has just frozen it
  double held_at; ///< Place it holds, s before `still`
} FhLook;

struct FhModel;

#define FH_LOOK_TEXT 160 ///< Room for what is to be said

/// Let the strip stand still, or go on with all that came meanwhile
void fh_look_freeze(struct FhModel* model, bool on);

/// Time of the right edge, s
double fh_look_end(const struct FhModel* model);

/// Move a still strip by whole seconds, positive to the past
void fh_look_back(struct FhModel* model, int seconds);

/// The pointer is over the strip, so long before the right edge; below 0: it is elsewhere
void fh_look_point(struct FhModel* model, double ago);

/// Button 1 on the strip: freezes; a still one can be drawn sideways, or goes on if it is not
void fh_look_press(struct FhModel* model, double ago);
void fh_look_release(struct FhModel* model);

/// Move the place by a time, positive to later; a still strip follows
void fh_look_step(struct FhModel* model, double seconds);

/// Move it to the next mark, or with -1 to the one before. @return false if there is none
bool fh_look_mark(struct FhModel* model, int way);

/// What is to be said of the place, or of a still strip as a whole. @return false if there is nothing
/// @param brief In fewer words, for little room
bool fh_look_text(const struct FhModel* model, bool brief, char* text, size_t size);

#endif
