// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/layout_grid.h"

#include <math.h>
#include <string.h>

#define BANDS 268.0
#define BAR_BUTTON 64.0 ///< Width of a button beside the help
#define AXIS 40.0      ///< Level figures left of the lanes
#define TITLE 22.0     ///< Head of a lane
#define TIMES 18.0     ///< Seconds below the lanes
#define GAINS 46.0     ///< Height of the gain lane
#define LINE 18.0      ///< Lines of words
#define LOOK 150.0     ///< Least height of strip and bands beside the rest
#define LOOK_GAINS 175.0 ///< The same for gains to be in it
#define LOOK_FLAT 96.0 ///< The same on a page of its own, gains left out
#define SENTENCE 800.0 ///< Longest sentence on what is known, units
#define HELP 800.0     ///< Longest help
#define HELP_BESIDE 340.0 ///< Least width of it beside values

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

static bool
is_narrow(const FhLayout* const l)
{
  return l->width < 900.0;
}

/// State, separation and fault, one beside the other or, in a narrow window, in rows
static void
place_head(FhLayout* const l, FhArea* const a)
{
  const double w = a->w, gap = a->gap;
  if (!is_narrow(l)) {
    const double height = l->height < 480.0 ? 68.0 : 80.0;
    const double state  = 0.27 * w, middle = 0.40 * w;
    l->state      = (FhBox){a->x, a->top, state, height};
    l->separation = (FhBox){a->x + state + gap, a->top, middle, height};
    l->fault      = (FhBox){l->separation.x + middle + gap, a->top, w - state - middle - 2.0 * gap, height};
    a->top += height + 8.0;
    return;
  }
  const bool   rows  = w < 440.0;
  const double state = rows ? w : 0.36 * w;
  l->state           = (FhBox){a->x, a->top, state, rows ? 52.0 : 68.0};
  l->fault           = rows ? (FhBox){a->x, a->top + 52.0 + gap, w, 68.0}
                            : (FhBox){a->x + state + gap, a->top, w - state - gap, 68.0};
  a->top = l->fault.y + l->fault.h + gap;
}

static double
lines_of(const double length, const double width)
{
  return LINE * ceil(length / fmax(width, 60.0));
}

/// A row of its own for the separation, where it is not in the head
static void
place_separation(FhLayout* const l, FhArea* const a)
{
  if (is_narrow(l)) {
    const double height = a->w < 600.0 ? 68.0 : 52.0;
    l->separation       = (FhBox){a->x, a->top, a->w, height};
    a->top += height + a->gap;
  }
}

static void
place_pages(FhLayout* const l, FhArea* const a)
{
  l->items[FH_ITEM_COUNT - 1] = (FhBox){a->x, a->top, a->w, TARGET};
  a->top += TARGET + a->gap;
}

static double
help_height(const double width)
{
  return lines_of(HELP, width - fh_name_width(width) - 8.0);
}

static void
place_help(FhLayout* const l, FhArea* const a)
{
  const double height = help_height(a->w);
  l->help             = (FhBox){a->x, a->bottom - height, a->w, height};
  a->bottom -= height + 6.0;
}

/// Help with the buttons that stand beside it
static void
place_bar(FhLayout* const l, FhArea* const a)
{
  double x = a->x + a->w;
  for (int i = FH_ITEM_COUNT; i-- > 0;) {
    if (fh_items[i].group == -3) {
      x -= BAR_BUTTON;
      l->items[i] = (FhBox){x, a->bottom - TARGET, BAR_BUTTON, TARGET};
      x -= 6.0;
    }
  }
  l->help = (FhBox){a->x, a->bottom - TARGET + 2.0, x - 6.0 - a->x, TARGET - 4.0};
  a->bottom -= TARGET + 6.0;
}

static void
place_learnt(FhLayout* const l, FhArea* const a)
{
  const double height = lines_of(SENTENCE, a->w - 21.0);
  l->learnt           = (FhBox){a->x, a->bottom - height, a->w, height};
  a->bottom -= height + 6.0;
}

/// Strip and bands in all that is left; bands and gains only where there is room
static void
place_look(FhLayout* const l, const FhArea* const a)
{
  const double height  = a->bottom - a->top;
  const bool   banded  = a->w >= 640.0;
  const bool   gained  = height >= LOOK_GAINS;
  const double bands_x = a->x + a->w - BANDS;
  l->strip             = (FhBox){a->x, a->top, banded ? bands_x - a->gap - a->x : a->w, height};
  if (banded) {
    l->bands           = (FhBox){bands_x, a->top, BANDS, height};
    const FhBox  inner = {bands_x + 34.0, a->top + TITLE, BANDS - 34.0, height - TIMES - TITLE};
    const double slot  = inner.w / FH_BANDS;
    for (int b = 0; b < FH_BANDS; ++b) {
      l->band[b] = snapped((FhBox){inner.x + (b + 0.18) * slot, inner.y, 0.64 * slot, inner.h}, l->scale);
    }
  }
  const double x     = a->x + AXIS;
  const double w     = l->strip.x + l->strip.w - x;
  const double below = gained ? GAINS + TITLE : 0.0;
  l->levels          = snapped((FhBox){x, a->top + TITLE, w, height - TITLE - TIMES - below}, l->scale);
  if (gained) {
    l->gains = snapped((FhBox){x, a->bottom - TIMES - GAINS, w, GAINS}, l->scale);
  }
  l->look  = (FhBox){x, a->top + 1.0, w, TITLE - 4.0};
  l->times = (FhBox){x - 25.0, a->bottom - TIMES + 4.0, w + 25.0, TIMES - 5.0};
}

/// Buttons in as many rows as they need, each row filled; upward from the bottom
/// @param all Those that could stand beside the help as well
static void
place_buttons(FhLayout* const l, FhArea* const a, const bool all)
{
  static const double least[] = {76.0, 126.0, 104.0, 112.0, 270.0, 88.0, 64.0, 76.0, 64.0, 64.0, 64.0}; // In the order of fh_items
  int    items[FH_ITEM_COUNT], row[FH_ITEM_COUNT], n = 0, rows = 0;
  double used = 0.0, sum[FH_ITEM_COUNT] = {0.0};
  int    count[FH_ITEM_COUNT] = {0};
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    if (fh_items[i].group == -1 || (all && fh_items[i].group == -3)) {
      const bool next = used > 0.0 && used + a->gap + least[n] > a->w;
      rows += next;
      used     = next || used == 0.0 ? least[n] : used + a->gap + least[n];
      items[n] = i;
      row[n]   = rows;
      sum[rows] += least[n++];
      ++count[rows];
    }
  }
  a->bottom -= (rows + 1) * TARGET + rows * a->gap;
  double x = a->x;
  for (int k = 0; k < n; ++k) {
    const int    r     = row[k];
    const double width = least[k] * (a->w - (count[r] - 1) * a->gap) / sum[r];
    x                  = k && row[k - 1] == r ? x : a->x;
    l->items[items[k]] = (FhBox){x, a->bottom + r * (TARGET + a->gap), width, TARGET};
    x += width + a->gap;
  }
  a->bottom -= a->gap;
}

/// Note on which page things stand: buttons on one, groups of values on those from `values` on
static void
note_pages(FhLayout* const l, const int buttons, const int values, const FhGrid* const grid)
{
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const int g     = fh_items[i].group;
    l->item_page[i] = g >= 0 ? values + grid->page[g] : g == -1 || g == -3 ? buttons : FH_EVERY_PAGE;
  }
}

/// Everything at once, one below the other. @return false if there is no room
static bool
lay_whole(FhLayout* const l, FhArea a)
{
  const FhGrid grid = fh_low_grid(a.w, a.gap);
  place_head(l, &a);
  place_separation(l, &a);
  if (is_narrow(l)) {
    place_help(l, &a);
  } else {
    place_bar(l, &a);
  }
  a.bottom -= grid.height;
  fh_place_values(l, &a, &grid, 0, a.bottom);
  a.bottom -= 8.0;
  place_learnt(l, &a);
  place_buttons(l, &a, is_narrow(l));
  note_pages(l, FH_EVERY_PAGE, 0, &grid);
  l->pages = 1;
  place_look(l, &a);
  return a.bottom - a.top >= LOOK;
}

/// Everything at once, strip and bands at the left, what is worked at the right. @return false if there is no room
static bool
lay_wide(FhLayout* const l, FhArea a)
{
  if (a.w < 1280.0) {
    return false;
  }
  place_head(l, &a);
  place_bar(l, &a);
  FhArea left = a, right = a;
  left.w    = 0.5 * (a.w - a.gap);
  right.w   = left.w;
  right.x   = a.x + left.w + a.gap;
  const FhGrid grid = fh_low_grid(right.w, a.gap);
  right.bottom    = fmin(right.bottom, right.top + grid.height + 220.0);
  right.bottom -= grid.height;
  fh_place_values(l, &right, &grid, 0, right.bottom);
  right.bottom -= 8.0;
  place_learnt(l, &right);
  place_buttons(l, &right, false);
  note_pages(l, FH_EVERY_PAGE, 0, &grid);
  l->pages = 1;
  place_look(l, &left);
  return right.bottom >= right.top - a.gap && left.bottom - left.top >= LOOK;
}

/// Buttons from the top of a page of their own, help at its foot where there is room
static void
place_work(FhLayout* const l, FhArea a)
{
  FhLayout try  = *l;
  FhArea   free = a;
  place_learnt(&try, &free);
  place_buttons(&try, &free, true);
  const double spare = free.bottom + a.gap - a.top;
  FhArea       foot  = a;
  if (spare >= help_height(a.w) + 6.0) {
    place_help(l, &foot);
  }
  a.bottom -= spare;
  place_learnt(l, &a);
  place_buttons(l, &a, true);
}

/// One of several pages: to look at, to work, and values on as many as they need
static void
lay_page(FhLayout* const l, FhArea a, const int page)
{
  place_head(l, &a);
  place_pages(l, &a);
  FhLayout try  = *l; // Look and buttons on one page, if there is room
  FhArea     both = a;
  place_separation(&try, &both);
  place_learnt(&try, &both);
  place_buttons(&try, &both, true);
  const bool   joined = both.bottom - both.top >= LOOK;
  const int    values = joined ? 1 : 2;
  const bool   helped = a.bottom - a.top >= 200.0 + help_height(a.w);
  const double help   = helped ? help_height(a.w) + 6.0 : 0.0;
  const double room   = a.bottom - a.top - help;
  const FhGrid   low    = fh_low_grid(a.w, a.gap);
  const FhGrid   grid   = low.height <= room ? low : fh_grid(a.w, a.gap, room);
  l->pages            = values + grid.pages;
  l->page             = page < 0 ? 0 : page < l->pages ? page : l->pages - 1;
  note_pages(l, joined ? 0 : 1, values, &grid);
  if (l->page >= values) {
    const FhArea beside = fh_beside_values(&a, &grid, l->page - values);
    if (helped) {
      place_help(l, &a);
    } else if (beside.w >= HELP_BESIDE) {
      l->help = (FhBox){beside.x, a.top, beside.w, a.bottom - a.top};
    }
    fh_place_values(l, &a, &grid, l->page - values, a.top);
  } else if (joined) {
    place_separation(l, &a);
    place_learnt(l, &a);
    place_buttons(l, &a, true);
    place_look(l, &a);
  } else if (l->page == 1) {
    place_work(l, a);
  } else {
    if (a.bottom - a.top >= 74.0 + LOOK_FLAT) {
      place_separation(l, &a);
    }
    place_look(l, &a);
  }
}

FhLayout
fh_layout_page(const int width, const int height, const double least, const int page)
{
  FhLayout l;
  memset(&l, 0, sizeof(l));
  l.pixel_width  = width > 1 ? width : 1;
  l.pixel_height = height > 1 ? height : 1;
  l.scale = fmax(fmin((double)l.pixel_width / FH_WINDOW_WIDTH, (double)l.pixel_height / FH_WINDOW_HEIGHT), fmax(least, 1.0));
  l.width  = (double)l.pixel_width / l.scale;
  l.height = (double)l.pixel_height / l.scale;

  const double   edge  = is_narrow(&l) || l.height < 400.0 ? 6.0 : 14.0;
  const double   gap   = edge < 10.0 ? 6.0 : 10.0;
  const FhArea     area  = {edge, l.width - 2.0 * edge, edge, l.height - fmin(edge, 8.0), edge, gap};
  const FhLayout empty = l;
  if (lay_whole(&l, area)) {
    return l;
  }
  l = empty;
  if (lay_wide(&l, area)) {
    return l;
  }
  l = empty;
  lay_page(&l, area, page);
  return l;
}
