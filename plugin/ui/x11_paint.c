// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/x11.h"

#include <math.h>
#include <string.h>

// Parts are drawn into the canvas and sent to the window. New columns of the strip are sent to a ring of pixels at the
// server; moving the strip is then a copy there, and costs us nothing.

void
fh_x11_make_surfaces(FhX11* const x)
{
  const FhLayout* const l = &x->layout;
  memset(&x->live, 0, sizeof(x->live));
  if (fh_is_there(&l->levels) && fh_live_init(&x->live, l, &x->model)) {
    x->live.columns = NULL;
  }
  const FhBox* const last   = fh_is_there(&l->gains) ? &l->gains : &l->levels;
  const int          width  = x->live.columns ? (int)x->live.seen : 1;
  const int          height = x->live.columns ? (int)ceil((last->y + last->h - l->levels.y) * l->scale) : 1;
  x->canvas        = cairo_image_surface_create(CAIRO_FORMAT_RGB24, l->pixel_width, l->pixel_height);
  x->strip         = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  x->ring          = XCreatePixmap(x->display, x->window, (unsigned)width, (unsigned)height, (unsigned)x->depth);
  x->fresh = x->exposed = true;
}

void
fh_x11_free_surfaces(FhX11* const x)
{
  XFreePixmap(x->display, x->ring);
  cairo_surface_destroy(x->strip);
  cairo_surface_destroy(x->canvas);
  x->canvas = x->strip = NULL;
  fh_live_free(&x->live);
}

/// Send a piece of an image to the same place of a window or pixmap
static void
send(FhX11* const x, const Drawable to, cairo_surface_t* const from, const int left, const int top, const int w, const int h)
{
  cairo_surface_flush(from);
  unsigned char* const data = cairo_image_surface_get_data(from);
  if (!data) {
    return; // No memory for it
  }
  const uint32_t one = 1;
  XImage         image;
  memset(&image, 0, sizeof(image));
  image.width            = cairo_image_surface_get_width(from);
  image.height           = cairo_image_surface_get_height(from);
  image.format           = ZPixmap;
  image.data             = (char*)data;
  image.byte_order       = *(const unsigned char*)&one ? LSBFirst : MSBFirst;
  image.bitmap_bit_order = image.byte_order;
  image.bitmap_unit      = 32;
  image.bitmap_pad       = 32;
  image.depth            = x->depth;
  image.bytes_per_line   = cairo_image_surface_get_stride(from);
  image.bits_per_pixel   = 32;
  image.red_mask         = 0xff0000;
  image.green_mask       = 0xff00;
  image.blue_mask        = 0xff;
  if (XInitImage(&image)) {
    XPutImage(x->display, to, x->gc, &image, left, top, left, top, (unsigned)w, (unsigned)h);
  }
}

static void
send_box(FhX11* const x, const FhBox* const box)
{
  const double s  = x->layout.scale;
  const int    x0 = (int)fmax(floor((box->x - 2.0) * s), 0.0);
  const int    y0 = (int)fmax(floor((box->y - 2.0) * s), 0.0);
  const int    x1 = (int)fmin(ceil((box->x + box->w + 2.0) * s), x->layout.pixel_width);
  const int    y1 = (int)fmin(ceil((box->y + box->h + 2.0) * s), x->layout.pixel_height);
  if (x1 > x0 && y1 > y0) {
    send(x, x->window, x->canvas, x0, y0, x1 - x0, y1 - y0);
  }
}

static void
paint_parts(FhX11* const x)
{
  cairo_t* const cr = cairo_create(x->canvas);
  cairo_scale(cr, x->layout.scale, x->layout.scale);
  const FhPen pen = fh_pen(cr, fh_model_palette(&x->model), x->layout.scale);
  if (x->fresh) {
    fh_window_ground(&pen, &x->layout);
  }
  // The bars of a very large window are many pixels to send: 10 times a second is enough
  x->spared        = (x->spared + 1) % 3;
  const bool spare = x->spared && x->layout.scale > 2.0 && !x->fresh;
  for (int part = 0; part < FH_PART_COUNT; ++part) {
    if (spare && part >= FH_PART_BAND && part < FH_PART_ITEM) {
      continue;
    }
    const uint64_t sign = fh_part_sign(&x->model, part);
    if (x->fresh || sign != x->signs[part]) {
      x->signs[part]  = sign;
      const FhBox box = fh_part_box(&x->layout, part);
      fh_part_draw(&pen, &x->layout, &x->model, part);
      if (!x->exposed) {
        send_box(x, &box);
      }
    }
  }
  cairo_destroy(cr);
  if (x->exposed) {
    send(x, x->window, x->canvas, 0, 0, x->layout.pixel_width, x->layout.pixel_height);
  }
}

/// Draw columns first..last-1 and send them to the ring
static void
fill_ring(FhX11* const x, const size_t first, const size_t last)
{
  cairo_t* const cr = cairo_create(x->strip);
  cairo_scale(cr, x->layout.scale, x->layout.scale);
  const FhPen pen = fh_pen(cr, fh_model_palette(&x->model), x->layout.scale);
  fh_live_fill(&pen, &x->layout, &x->live, first, last);
  cairo_destroy(cr);
  const int width  = (int)x->live.seen;
  const int height = cairo_image_surface_get_height(x->strip);
  const int from   = (int)(first % x->live.seen);
  const int count  = (int)(last - first);
  const int before = from + count > width ? width - from : count; // The rest begins again at the left
  send(x, x->ring, x->strip, from, 0, before, height);
  if (count > before) {
    send(x, x->ring, x->strip, 0, 0, count - before, height);
  }
}

/// Copy one lane from the ring, newest column at the right edge
static void
copy_lane(const FhX11* const x, const FhBox* const lane)
{
  const double s      = x->layout.scale;
  const int    left   = (int)lround(lane->x * s);
  const int    y      = (int)lround(lane->y * s);
  const int    top    = y - (int)lround(x->layout.levels.y * s);
  const int    height = (int)lround(lane->h * s);
  const int    width  = (int)x->live.seen;
  const int    split  = (int)((x->live.newest + 1) % x->live.seen); // Ring column of the oldest
  const int    older  = width - split;
  XCopyArea(x->display, x->ring, x->window, x->gc, split, top, (unsigned)older, (unsigned)height, left, y);
  if (split) {
    XCopyArea(x->display, x->ring, x->window, x->gc, 0, top, (unsigned)split, (unsigned)height, left + older, y);
  }
}

/// Draw an upright over one lane
static void
mark_place(const FhX11* const x, const FhBox* const lane)
{
  const double s    = x->layout.scale;
  const int    left = (int)lround(lane->x * s) + x->place;
  const int    top  = (int)lround(lane->y * s);
  XSetForeground(x->display, x->gc, fh_model_palette(&x->model)->rgb[FH_INK_TEXT]);
  XFillRectangle(x->display, x->window, x->gc, left, top, (unsigned)fmax(lround(s), 1), (unsigned)lround(lane->h * s));
}

/// Take another part of the history, where the strip was frozen, moved, or goes on. @return true if so
static bool
turn_strip(FhX11* const x)
{
  const FhLook* const look = &x->model.look;
  if (x->frozen == look->frozen && x->back == look->back) {
    return false;
  }
  x->frozen = look->frozen;
  x->back   = look->back;
  fh_live_free(&x->live);
  if (fh_live_init(&x->live, &x->layout, &x->model)) {
    x->live.columns = NULL;
  }
  return x->live.columns != NULL;
}

static void
paint_strip(FhX11* const x)
{
  const bool   turned = turn_strip(x);
  if (!x->live.columns) {
    return;
  }
  const size_t before = x->live.newest;
  const size_t dirty  = fh_live_advance(&x->live, &x->model);
  const size_t end    = x->live.newest + 1;
  const size_t oldest = end - x->live.seen;
  const size_t first  = x->fresh || turned || dirty < oldest ? oldest : dirty;
  if (first < end) {
    fill_ring(x, first, end);
  }
  const FhLook* const look  = &x->model.look;
  const int           place = look->pointed ? (int)fh_live_column(&x->live, fh_look_end(&x->model) - look->ago) : -1;
  const bool          moved = place != x->place;
  x->place                  = place;
  if (x->exposed || turned || moved || (first < end && (x->live.newest == before || !fh_live_still(&x->live)))) {
    copy_lane(x, &x->layout.levels);
    if (fh_is_there(&x->layout.gains)) {
      copy_lane(x, &x->layout.gains);
    }
    if (place >= 0) {
      mark_place(x, &x->layout.levels);
      if (fh_is_there(&x->layout.gains)) {
        mark_place(x, &x->layout.gains);
      }
    }
  }
}

void
fh_x11_paint(FhX11* const x)
{
  if (x->painted_day != x->model.day) {
    x->painted_day = x->model.day;
    x->fresh = x->exposed = true;
  }
  paint_parts(x);
  if (x->live.columns) {
    paint_strip(x);
  }
  x->fresh = x->exposed = false;
}
