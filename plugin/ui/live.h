// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file live.h
/// The strip of ten seconds as a ring of pixel columns: each frame adds a few, the rest only moves.
///
/// Thread: UI.

#ifndef FRONTHASH_UI_LIVE_H
#define FRONTHASH_UI_LIVE_H

#include "ui/layout.h"
#include "ui/model.h"
#include "ui/strip.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_LIVE_TOP 0.0      ///< dBFS at the upper edge of the level lane
#define FH_LIVE_BOTTOM -80.0 ///< dBFS
#define FH_GAINS_TOP 6.0     ///< dB
#define FH_GAINS_BOTTOM -60.0

typedef struct {
  FhColumn* columns;
  size_t    count;      ///< Length of the ring: a little more than is seen
  size_t    seen;       ///< Columns of the lane
  double    per_second; ///< Columns a second
  size_t    newest;     ///< Running index of the newest column
  size_t    read;       ///< Model frames taken so far
  FhTracker tracker;    ///< What is to be marked in them
} FhLive;

/// Make the ring for a layout and fill it from the model's history. Pairs with fh_live_free().
/// @return 0, or ENOMEM
int  fh_live_init(FhLive* live, const FhLayout* layout, const FhModel* model);
void fh_live_free(FhLive* live);

/// Where a time lies in the strip, columns from its left edge; below 0 if it is out of sight
double fh_live_column(const FhLive* live, double seconds);

/// Take the model's new frames; a frozen strip takes none. @return the first running index that must be drawn again; newest + 1 if none
size_t fh_live_advance(FhLive* live, const FhModel* model);

/// True if all that is seen is alike, so that moving it changes nothing
bool fh_live_still(const FhLive* live);

/// Draw columns first..last-1 into the strip's ring of pixels, `live->seen` wide: column i lies at i modulo the width.
/// `pen` has its origin at the upper left corner of the ring, and draws in units.
void fh_live_fill(const FhPen* pen, const FhLayout* layout, const FhLive* live, size_t first, size_t last);

/// Draw columns first..last-1 where index `left` lies at x = 0. `pen` has its origin at the upper left corner of the
/// level lane; the gain lane lies below as in the layout.
void fh_live_draw(const FhPen* pen, const FhLayout* layout, const FhLive* live, size_t first, size_t last, size_t left);

#endif
