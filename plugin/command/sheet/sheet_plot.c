// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The field from above, to scale: the audience is below, the band above

#include "command/sheet/sheet.h"

#include <math.h>
#include <stdio.h>

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
bounds_of(const FhShow* const show)
{
  Bounds b = {0};
  for (size_t i = 0; i < show->stand_count; ++i) {
    hold(&b, &show->stand[i].at, 1.5);
  }
  hold(&b, &show->ambient_at, 1.5);
  for (size_t i = 0; i < show->speaker_count; ++i) {
    hold(&b, &show->speaker_at[i], 1.5);
  }
  if (show->band_at.known) {
    const FhSpot corners[] = {{true, show->band_at.x - show->band_width / 2.0, show->band_at.y},
                              {true, show->band_at.x + show->band_width / 2.0, show->band_at.y + show->band_depth}};
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

/// A mark with its name beside it: filled a stand, open the ambient, square a speaker
typedef enum { STAND, AMBIENT, SPEAKER } Mark;

static void
draw_mark(FhSheet* const sheet, const Field* const f, const FhSpot* const spot, const Mark mark, const char* const name)
{
  if (!spot->known) {
    return;
  }
  const double x = to_x(f, spot->x);
  const double y = to_y(f, spot->y);
  cairo_set_source_rgb(sheet->cr, 0, 0, 0);
  cairo_set_line_width(sheet->cr, 1.2);
  cairo_new_path(sheet->cr); // a text leaves its end behind
  if (mark == SPEAKER) {
    cairo_rectangle(sheet->cr, x - 5.0, y - 5.0, 10.0, 10.0);
  } else {
    cairo_arc(sheet->cr, x, y, 5.0, 0.0, 2.0 * 3.14159265358979);
  }
  (mark == STAND ? cairo_fill : cairo_stroke)(sheet->cr);
  const double wide  = fmin(fh_sheet_width(sheet, 10.0, mark == STAND, name), 150.0);
  const double right = sheet->width - FH_SHEET_EDGE;
  fh_sheet_text(sheet, x + 9.0 + wide > right ? x - 9.0 - wide : x + 9.0, y + 3.5, 151.0, 10.0, mark == STAND, name);
}

static void
draw_band(FhSheet* const sheet, const Field* const f)
{
  const FhShow* const show = sheet->show;
  if (!show->band_at.known) {
    return;
  }
  const double x     = to_x(f, show->band_at.x - show->band_width / 2.0);
  const double y     = to_y(f, show->band_at.y + show->band_depth);
  const double width = show->band_width * f->scale;
  cairo_rectangle(sheet->cr, x, y, width, show->band_depth * f->scale);
  cairo_set_source_rgb(sheet->cr, 0.92, 0.92, 0.92);
  cairo_fill_preserve(sheet->cr);
  cairo_set_source_rgb(sheet->cr, 0.4, 0.4, 0.4);
  cairo_set_line_width(sheet->cr, 0.8);
  cairo_stroke(sheet->cr);
  fh_sheet_text(sheet, x + width / 2.0 - 14.0, to_y(f, show->band_at.y) - 8.0, 100.0, 10.0, false, "Band");
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
fh_sheet_plot(FhSheet* const sheet)
{
  static const double scales[] = {20, 50, 100, 200, 500, 1000, 2000, 5000};
  const FhShow* const show     = sheet->show;
  const Bounds        b        = bounds_of(show);
  if (!b.any) {
    return;
  }
  fh_sheet_page(sheet, "Stage plot");
  const double width  = sheet->width - 2.0 * FH_SHEET_EDGE;
  const double height = sheet->height - FH_SHEET_EDGE - 46.0 - sheet->y;
  size_t       k      = 0;
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
  draw_band(sheet, &f);
  for (size_t i = 0; i < show->speaker_count; ++i) {
    draw_mark(sheet, &f, &show->speaker_at[i], SPEAKER, "Speaker");
  }
  draw_mark(sheet, &f, &show->ambient_at, AMBIENT, "Ambient");
  for (size_t i = 0; i < show->stand_count; ++i) {
    char text[FH_SHOW_NAME + 48], channels[32];
    snprintf(text, sizeof(text), "%s  %s", fh_sheet_channels(channels, show->stand[i].input), show->stand[i].name);
    draw_mark(sheet, &f, &show->stand[i].at, STAND, text);
  }
  fh_sheet_text(sheet, sheet->width / 2.0 - 26.0, to_y(&f, b.south) + 14.0, 100.0, 10.0, false, "Audience");
  draw_ruler(sheet, &f, step, scales[k]);
}
