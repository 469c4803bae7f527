// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The field from above, to scale: the audience is below, the band above

#include "command/sheet/sheet.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

/// From metres to the page
typedef struct {
  double left, top;     ///< Points, of the drawing
  double west, north;   ///< m, of its corner
  double scale;         ///< Points a metre
} Field;

/// What the drawing has to hold, m
typedef struct {
  bool   any;
  double west, east, south, north;
} Bounds;

static void
hold(Bounds* const b, const FhSpot* const spot, const double around)
{
  if (spot->known) {
    b->west  = b->any ? fmin(b->west, spot->x - around) : spot->x - around;
    b->east  = b->any ? fmax(b->east, spot->x + around) : spot->x + around;
    b->south = b->any ? fmin(b->south, spot->y - around) : spot->y - around;
    b->north = b->any ? fmax(b->north, spot->y + around) : spot->y + around;
    b->any   = true;
  }
}

static Bounds
bounds_of(const FhPlot* const plot)
{
  Bounds b = {0};
  for (size_t i = 0; i < plot->count; ++i) {
    hold(&b, &plot->mark[i].at, 1.5);
  }
  if (plot->band_at.known) {
    const FhSpot corners[] = {{true, plot->band_at.x - plot->band_width / 2.0, plot->band_at.y},
                              {true, plot->band_at.x + plot->band_width / 2.0, plot->band_at.y + plot->band_depth}};
    hold(&b, &corners[0], 1.0);
    hold(&b, &corners[1], 1.0);
  }
  return b;
}

static double
to_x(const Field* const f, const double x)
{
  return f->left + (x - f->west) * f->scale;
}

static double
to_y(const Field* const f, const double y)
{
  return f->top + (f->north - y) * f->scale;
}

static void
draw_grid(FhSheet* const sheet, const Field* const f, const Bounds* const b, const double step)
{
  cairo_set_line_width(sheet->cr, 0.4);
  cairo_set_source_rgb(sheet->cr, 0.82, 0.82, 0.82);
  for (double x = ceil(b->west / step) * step; x <= b->east; x += step) {
    cairo_move_to(sheet->cr, to_x(f, x), to_y(f, b->north));
    cairo_line_to(sheet->cr, to_x(f, x), to_y(f, b->south));
  }
  for (double y = ceil(b->south / step) * step; y <= b->north; y += step) {
    cairo_move_to(sheet->cr, to_x(f, b->west), to_y(f, y));
    cairo_line_to(sheet->cr, to_x(f, b->east), to_y(f, y));
  }
  cairo_stroke(sheet->cr);
}

/// Where something is drawn already, points
typedef struct {
  double x, y, width, height;
} Box;

typedef struct {
  size_t count;
  Box    box[2 * FH_PLOT_MARKS];
} Taken;

static bool
is_free(const Taken* const taken, const Box* const b)
{
  for (size_t i = 0; i < taken->count; ++i) {
    const Box* const t = &taken->box[i];
    if (b->x < t->x + t->width && t->x < b->x + b->width && b->y < t->y + t->height && t->y < b->y + b->height) {
      return false;
    }
  }
  return true;
}

static void
draw_mark(FhSheet* const sheet, const Field* const f, const FhPlotMark* const m, Taken* const taken)
{
  const double x = to_x(f, m->at.x);
  const double y = to_y(f, m->at.y);
  cairo_set_source_rgb(sheet->cr, 0, 0, 0);
  cairo_set_line_width(sheet->cr, 1.2);
  cairo_new_path(sheet->cr); // a text leaves its end behind
  if (m->mark == FH_MARK_SPEAKER) {
    cairo_rectangle(sheet->cr, x - 5.0, y - 5.0, 10.0, 10.0);
  } else {
    cairo_arc(sheet->cr, x, y, 5.0, 0.0, 2.0 * 3.14159265358979);
  }
  (m->mark == FH_MARK_STAND ? cairo_fill : cairo_stroke)(sheet->cr);
  taken->box[taken->count++] = (Box){x - 6.0, y - 6.0, 12.0, 12.0};
}

/// Write a mark's name right of it, or else left, above or below, where nothing else is
static void
name_mark(FhSheet* const sheet, const Field* const f, const FhPlotMark* const m, Taken* const taken)
{
  const bool   bold     = m->mark == FH_MARK_STAND;
  const double x        = to_x(f, m->at.x);
  const double y        = to_y(f, m->at.y);
  const double most     = fmax(150.0, sheet->width / 3.0);
  const double wide     = fmin(fh_sheet_width(sheet, 10.0, bold, m->name), most);
  const double middle   = x - wide / 2.0;
  const Box    places[] = {{x + 9.0, y - 6.0, wide, 12.0},   {x - 9.0 - wide, y - 6.0, wide, 12.0}, {middle, y - 20.0, wide, 12.0},
                           {middle, y + 8.0, wide, 12.0},    {middle, y - 33.0, wide, 12.0},        {middle, y + 21.0, wide, 12.0}};
  const size_t count    = sizeof(places) / sizeof(places[0]);
  const double right    = sheet->width - FH_SHEET_EDGE;
  const Box*   best     = &places[x + 9.0 + wide > right ? 1 : 0]; // where nothing is free
  for (size_t i = count; i-- > 0;) {
    if (places[i].x >= FH_SHEET_EDGE && places[i].x + wide <= right && is_free(taken, &places[i])) {
      best = &places[i];
    }
  }
  taken->box[taken->count++] = *best;
  fh_sheet_text(sheet, best->x, best->y + 9.5, most + 1.0, 10.0, bold, m->name);
}

static void
draw_band(FhSheet* const sheet, const Field* const f, const FhPlot* const plot)
{
  if (!plot->band_at.known) {
    return;
  }
  const double x     = to_x(f, plot->band_at.x - plot->band_width / 2.0);
  const double y     = to_y(f, plot->band_at.y + plot->band_depth);
  const double width = plot->band_width * f->scale;
  cairo_rectangle(sheet->cr, x, y, width, plot->band_depth * f->scale);
  cairo_set_source_rgb(sheet->cr, 0.92, 0.92, 0.92);
  cairo_fill_preserve(sheet->cr);
  cairo_set_source_rgb(sheet->cr, 0.4, 0.4, 0.4);
  cairo_set_line_width(sheet->cr, 0.8);
  cairo_stroke(sheet->cr);
  const double half = fh_sheet_width(sheet, 10.0, false, plot->band) / 2.0;
  fh_sheet_text(sheet, x + width / 2.0 - half, to_y(f, plot->band_at.y) - 8.0, 400.0, 10.0, false, plot->band);
}

static void
draw_ruler(FhSheet* const sheet, const Field* const f, const double step, const double scale)
{
  char         text[96];
  const double y = sheet->height - FH_SHEET_EDGE - 4.0;
  cairo_set_source_rgb(sheet->cr, 0, 0, 0);
  cairo_set_line_width(sheet->cr, 1.5);
  cairo_move_to(sheet->cr, FH_SHEET_EDGE, y - 4.0);
  cairo_line_to(sheet->cr, FH_SHEET_EDGE, y);
  cairo_line_to(sheet->cr, FH_SHEET_EDGE + step * f->scale, y);
  cairo_line_to(sheet->cr, FH_SHEET_EDGE + step * f->scale, y - 4.0);
  cairo_stroke(sheet->cr);
  snprintf(text, sizeof(text), "%g m; 1 to %.0f if printed at full size", step, scale);
  fh_sheet_text(sheet, FH_SHEET_EDGE + step * f->scale + 8.0, y, 300.0, 9.5, false, text);
}

void
fh_plot_add(FhPlot* const plot, const FhSpot* const at, const FhMark mark, const char* const format, ...)
{
  if (!at->known || plot->count == FH_PLOT_MARKS) {
    return;
  }
  FhPlotMark* const m = &plot->mark[plot->count++];
  *m                  = (FhPlotMark){.at = *at, .mark = mark};
  va_list args;
  va_start(args, format);
  vsnprintf(m->name, sizeof(m->name), format, args);
  va_end(args);
}

void
fh_plot_draw(FhSheet* const sheet, const FhPlot* const plot)
{
  static const double scales[] = {20, 50, 100, 200, 500, 1000, 2000, 5000};
  const Bounds        b        = bounds_of(plot);
  const double        width    = sheet->width - 2.0 * FH_SHEET_EDGE;
  const double        height   = sheet->height - FH_SHEET_EDGE - 46.0 - sheet->y;
  size_t              k        = 0;
  while (k + 1 < sizeof(scales) / sizeof(scales[0]) && ((b.east - b.west) * FH_METRE / scales[k] > width ||
                                                       (b.north - b.south) * FH_METRE / scales[k] > height)) {
    ++k;
  }
  const double scale = FH_METRE / scales[k];
  const double step  = scales[k] <= 50.0 ? 1.0 : scales[k] <= 200.0 ? 5.0 : scales[k] <= 500.0 ? 10.0 : 50.0;
  const Field  f     = {.left  = FH_SHEET_EDGE + (width - (b.east - b.west) * scale) / 2.0,
                        .top   = sheet->y,
                        .west  = b.west,
                        .north = b.north,
                        .scale = scale};
  draw_grid(sheet, &f, &b, step);
  draw_band(sheet, &f, plot);
  Taken taken = {0};
  for (size_t i = 0; i < plot->count; ++i) {
    draw_mark(sheet, &f, &plot->mark[i], &taken);
  }
  for (size_t i = 0; i < plot->count; ++i) {
    name_mark(sheet, &f, &plot->mark[i], &taken);
  }
  fh_sheet_text(sheet, sheet->width / 2.0 - 26.0, to_y(&f, b.south) + 14.0, 100.0, 10.0, false, "Audience");
  draw_ruler(sheet, &f, step, scales[k]);
}

void
fh_sheet_plot(FhSheet* const sheet)
{
  const FhShow* const show = sheet->show;
  FhPlot* const       plot = calloc(1, sizeof(*plot));
  if (!plot) {
    return;
  }
  plot->band_at    = show->band_at;
  plot->band_width = show->band_width;
  plot->band_depth = show->band_depth;
  plot->band       = "Band";
  for (size_t i = 0; i < show->speaker_count; ++i) {
    fh_plot_add(plot, &show->speaker_at[i], FH_MARK_SPEAKER, "Speaker");
  }
  fh_plot_add(plot, &show->ambient_at, FH_MARK_AMBIENT, "Ambient");
  for (size_t i = 0; i < show->stand_count; ++i) {
    char channels[32];
    fh_plot_add(plot, &show->stand[i].at, FH_MARK_STAND, "%s  %s", fh_sheet_channels(channels, show->stand[i].input),
                show->stand[i].name);
  }
  if (plot->count || plot->band_at.known) {
    fh_sheet_page(sheet, "Stage plot");
    fh_plot_draw(sheet, plot);
  }
  free(plot);
}
