// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "chart.h"

#include <cairo.h>

#include <math.h>
#include <stdbool.h>
#include <stdio.h>

enum { WIDTH = 760, HEIGHT = 460, LEFT = 84, RIGHT = 28, TOP = 56, BOTTOM = 62 };

typedef struct {
  cairo_t* cr;
  double   x_most, y_most;
} Chart;

static double
at_x(const Chart* const c, const double x)
{
  return LEFT + (WIDTH - LEFT - RIGHT) * x / c->x_most;
}

static double
at_y(const Chart* const c, const double y)
{
  return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * y / c->y_most;
}

/// Text with its anchor at a fraction of its width
static void
text(const Chart* const c, const double x, const double y, const double anchor, const char* const words)
{
  cairo_text_extents_t size;
  cairo_text_extents(c->cr, words, &size);
  cairo_move_to(c->cr, x - anchor * size.width, y);
  cairo_show_text(c->cr, words);
}

static void
draw_axes(const Chart* const c)
{
  char words[32];
  cairo_set_line_width(c->cr, 1.0);
  for (double y = 0.0; y <= c->y_most; y += 100.0) {
    cairo_set_source_rgb(c->cr, 0.85, 0.85, 0.85);
    cairo_move_to(c->cr, LEFT, floor(at_y(c, y)) + 0.5);
    cairo_line_to(c->cr, WIDTH - RIGHT, floor(at_y(c, y)) + 0.5);
    cairo_stroke(c->cr);
    cairo_set_source_rgb(c->cr, 0.2, 0.2, 0.2);
    (void)snprintf(words, sizeof(words), "%.0f", y);
    text(c, LEFT - 10, at_y(c, y) + 5, 1.0, words);
  }
  for (double x = 0.0; x <= c->x_most; x += 50.0) {
    (void)snprintf(words, sizeof(words), "%.0f", x);
    text(c, at_x(c, x), HEIGHT - BOTTOM + 22, 0.5, words);
  }
  text(c, (LEFT + WIDTH - RIGHT) / 2.0, HEIGHT - 16, 0.5, "instances in one process");
  text(c, LEFT - 60, 24, 0.0, "time for one block of 64 frames of each, in microseconds (solo plugin, one core)");
}

/// The line through nothing and the last point, which is what linear means
static void
draw_line(const Chart* const c, const double x, const double y)
{
  static const double dashes[] = {6.0, 4.0};
  cairo_set_source_rgb(c->cr, 0.55, 0.55, 0.55);
  cairo_set_dash(c->cr, dashes, 2, 0.0);
  cairo_set_line_width(c->cr, 1.5);
  cairo_move_to(c->cr, at_x(c, 0.0), at_y(c, 0.0));
  cairo_line_to(c->cr, at_x(c, x), at_y(c, y));
  cairo_stroke(c->cr);
  cairo_set_dash(c->cr, NULL, 0, 0.0);
}

int
fh_chart_write(const char* const path, const double* const x, const double* const y, const int n, const double budget)
{
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  Chart                  c       = {cairo_create(surface), 200.0, 100.0};
  while (c.y_most < y[n - 1]) {
    c.y_most += 100.0;
  }
  cairo_set_source_rgb(c.cr, 1.0, 1.0, 1.0);
  cairo_paint(c.cr);
  cairo_select_font_face(c.cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c.cr, 15.0);
  draw_axes(&c);
  draw_line(&c, x[n - 1], y[n - 1]);

  cairo_set_source_rgb(c.cr, 0.05, 0.30, 0.60);
  for (int i = 0; i < n; ++i) {
    cairo_arc(c.cr, at_x(&c, x[i]), at_y(&c, y[i]), 4.5, 0.0, 6.2832);
    cairo_fill(c.cr);
  }
  char words[96];
  (void)snprintf(words, sizeof(words), "%.0f instances: %.0f of the %.0f us a block lasts", x[n - 1], y[n - 1], budget);
  cairo_set_source_rgb(c.cr, 0.2, 0.2, 0.2);
  text(&c, at_x(&c, x[n - 1]), at_y(&c, 45.0), 1.0, words); // below the line, between two of the grid

  // To a name of its own first, so that a failure leaves no half picture
  char part[4096];
  const int   length = snprintf(part, sizeof(part), "%s.part", path);
  const bool  fits   = length > 0 && (size_t)length < sizeof(part);
  const bool  good   = fits && cairo_surface_write_to_png(surface, part) == CAIRO_STATUS_SUCCESS && !rename(part, path);
  cairo_destroy(c.cr);
  cairo_surface_destroy(surface);
  if (!good) {
    (void)fprintf(stderr, "cannot write %s: name a file in a folder you may write to\n", path);
  }
  return good ? 0 : 1;
}
