// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file layout_grid.h
/// Groups of values in columns and pages, for layout.c. Pure functions, any thread; lengths are units.

#ifndef FRONTHASH_UI_LAYOUT_GRID_H
#define FRONTHASH_UI_LAYOUT_GRID_H

#include "ui/layout.h"

#define TARGET 40.0    ///< Least height of anything that is touched

/// A part of the window that is being filled from above and below
typedef struct {
  double x, w;
  double top, bottom;
  double edge, gap;
} FhArea;

/// Which page and column each group of values stands in
typedef struct {
  int    pages, columns;
  int    page[FH_GROUPS], column[FH_GROUPS];
  double y[FH_GROUPS];
  double height; ///< Of the highest column
} FhGrid;

/// Groups one below the other in columns up to `room` high; columns that are full go on to the next page
FhGrid fh_grid(double width, double gap, double room);

/// The lowest grid that needs one page only
FhGrid fh_low_grid(double width, double gap);

/// Put the values of a page of the grid where they belong, from `top` on
void fh_place_values(FhLayout* layout, const FhArea* area, const FhGrid* grid, int page, double top);

/// What a page of the grid leaves free at the right: columns without any value
FhArea fh_beside_values(const FhArea* area, const FhGrid* grid, int page);

#endif
