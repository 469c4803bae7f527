// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file layout.h
/// Where everything lies in the window, for drawing and for the pointer. Pure functions, any thread.
///
/// Lengths are units; the scale follows the window, and what is left over goes to the strip.

#ifndef FRONTHASH_UI_LAYOUT_H
#define FRONTHASH_UI_LAYOUT_H

#include "ui/items.h"
#include "ui/pen.h"

/// Size at scale 1, and the least that is still readable, in pixels at scale 1
#define FH_WINDOW_WIDTH 960
#define FH_WINDOW_HEIGHT 640
#define FH_WINDOW_MIN_WIDTH 768
#define FH_WINDOW_MIN_HEIGHT 512

typedef struct {
  int    pixel_width, pixel_height;
  double scale; ///< Pixels a unit
  double width, height;
  FhBox  state, separation, fault;
  FhBox  strip;  ///< With its heads and time axis
  FhBox  levels; ///< Lane, on whole pixels
  FhBox  gains;  ///< Lane, on whole pixels
  FhBox  bands;          ///< With axes and names
  FhBox  band[FH_BANDS]; ///< Where one band's bars move
  FhBox  learnt;
  FhBox  help;
  FhBox  groups[FH_GROUPS]; ///< Headings of the value grid
  FhBox  items[FH_ITEM_COUNT];
} FhLayout;

/// Lay out a window of this many pixels
FhLayout fh_layout(int width, int height);

/// Item at a place in units, or FH_NO_ITEM
int fh_layout_item(const FhLayout* layout, double x, double y);

/// Point of a choice item at `x`
int fh_layout_point(const FhLayout* layout, int item, double x);

/// Part of a choice item's box that stands for a point
FhBox fh_layout_segment(const FhLayout* layout, int item, int point);

#endif
