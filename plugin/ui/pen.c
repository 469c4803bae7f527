// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/pen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LINE_HEIGHT 1.3 ///< Of a paragraph, in em
#define LEAST_SIZE 12.0 ///< Text that is made to fit grows no smaller than this
#define PI 3.14159265358979323846

FhPen
fh_pen(cairo_t* const cr, const FhPalette* const palette, const double scale)
{
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(cr, options);
  cairo_font_options_destroy(options);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  return (FhPen){.cr = cr, .palette = palette, .pixel = 1.0 / scale};
}

void
fh_ink(const FhPen* const pen, const FhInk ink, const double alpha)
{
  const uint32_t rgb = pen->palette->rgb[ink];
  cairo_set_source_rgba(
    pen->cr, (rgb >> 16) / 255.0, ((rgb >> 8) & 0xff) / 255.0, (rgb & 0xff) / 255.0, alpha);
}

static void
box_path(const FhPen* const pen, const FhBox box, double radius)
{
  radius = fmin(radius, fmin(box.w, box.h) / 2.0);
  cairo_new_path(pen->cr);
  if (radius <= 0.0) {
    cairo_rectangle(pen->cr, box.x, box.y, box.w, box.h);
    return;
  }
  const double quarter = PI / 2.0;
  cairo_arc(pen->cr, box.x + box.w - radius, box.y + radius, radius, -quarter, 0.0);
  cairo_arc(pen->cr, box.x + box.w - radius, box.y + box.h - radius, radius, 0.0, quarter);
  cairo_arc(pen->cr, box.x + radius, box.y + box.h - radius, radius, quarter, 2.0 * quarter);
  cairo_arc(pen->cr, box.x + radius, box.y + radius, radius, 2.0 * quarter, 3.0 * quarter);
  cairo_close_path(pen->cr);
}

void
fh_box(const FhPen* const pen, const FhBox box, const double radius, const FhInk ink, const double alpha)
{
  box_path(pen, box, radius);
  fh_ink(pen, ink, alpha);
  cairo_fill(pen->cr);
}

void
fh_frame(const FhPen* const pen, const FhBox box, const double radius, const double width, const FhInk ink)
{
  const double half = width / 2.0;
  box_path(pen, (FhBox){box.x + half, box.y + half, box.w - width, box.h - width}, radius);
  fh_ink(pen, ink, 1.0);
  cairo_set_line_width(pen->cr, width);
  cairo_stroke(pen->cr);
}

void
fh_line(const FhPen* const pen,
        const double       x0,
        const double       y0,
        const double       x1,
        const double       y1,
        const double       width,
        const FhInk        ink)
{
  cairo_new_path(pen->cr);
  cairo_move_to(pen->cr, x0, y0);
  cairo_line_to(pen->cr, x1, y1);
  fh_ink(pen, ink, 1.0);
  cairo_set_line_width(pen->cr, width);
  cairo_stroke(pen->cr);
}

void
fh_hatch(const FhPen* const pen, const FhInk ink, const double alpha, const double gap, const double width)
{
  cairo_t* const cr = pen->cr;
  cairo_save(cr);
  cairo_clip(cr);
  double x0 = 0.0, y0 = 0.0, x1 = 0.0, y1 = 0.0;
  cairo_clip_extents(cr, &x0, &y0, &x1, &y1);
  if (x1 > x0 && y1 > y0) {
    // Lines where x + y is a multiple of the gap, so that neighbouring areas join
    for (double sum = floor((x0 + y0) / gap) * gap; sum <= x1 + y1; sum += gap) {
      cairo_move_to(cr, sum - y0, y0);
      cairo_line_to(cr, sum - y1, y1);
    }
    fh_ink(pen, ink, alpha);
    cairo_set_line_width(cr, width);
    cairo_stroke(cr);
  }
  cairo_restore(cr);
  cairo_new_path(cr);
}

static void
set_font(const FhPen* const pen, const double size, const bool bold)
{
  cairo_select_font_face(
    pen->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(pen->cr, size);
}

static double
advance(const FhPen* const pen, const char* const text)
{
  cairo_text_extents_t extents;
  cairo_text_extents(pen->cr, text, &extents);
  return extents.x_advance;
}

double
fh_text_width(const FhPen* const pen, const FhTextStyle style, const char* const text)
{
  set_font(pen, style.size, style.bold);
  return advance(pen, text);
}

void
fh_text_cut(const FhPen* const pen, char text[FH_TEXT_ROOM], const double width)
{
  size_t length = strlen(text);
  if (length > FH_TEXT_ROOM - 4) {
    length = FH_TEXT_ROOM - 4;
  }
  while (length && advance(pen, text) > width) {
    while (length && ((unsigned char)text[length - 1] & 0xc0u) == 0x80u) {
      --length; // Rest of a multi-byte character
    }
    length -= length ? 1 : 0;
    memcpy(text + length, "\u2026", sizeof("\u2026"));
  }
}

void
fh_text(const FhPen* const pen, const FhBox room, const FhTextStyle style, const char* const text)
{
  char buffer[FH_TEXT_ROOM];
  snprintf(buffer, sizeof(buffer), "%s", text);
  double size  = style.size;
  double width = fh_text_width(pen, style, buffer);
  if (width > room.w) {
    const double least = fmax(0.6 * size, fmin(LEAST_SIZE, size));
    size               = fmax(0.999 * size * room.w / width, least);
    set_font(pen, size, style.bold);
    width = advance(pen, buffer);
    fh_text_cut(pen, buffer, room.w);
    width = advance(pen, buffer);
  }

  cairo_font_extents_t font;
  cairo_font_extents(pen->cr, &font);
  const double spare    = room.w - width;
  const double x        = room.x + (style.align == FH_LEFT ? 0.0 : style.align == FH_RIGHT ? spare : spare / 2.0);
  const double baseline = room.y + (room.h + 0.73 * size) / 2.0; // Capitals are about 0.73 em high
  fh_ink(pen, style.ink, 1.0);
  cairo_move_to(pen->cr, x, baseline);
  cairo_show_text(pen->cr, buffer);
  cairo_new_path(pen->cr);
  if (pen->note) {
    const FhBox drawn = {x, baseline - 0.76 * size, width, size};
    pen->note(pen->note_data, buffer, drawn, room, style.ink);
  }
}

double
fh_paragraph(const FhPen* const pen, const FhBox room, const FhTextStyle style, const char* const text)
{
  const double height = LINE_HEIGHT * style.size;
  double       y      = room.y;
  char         line[FH_TEXT_ROOM];
  size_t       length = 0;
  set_font(pen, style.size, style.bold);
  for (const char* word = text; *word;) {
    const size_t span = strcspn(word, " ");
    char         longer[FH_TEXT_ROOM];
    snprintf(
      longer, sizeof(longer), "%.*s%s%.*s", (int)length, line, length ? " " : "", (int)span, word);
    if (length && advance(pen, longer) > room.w) {
      fh_text(pen, (FhBox){room.x, y, room.w, height}, style, line);
      set_font(pen, style.size, style.bold);
      y += height;
      snprintf(longer, sizeof(longer), "%.*s", (int)span, word);
    }
    memcpy(line, longer, sizeof(line));
    length = strlen(line);
    word += span;
    word += strspn(word, " ");
  }
  if (length) {
    fh_text(pen, (FhBox){room.x, y, room.w, height}, style, line);
    y += height;
  }
  return y - room.y;
}
