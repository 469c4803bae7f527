// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "drawn.h"

#include "../dsp/check.h"

#include <stdio.h>

// Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines 2.2, definitions of "relative
// luminance" and "contrast ratio"; the curve's knee is 0.04045 there
static double
linear(const uint32_t channel)
{
  const double c = channel / 255.0;
  return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static double
luminance(const uint32_t rgb)
{
  return 0.2126 * linear(rgb >> 16) + 0.7152 * linear((rgb >> 8) & 0xff) + 0.0722 * linear(rgb & 0xff);
}

double
contrast(const uint32_t a, const uint32_t b)
{
  const double la = luminance(a), lb = luminance(b);
  return (fmax(la, lb) + 0.05) / (fmin(la, lb) + 0.05);
}

int
distance(const uint32_t a, const uint32_t b)
{
  int most = 0;
  for (int shift = 0; shift < 24; shift += 8) {
    const int d = abs((int)((a >> shift) & 0xff) - (int)((b >> shift) & 0xff));
    most        = d > most ? d : most;
  }
  return most;
}

static void
note(void* const data, const char* const text, const FhBox drawn, const FhBox room, const FhInk ink)
{
  Drawn* const d = (Drawn*)data;
  assert_true(d->text_count < MAX_TEXTS);
  Text* const t = &d->texts[d->text_count++];
  snprintf(t->text, sizeof(t->text), "%s", text);
  t->drawn = drawn;
  t->room  = room;
  t->ink   = ink;
}

static Drawn*
make(const int width, const int height, const double scale)
{
  Drawn* const d = (Drawn*)calloc(1, sizeof(Drawn));
  d->width       = width;
  d->height      = height;
  d->scale       = scale;
  d->surface     = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  return d;
}

void
drawn_free(Drawn* const drawn)
{
  cairo_surface_destroy(drawn->surface);
  free(drawn);
}

Drawn*
draw_picture(const FhPicture* const picture, const FhFrame* const frames, const size_t n)
{
  Drawn* const d = make((int)(picture->width * picture->scale), (int)(picture->height * picture->scale), picture->scale);
  FhPicture    noted = *picture;
  noted.note         = note;
  noted.note_data    = d;
  cairo_t* const cr  = cairo_create(d->surface);
  assert_int_equal(fh_view_picture(cr, &noted, frames, n), 0);
  cairo_destroy(cr);
  cairo_surface_flush(d->surface);
  return d;
}

static void
ignore(void* const data, const FhControl control, const float value)
{
  (void)data;
  (void)control;
  (void)value;
}

void
play(FhModel* const model, const FhFrame* const frames, const size_t n)
{
  fh_model_init(model, (FhHost){ignore, NULL, NULL}, 0.0);
  for (size_t i = 0; i < n; ++i) {
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
      fh_model_hear(model, (FhControl)c, frames[i].v[c]);
    }
    fh_model_tick(model, frames[i].seconds);
  }
}

Drawn*
draw_page(const int width, const int height, const double scale, const int page, const FhModel* const model)
{
  const FhLayout layout = fh_layout_page(width, height, scale, page);
  Drawn* const   d      = make(width, height, layout.scale);
  cairo_t* const cr     = cairo_create(d->surface);
  assert_int_equal(fh_window_draw(cr, &layout, model, note, d), 0);
  cairo_destroy(cr);
  cairo_surface_flush(d->surface);
  return d;
}

Drawn*
draw_window(const int width, const int height, const FhModel* const model)
{
  return draw_page(width, height, 1.0, 0, model);
}

uint32_t
pixel(const Drawn* const drawn, const int x, const int y)
{
  const unsigned char* const row =
    cairo_image_surface_get_data(drawn->surface) + y * cairo_image_surface_get_stride(drawn->surface);
  uint32_t argb;
  memcpy(&argb, row + 4 * x, sizeof(argb));
  return argb & 0xffffff;
}

double
find_row(const Drawn* const drawn, const int x, const int from, const int to, const uint32_t rgb, const int near_by)
{
  for (int y = from; y < to; ++y) {
    if (distance(pixel(drawn, x, y), rgb) < near_by) {
      int end = y;
      while (end < to && distance(pixel(drawn, x, end), rgb) < near_by) {
        ++end;
      }
      return (y + end) / 2.0;
    }
  }
  return -1.0;
}

double
line_row(const Drawn* const d, const int x, const int from, const int to, const FhPalette* const palette)
{
  double row = -1.0;
  for (int i = 0; i < (int)(20.0 * d->scale) && row < 0.0; ++i) {
    row = find_row(d, x + i, from, to, palette->rgb[FH_INK_LINE], 40);
  }
  return row;
}

const Text*
find_text(const Drawn* const drawn, const char* const part)
{
  for (int i = 0; i < drawn->text_count; ++i) {
    if (strstr(drawn->texts[i].text, part)) {
      return &drawn->texts[i];
    }
  }
  return NULL;
}

/// The colour most often met in a box
static uint32_t
commonest(const Drawn* const d, const FhBox* const box)
{
  enum { KINDS = 64 };
  uint32_t colours[KINDS];
  int      counts[KINDS] = {0}, kinds = 0, best = 0;
  for (int y = (int)(box->y * d->scale); y < (int)((box->y + box->h) * d->scale); ++y) {
    for (int x = (int)(box->x * d->scale); x < (int)((box->x + box->w) * d->scale); ++x) {
      const uint32_t rgb = pixel(d, x, y);
      int            k   = 0;
      while (k < kinds && colours[k] != rgb) {
        ++k;
      }
      if (k == kinds && kinds < KINDS) {
        colours[kinds++] = rgb;
      }
      if (k < kinds && ++counts[k] > counts[best]) {
        best = k;
      }
    }
  }
  return colours[best];
}

static bool
within(const FhBox* const inner, const FhBox* const outer, const double slack)
{
  return inner->x >= outer->x - slack && inner->x + inner->w <= outer->x + outer->w + slack &&
         inner->y >= outer->y - slack && inner->y + inner->h <= outer->y + outer->h + slack;
}

static bool
overlap(const FhBox* const a, const FhBox* const b)
{
  return a->x < b->x + b->w && b->x < a->x + a->w && a->y < b->y + b->h && b->y < a->y + a->h;
}

void
check_texts(const Drawn* const d, const FhPalette* const palette, const double least)
{
  const FhBox surface = {0.0, 0.0, d->width / d->scale, d->height / d->scale};
  for (int i = 0; i < d->text_count; ++i) {
    const Text* const t = &d->texts[i];
    if (!within(&t->drawn, &surface, 0.0) || t->drawn.w > t->room.w + 0.01) {
      fail_msg("\"%s\" leaves its room", t->text);
    }
    for (int j = 0; j < i; ++j) {
      if (overlap(&t->drawn, &d->texts[j].drawn)) {
        fail_msg("\"%s\" overlaps \"%s\"", t->text, d->texts[j].text);
      }
    }
    const uint32_t ink = palette->rgb[t->ink], ground = commonest(d, &t->drawn);
    if (contrast(ink, ground) < least) {
      fail_msg("\"%s\" reads at %.2f:1 only, %06x on %06x", t->text, contrast(ink, ground), ink, ground);
    }
    bool seen = false;
    for (int y = (int)(t->drawn.y * d->scale); !seen && y < (int)((t->drawn.y + t->drawn.h) * d->scale); ++y) {
      for (int x = (int)(t->drawn.x * d->scale); !seen && x < (int)((t->drawn.x + t->drawn.w) * d->scale); ++x) {
        seen = 2.5 * distance(pixel(d, x, y), ground) > distance(ink, ground);
      }
    }
    if (!seen && t->text[0]) {
      fail_msg("\"%s\" is not to be seen", t->text);
    }
  }
}
