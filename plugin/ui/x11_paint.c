// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/x11.h"

#include <cairo-xlib.h>

#include <math.h>

// The canvas holds all parts, the ring holds the strip; the window gets copies of what changed. Canvas and ring are
// pixmaps, so that moving the strip costs the server a copy and us nothing.

void
fh_x11_make_surfaces(FhX11* const x)
{
  XWindowAttributes attributes;
  if (!XGetWindowAttributes(x->display, x->window, &attributes)) {
    x->gone = true;
    return;
  }
  const FhLayout* const l = &x->layout;
  x->front  = cairo_xlib_surface_create(x->display, x->window, attributes.visual, l->pixel_width, l->pixel_height);
  x->canvas = cairo_surface_create_similar(x->front, CAIRO_CONTENT_COLOR, l->pixel_width, l->pixel_height);
  if (fh_live_init(&x->live, l, &x->model)) {
    x->live.columns = NULL;
  }
  const double height = (l->gains.y + l->gains.h - l->levels.y) * l->scale;
  x->ring = cairo_surface_create_similar(x->front, CAIRO_CONTENT_COLOR, (int)x->live.seen, (int)ceil(height));
  x->fresh = x->exposed = true;
}

void
fh_x11_free_surfaces(FhX11* const x)
{
  cairo_surface_destroy(x->ring);
  cairo_surface_destroy(x->canvas);
  cairo_surface_destroy(x->front);
  x->front = x->canvas = x->ring = NULL;
  fh_live_free(&x->live);
}

static void
copy_box(const FhX11* const x, cairo_t* const front, const FhBox* const box)
{
  const double s = x->layout.scale;
  const double x0 = floor((box->x - 2.0) * s), y0 = floor((box->y - 2.0) * s);
  const double x1 = ceil((box->x + box->w + 2.0) * s), y1 = ceil((box->y + box->h + 2.0) * s);
  cairo_set_source_surface(front, x->canvas, 0.0, 0.0);
  cairo_rectangle(front, x0, y0, x1 - x0, y1 - y0);
  cairo_fill(front);
}

static void
paint_parts(FhX11* const x, cairo_t* const front)
{
  cairo_t* const cr = cairo_create(x->canvas);
  cairo_scale(cr, x->layout.scale, x->layout.scale);
  const FhPen pen = fh_pen(cr, &fh_night, x->layout.scale);
  if (x->fresh) {
    fh_window_ground(&pen, &x->layout);
  }
  for (int part = 0; part < FH_PART_COUNT; ++part) {
    const uint64_t sign = fh_part_sign(&x->model, part);
    if (x->fresh || sign != x->signs[part]) {
      const FhBox box = fh_part_box(&x->layout, part);
      x->signs[part]  = sign;
      fh_part_draw(&pen, &x->layout, &x->model, part);
      if (!x->exposed) {
        copy_box(x, front, &box);
      }
    }
  }
  cairo_destroy(cr);
}

static void
paint_strip(FhX11* const x, cairo_t* const front)
{
  if (!x->live.columns) {
    return;
  }
  const size_t before = x->live.newest;
  const size_t dirty  = fh_live_advance(&x->live, &x->model);
  const size_t end    = x->live.newest + 1;
  const size_t oldest = end - x->live.seen;
  const size_t first  = x->fresh || dirty < oldest ? oldest : dirty;
  if (first < end) {
    cairo_t* const cr = cairo_create(x->ring);
    fh_live_fill(cr, &x->layout, &x->live, first, end);
    cairo_destroy(cr);
  }
  if (x->exposed || (first < end && (x->live.newest == before || !fh_live_still(&x->live)))) {
    fh_live_copy(front, x->ring, &x->layout, &x->live, &x->layout.levels);
    fh_live_copy(front, x->ring, &x->layout, &x->live, &x->layout.gains);
  }
}

void
fh_x11_paint(FhX11* const x)
{
  cairo_t* const front = cairo_create(x->front);
  cairo_set_operator(front, CAIRO_OPERATOR_SOURCE);
  paint_parts(x, front);
  if (x->exposed) {
    cairo_set_source_surface(front, x->canvas, 0.0, 0.0);
    cairo_paint(front);
  }
  paint_strip(x, front);
  cairo_destroy(front);
  x->fresh = x->exposed = false;
}
