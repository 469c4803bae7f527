// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file layout.h
/// Where everything lies in the window, for drawing and for the pointer. Pure functions, any thread.
///
/// Lengths are units. The scale follows a window larger than its own size; a smaller one, or one of another shape, keeps
/// its scale, so that words and targets keep theirs, and what does not fit side by side goes below or to pages that are
/// turned. State and fault stand on every page. A box of no width is not on this page.

#ifndef FRONTHASH_UI_LAYOUT_H
#define FRONTHASH_UI_LAYOUT_H

#include "ui/items.h"
#include "ui/pen.h"

#include <stdbool.h>

/// Size at scale 1, and the least that holds everything on its pages, in pixels at scale 1
#define FH_WINDOW_WIDTH 960
#define FH_WINDOW_HEIGHT 640
#define FH_WINDOW_MIN_WIDTH 480
#define FH_WINDOW_MIN_HEIGHT 320

#define FH_EVERY_PAGE (-1)

typedef struct {
  int    pixel_width, pixel_height;
  double scale; ///< Pixels a unit
  double width, height;
  int    pages; ///< How many there are
  int    page;  ///< Which this is
  int    item_page[FH_ITEM_COUNT]; ///< Page that an item is on, or FH_EVERY_PAGE
  FhBox  state, separation, fault;
  FhBox  strip;  ///< With its heads and time axis
  FhBox  levels; ///< Lane, on whole pixels
  FhBox  gains;  ///< Lane, on whole pixels
  FhBox  look;   ///< Line over the strip: what the traces are, or what is looked at
  FhBox  times;  ///< Line under it
  FhBox  bands;          ///< With axes and names
  FhBox  band[FH_BANDS]; ///< Where one band's bars move
  FhBox  learnt;
  FhBox  help;
  FhBox  groups[FH_GROUPS]; ///< Headings of the value grid
  FhBox  items[FH_ITEM_COUNT];
} FhLayout;

/// Lay out a window of this many pixels
FhLayout fh_layout(int width, int height);

/// The same at another scale than 1 and on another page than the first
/// @param least Pixels a unit, at least: what the desktop asks for
/// @param page Beyond the last gives the last
FhLayout fh_layout_page(int width, int height, double least, int page);

/// Room at the right of a help of this width for name and preset, units
static inline double
fh_name_width(const double width)
{
  return width > 600.0 ? 200.0 : 126.0;
}

/// True if a box is on this page
static inline bool
fh_is_there(const FhBox* const box)
{
  return box->w > 0.0;
}

/// How long before the strip's right edge a place in units lies, s; below 0 if it is not over the strip
double fh_layout_ago(const FhLayout* layout, double x, double y);

/// Item at a place in units, or FH_NO_ITEM
int fh_layout_item(const FhLayout* layout, double x, double y);

/// Point of a choice item at `x`
int fh_layout_point(const FhLayout* layout, int item, double x);

/// Part of a choice item's box that stands for a point
FhBox fh_layout_segment(const FhLayout* layout, int item, int point);

#endif
