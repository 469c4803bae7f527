// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/layout_grid.h"

#include <math.h>

#define HEADING 18.0   ///< Of a group of values
#define ROW_GAP 2.0    ///< Between values
#define STACKED 6.0    ///< Between groups in one column
#define VALUE 112.0    ///< Least width of a value

static double
group_height(const int group)
{
  int rows = 0;
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    rows += fh_items[i].group == group;
  }
  return HEADING + rows * (TARGET + ROW_GAP);
}

FhGrid
fh_grid(const double width, const double gap, const double room)
{
  FhGrid grid  = {.pages = 1};
  grid.columns = (int)fmin(fmax(floor((width + gap) / (VALUE + gap)), 1.0), FH_GROUPS);
  double y     = 0.0;
  for (int g = 0, column = 0; g < FH_GROUPS; ++g) {
    const double height = group_height(g);
    if (y > 0.0 && y + height > room) {
      y = 0.0;
      if (++column == grid.columns) {
        column = 0;
        ++grid.pages;
      }
    }
    grid.page[g]   = grid.pages - 1;
    grid.column[g] = column;
    grid.y[g]      = y;
    grid.height    = fmax(grid.height, y + height);
    y += height + STACKED;
  }
  return grid;
}

FhGrid
fh_low_grid(const double width, const double gap)
{
  double room = 0.0;
  for (int g = 0; g < FH_GROUPS; ++g) {
    room = fmax(room, group_height(g));
  }
  FhGrid grid = fh_grid(width, gap, room);
  while (grid.pages > 1) {
    room += 2.0;
    grid = fh_grid(width, gap, room);
  }
  return grid;
}

void
fh_place_values(FhLayout* const l, const FhArea* const a, const FhGrid* const grid, const int page, const double top)
{
  const double width = (a->w - (grid->columns - 1) * a->gap) / grid->columns;
  double       y[FH_GROUPS];
  for (int g = 0; g < FH_GROUPS; ++g) {
    if (grid->page[g] == page) {
      l->groups[g] = (FhBox){a->x + grid->column[g] * (width + a->gap), top + grid->y[g], width, HEADING};
    }
    y[g] = top + grid->y[g] + HEADING;
  }
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const int g = fh_items[i].group;
    if (g >= 0 && grid->page[g] == page) {
      l->items[i] = (FhBox){l->groups[g].x, y[g], width, TARGET};
      y[g] += TARGET + ROW_GAP;
    }
  }
}

FhArea
fh_beside_values(const FhArea* const a, const FhGrid* const grid, const int page)
{
  const double width = (a->w + a->gap) / grid->columns;
  int          used  = 0;
  for (int g = 0; g < FH_GROUPS; ++g) {
    used = grid->page[g] == page && grid->column[g] >= used ? grid->column[g] + 1 : used;
  }
  FhArea free = *a;
  free.x      = a->x + used * width;
  free.w      = a->w - used * width;
  return free;
}
