// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/layout.h"

#include "ui/model.h"

#include <math.h>
#include <string.h>

#define EDGE 14.0
#define GAP 10.0
#define HEAD 86.0
#define BANDS 268.0
#define AXIS 40.0     ///< Level figures left of the lanes
#define TITLE 22.0    ///< Head of a lane
#define TIMES 18.0    ///< Seconds below the lanes
#define GAINS 46.0    ///< Height of the gain lane
#define BUTTON 40.0
#define LINE 18.0     ///< Lines of words
#define ROW 33.0      ///< A value
#define GROUP_GAP 14.0

static double
snap(const double length, const double scale)
{
  return round(length * scale) / scale;
}

static FhBox
snapped(const FhBox box, const double scale)
{
  const double x = snap(box.x, scale), y = snap(box.y, scale);
  return (FhBox){x, y, snap(box.x + box.w, scale) - x, snap(box.y + box.h, scale) - y};
}

static void
place_head(FhLayout* const l)
{
  const double width  = l->width - 2.0 * EDGE;
  const double state  = 0.27 * width;
  const double middle = 0.40 * width;
  l->state            = (FhBox){EDGE, EDGE, state, HEAD};
  l->separation       = (FhBox){EDGE + state + GAP, EDGE, middle, HEAD};
  l->fault            = (FhBox){l->separation.x + middle + GAP, EDGE, width - state - middle - 2.0 * GAP, HEAD};
}

static void
place_strip(FhLayout* const l, const double top, const double bottom)
{
  const double bands_x = l->width - EDGE - BANDS;
  l->strip             = (FhBox){EDGE, top, bands_x - GAP - EDGE, bottom - top};
  l->bands             = (FhBox){bands_x, top, BANDS, bottom - top};
  const FhBox  inner   = {bands_x + 34.0, top + TITLE, BANDS - 34.0, bottom - TIMES - TITLE - top};
  for (int b = 0; b < FH_BANDS; ++b) {
    const double slot = inner.w / FH_BANDS;
    l->band[b]        = snapped((FhBox){inner.x + (b + 0.18) * slot, inner.y, 0.64 * slot, inner.h}, l->scale);
  }
  const double x       = EDGE + AXIS;
  const double w       = l->strip.x + l->strip.w - x;
  const double gains_y = bottom - TIMES - GAINS;
  l->levels = snapped((FhBox){x, top + TITLE, w, gains_y - TITLE - top - TITLE}, l->scale);
  l->gains  = snapped((FhBox){x, gains_y, w, GAINS}, l->scale);
}

static void
place_buttons(FhLayout* const l, const double y)
{
  static const double shares[] = {0.09, 0.15, 0.135, 0.12, 0.315, 0.11, 0.08}; // In the order of fh_items
  const double        width    = l->width - 2.0 * EDGE - 6.0 * GAP;
  double              x        = EDGE;
  for (int i = 0, button = 0; i < FH_ITEM_COUNT; ++i) {
    if (fh_items[i].group < 0) {
      l->items[i] = (FhBox){x, y, shares[button] * width, BUTTON};
      x += shares[button++] * width + GAP;
    }
  }
}

static void
place_values(FhLayout* const l, const double top)
{
  const double width            = (l->width - 2.0 * EDGE - (FH_GROUPS - 1) * GROUP_GAP) / FH_GROUPS;
  int          rows[FH_GROUPS] = {0};
  for (int g = 0; g < FH_GROUPS; ++g) {
    l->groups[g] = (FhBox){EDGE + g * (width + GROUP_GAP), top, width, LINE};
  }
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const int g = fh_items[i].group;
    if (g >= 0) {
      l->items[i] = (FhBox){l->groups[g].x, top + LINE + 2.0 + ROW * rows[g]++, width, ROW - 4.0};
    }
  }
}

FhLayout
fh_layout(const int width, const int height)
{
  FhLayout l;
  memset(&l, 0, sizeof(l));
  l.pixel_width  = width > 1 ? width : 1;
  l.pixel_height = height > 1 ? height : 1;
  l.scale        = fmax(fmin((double)l.pixel_width / FH_WINDOW_WIDTH, (double)l.pixel_height / FH_WINDOW_HEIGHT), 0.5);
  l.width        = fmax((double)l.pixel_width / l.scale, FH_WINDOW_WIDTH);
  l.height       = fmax((double)l.pixel_height / l.scale, FH_WINDOW_HEIGHT);

  double bottom = l.height - 8.0;
  l.help        = (FhBox){EDGE, bottom - LINE, l.width - 2.0 * EDGE, LINE};
  bottom -= LINE + 6.0 + LINE + 2.0 + FH_GROUP_ROWS * ROW;
  place_values(&l, bottom);
  bottom -= LINE + 8.0;
  l.learnt = (FhBox){EDGE, bottom, l.width - 2.0 * EDGE, LINE};
  bottom -= BUTTON + 4.0;
  place_buttons(&l, bottom);
  place_head(&l);
  place_strip(&l, EDGE + HEAD + 8.0, bottom - 8.0);
  return l;
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

static int
points_of(const int item)
{
  return (int)fh_controls[fh_items[item].control].max + 1;
}

int
fh_layout_point(const FhLayout* const layout, const int item, const double x)
{
  const FhBox* const box  = &layout->items[item];
  const int          last = points_of(item) - 1;
  const int          at   = (int)floor((x - box->x) / box->w * (last + 1));
  return at < 0 ? 0 : at > last ? last : at;
}

FhBox
fh_layout_segment(const FhLayout* const layout, const int item, const int point)
{
  const FhBox* const box   = &layout->items[item];
  const double       width = box->w / points_of(item);
  return (FhBox){box->x + point * width, box->y, width, box->h};
}
