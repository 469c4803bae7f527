// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/live.h"
#include "ui/window.h"

#include <math.h>
#include <stdio.h>

static const FhTextStyle axis_style  = {12.0, false, FH_RIGHT, FH_INK_DIM};
static const FhTextStyle times_style = {12.0, false, FH_CENTRE, FH_INK_DIM};
static const FhTextStyle key_style   = {12.0, false, FH_LEFT, FH_INK_TEXT};
static const FhTextStyle look_style  = {12.5, true, FH_LEFT, FH_INK_LINE};
static const FhTextStyle brief_style = {12.0, false, FH_LEFT, FH_INK_LINE};

#define TITLE 22.0 ///< Head of a lane, units

/// A short sample of a trace and its name; returns where the next may begin
static double
draw_key(const FhPen* const pen, const double x, const double y, const FhInk ink, const int style, const char* const name)
{
  const FhBox  swatch = {x, y + 5.0, 18.0, 11.0};
  const double middle = y + 10.5;
  if (style == 2) {
    fh_box(pen, swatch, 0.0, ink, 0.16);
    cairo_rectangle(pen->cr, swatch.x, swatch.y, swatch.w, swatch.h);
    fh_hatch(pen, ink, 0.7, 6.0, 0.9);
  } else if (style == 1) {
    fh_line(pen, x, middle, x + 7.0, middle, 2.2, ink);
    fh_line(pen, x + 11.0, middle, x + 18.0, middle, 2.2, ink);
  } else {
    fh_box(pen, (FhBox){x, middle - (style == 3 ? 4.0 : 1.1), 18.0, style == 3 ? 8.0 : 2.2}, 0.0, ink, 1.0);
  }
  const double width = fh_text_width(pen, key_style, name);
  fh_text(pen, (FhBox){x + 23.0, y, width + 1.0, TITLE}, key_style, name);
  return x + 23.0 + width + 14.0;
}

static void
draw_axis(const FhPen* const pen, const FhBox* const box, const double top, const double bottom, const double step)
{
  const FhLane lane = {*box, top, bottom, 1.0};
  for (double level = ceil(bottom / step) * step; level <= top; level += step) {
    const double y = fh_lane_y(&lane, level);
    char         text[16];
    snprintf(text, sizeof(text), "%s%.0f", level < 0.0 ? "\u2212" : "", fabs(level));
    fh_text(pen, (FhBox){box->x - 36.0, fmin(fmax(y - 7.0, box->y - 3.0), box->y + box->h - 11.0), 30.0, 14.0}, axis_style, text);
  }
}

void
fh_draw_strip_ground(const FhPen* const pen, const FhLayout* const layout)
{
  const FhBox* const levels = &layout->levels;
  const FhBox* const gains  = &layout->gains;
  draw_axis(pen, levels, FH_LIVE_TOP, FH_LIVE_BOTTOM, levels->h < 90.0 ? 40.0 : 20.0);
  if (fh_is_there(gains)) {
    const double x = draw_key(pen, gains->x, gains->y - TITLE, FH_INK_OPEN, 0, "Gate gain, dB");
    draw_key(pen, x, gains->y - TITLE, FH_INK_TEXT, 1, "Duck gain");
    draw_axis(pen, gains, FH_GAINS_TOP, FH_GAINS_BOTTOM, 30.0);
  }
}

void
fh_draw_look(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  char text[FH_LOOK_TEXT];
  if (fh_look_text(model, false, text, sizeof(text))) {
    const bool brief = fh_text_width(pen, look_style, text) > box.w;
    fh_look_text(model, brief, text, sizeof(text));
    fh_text(pen, box, brief ? brief_style : look_style, text);
    return;
  }
  const bool   wide = box.w > 500.0;
  const double y    = box.y - 1.0;
  double       x    = draw_key(pen, box.x, y, FH_INK_CLOSE, 0, wide ? "Close mic, dBFS" : "Close");
  x                 = draw_key(pen, x, y, FH_INK_PICKUP, 2, wide ? "Predicted pickup" : "Pickup");
  x                 = draw_key(pen, x, y, FH_INK_LINE, 1, wide ? "Opens above" : "Opens");
  draw_key(pen, x, y, FH_INK_OPEN, 3, "Open");
}

void
fh_draw_times(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  const FhBox lane = {box.x + 25.0, box.y, box.w - 25.0, box.h};
  const int   span = (int)FH_SEEN_SECONDS;
  for (int s = -span; s <= 0; s += lane.w > 500.0 ? 2 : 5) {
    char text[24];
    snprintf(text, sizeof(text), "\u2212%d s", model->look.back - s);
    FhTextStyle  style = times_style;
    const double at    = lane.x + lane.w * (1.0 + s / FH_SEEN_SECONDS);
    const double left  = fmin(at - 25.0, lane.x + lane.w - 50.0);
    style.align        = s ? FH_CENTRE : FH_RIGHT;
    const bool now     = !s && !model->look.back;
    fh_text(pen, (FhBox){left, box.y, 50.0, box.h}, style, now ? model->look.frozen ? "frozen" : "now" : text);
  }
}

void
fh_draw_place(const FhPen* const pen, const FhLayout* const layout, const double x)
{
  fh_box(pen, (FhBox){x, 0.0, fmax(pen->pixel, 1.0), layout->levels.h}, 0.0, FH_INK_TEXT, 1.0);
  if (fh_is_there(&layout->gains)) {
    fh_box(pen, (FhBox){x, layout->gains.y - layout->levels.y, fmax(pen->pixel, 1.0), layout->gains.h}, 0.0, FH_INK_TEXT, 1.0);
  }
}
