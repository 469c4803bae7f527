// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/strip.h"
#include "ui/window.h"

#include <math.h>
#include <stdio.h>

#define MIDDLE 0.62  ///< Part of the height above 0 dB
#define REACH 40.0   ///< dB at the ends
#define STRIPE 4.0   ///< Period of the duck's stripes, units

static const FhTextStyle name_style = {12.0, false, FH_CENTRE, FH_INK_DIM};
static const FhTextStyle axis_style = {12.0, false, FH_RIGHT, FH_INK_DIM};
static const FhTextStyle help_style = {12.0, false, FH_LEFT, FH_INK_TEXT};

static double
level_y(const FhBox* const box, const double level)
{
  const double part = fmin(fmax(level / REACH, -1.0), 1.0);
  return box->y + box->h * (part > 0.0 ? MIDDLE * (1.0 - part) : MIDDLE - part * (1.0 - MIDDLE));
}

static void
draw_lines(const FhPen* const pen, const FhBox* const box, const FhBox* const scale)
{
  for (int level = -40; level <= 40; level += 20) {
    const double y = round(level_y(scale, level) / pen->pixel) * pen->pixel;
    const double within = fmin(y, scale->y + scale->h - pen->pixel);
    fh_box(pen, (FhBox){box->x, within, box->w, pen->pixel}, 0.0, level ? FH_INK_GRID : FH_INK_EDGE, 1.0);
  }
}

void
fh_draw_bands_ground(const FhPen* const pen, const FhLayout* const layout)
{
  static const char* const names[FH_BANDS] = {"100", "200", "425", "850", "1.7k", "3.4k", "6.8k", "14k"};
  const FhBox* const       box             = &layout->bands;
  const FhBox* const       scale           = &layout->band[0];
  const double             left            = box->x + 34.0;
  const FhBox              inner           = {left, scale->y, box->x + box->w - left, scale->h};
  const double             slot            = inner.w / FH_BANDS;
  fh_text(pen, (FhBox){left, inner.y - 22.0, inner.w, 22.0}, help_style, "Up: over the field. Down: ducked.");
  fh_box(pen, inner, 0.0, FH_INK_PANEL, 1.0);
  draw_lines(pen, &inner, scale);
  for (int level = -40; level <= 40; level += 20) {
    char text[16];
    snprintf(text, sizeof(text), level ? "%d" : "%d dB", level < 0 ? -level : level);
    const double y = fmin(fmax(level_y(scale, level) - 7.0, inner.y - 3.0), inner.y + inner.h - 11.0);
    fh_text(pen, (FhBox){box->x, y, 28.0, 14.0}, axis_style, text);
  }
  for (int b = 0; b < FH_BANDS; ++b) {
    fh_text(pen, (FhBox){left + b * slot, inner.y + inner.h + 2.0, slot, 16.0}, name_style, names[b]);
  }
  fh_text(pen, (FhBox){box->x, inner.y + inner.h + 2.0, 28.0, 16.0}, axis_style, "Hz");
}

void
fh_draw_band(const FhPen* const pen, const FhLayout* const layout, const FhModel* const model, const int band)
{
  const FhBox* const box    = &layout->band[band];
  const double       middle = level_y(box, 0.0);
  const float        excess = model->v[FH_BAND_EXCESS_1 + 2 * band];
  const double       up     = level_y(box, fmax((double)excess, 0.0));
  const double       down   = level_y(box, fmin((double)model->v[FH_BAND_GAIN_1 + 2 * band], 0.0));
  fh_box(pen, *box, 0.0, FH_INK_PANEL, 1.0);
  draw_lines(pen, box, box);
  if (middle > up) {
    fh_box(pen, (FhBox){box->x, up, box->w, middle - up}, 0.0, FH_INK_CLOSE, 1.0);
  }
  if (down > middle + 1.0) {
    fh_box(pen, (FhBox){box->x, middle, box->w, down - middle}, 0.0, FH_INK_PICKUP, 0.25);
    cairo_new_path(pen->cr);
    for (double y = middle + STRIPE; y < down; y += STRIPE) {
      cairo_rectangle(pen->cr, box->x, y, box->w, 1.2);
    }
    cairo_rectangle(pen->cr, box->x, down - 2.0, box->w, 2.0);
    fh_ink(pen, FH_INK_PICKUP, 1.0);
    cairo_fill(pen->cr);
  }
}
