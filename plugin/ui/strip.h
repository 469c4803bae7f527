// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file strip.h
/// Time running left to right: frames gathered into pixel columns, and columns drawn in lanes.
///
/// The decision goes by more than a level. So that the close level crosses the opening line when, and only when, the gate has
/// reason to open, it is drawn at the line where it would be on the other side of it. While the ambient microphone is missing it
/// is the plain level.
/// A column keeps the least and the greatest of each trace, so no peak is lost however long the take. A lane can be
/// drawn whole or a few columns at a time; both give the same picture. Thread: the caller's.

#ifndef FRONTHASH_UI_STRIP_H
#define FRONTHASH_UI_STRIP_H

#include "ui/pen.h"
#include "ui/view.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct {
  float lo, hi; ///< dB
} FhSpan;

/// What happened in the time of one pixel column
typedef struct {
  FhSpan  close;  ///< Close level, on the side of the line where the decision is, dBFS
  FhSpan  pickup; ///< Predicted pickup, dBFS
  FhSpan  line;   ///< Level at which the gate opens, dBFS
  FhSpan  excess; ///< dB
  FhSpan  margin; ///< Excess at which the gate opens, dB
  FhSpan  gate;   ///< Gate gain, dB
  FhSpan  duck;   ///< Duck gain, dB
  bool    open;   ///< Opening, open or holding at some time
  uint8_t fault;  ///< The last FhFault other than none, or none
  uint8_t mark;   ///< FhMarkKind: something to be marked begins here
  bool    filled; ///< Anything known of this time
} FhColumn;

/// A drawing area with a level scale
typedef struct {
  FhBox  box;
  double top;    ///< dB at the upper edge
  double bottom; ///< dB at the lower edge
  double column; ///< Width of one column
} FhLane;

/// True while the gate works and is for the soloist: opening, open or holding
bool fh_is_open(const float v[FH_CONTROL_COUNT]);

/// True while there is nothing to compare the close microphone with
bool fh_is_blind(const float v[FH_CONTROL_COUNT]);

/// Widen a column by one frame; the first one fills it
void fh_column_add(FhColumn* column, const float v[FH_CONTROL_COUNT]);

/// Fill columns over `from`..`to` seconds; each frame lasts until the next one
void fh_columns(FhColumn* columns, size_t count, const FhFrame* frames, size_t n, double from, double to);

double fh_lane_y(const FhLane* lane, double level);

/// Ground and level lines every `step` dB
void fh_lane_ground(const FhPen* pen, const FhLane* lane, double step);

/// Columns first..last-1 of a ring of `count` (index modulo count). Each is drawn with the one before it known: a jump
/// is an upright in the later column.
typedef struct {
  const FhColumn* columns;
  size_t          count; ///< Length of the ring
  size_t          first; ///< Running index of the first column to draw
  size_t          last;  ///< One beyond the last
  size_t          left;  ///< Running index that lies at the lane's left edge
} FhRun;

void fh_draw_levels(const FhPen* pen, const FhLane* lane, const FhRun* run);
void fh_draw_excess(const FhPen* pen, const FhLane* lane, const FhRun* run);
void fh_draw_gains(const FhPen* pen, const FhLane* lane, const FhRun* run);

#endif
