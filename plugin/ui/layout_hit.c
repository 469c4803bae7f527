// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What lies where the pointer is, and the usual layout

#include "ui/layout.h"

#include "ui/model.h"

#include <math.h>

FhLayout
fh_layout(const int width, const int height)
{
  return fh_layout_page(width, height, 1.0, 0);
}

int
fh_layout_item(const FhLayout* const layout, const double x, const double y)
{
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const FhBox* const box = &layout->items[i];
    if (x >= box->x && x < box->x + box->w && y >= box->y && y < box->y + box->h) {
      return i;
    }
  }
  return FH_NO_ITEM;
}

double
fh_layout_ago(const FhLayout* const layout, const double x, const double y)
{
  const FhBox* const box    = &layout->levels;
  const FhBox* const last   = fh_is_there(&layout->gains) ? &layout->gains : box;
  const bool         inside = x >= box->x && x < box->x + box->w && y >= box->y && y < last->y + last->h;
  return inside ? (box->x + box->w - x) / box->w * FH_SEEN_SECONDS : -1.0;
}

static int
points_of(const FhLayout* const layout, const int item)
{
  const FhItem* const it = &fh_items[item];
  return it->kind == FH_ITEM_PAGES ? layout->pages : (int)fh_controls[it->control].max + 1;
}

int
fh_layout_point(const FhLayout* const layout, const int item, const double x)
{
  const FhBox* const box  = &layout->items[item];
  const int          last = points_of(layout, item) - 1;
  const int          at   = (int)floor((x - box->x) / box->w * (last + 1));
  return at < 0 ? 0 : at > last ? last : at;
}

FhBox
fh_layout_segment(const FhLayout* const layout, const int item, const int point)
{
  const FhBox* const box   = &layout->items[item];
  const double       width = box->w / points_of(layout, item);
  return (FhBox){box->x + point * width, box->y, width, box->h};
}
