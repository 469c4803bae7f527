// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/sheet/sheet.h"

#include "ui/pen.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define SPACING 1.35 // of lines, over their size

double
fh_sheet_width(FhSheet* const sheet, const double size, const bool bold, const char* const text)
{
  return fh_text_width(&(FhPen){.cr = sheet->cr}, (FhTextStyle){.size = size, .bold = bold}, text);
}

void
fh_sheet_text(FhSheet* const sheet, const double x, const double y, const double width, const double size, const bool bold,
              const char* const text)
{
  char cut[FH_TEXT_ROOM];
  snprintf(cut, sizeof(cut), "%s", text);
  if (fh_sheet_width(sheet, size, bold, cut) > width) {
    fh_text_cut(&(FhPen){.cr = sheet->cr}, cut, width);
  }
  cairo_set_source_rgb(sheet->cr, 0, 0, 0);
  cairo_move_to(sheet->cr, x, y);
  cairo_show_text(sheet->cr, cut);
}

void
fh_sheet_rule(FhSheet* const sheet, const double y, const double grey)
{
  cairo_set_source_rgb(sheet->cr, grey, grey, grey);
  cairo_set_line_width(sheet->cr, 0.6);
  cairo_move_to(sheet->cr, FH_SHEET_EDGE, y);
  cairo_line_to(sheet->cr, sheet->width - FH_SHEET_EDGE, y);
  cairo_stroke(sheet->cr);
}

void
fh_sheet_page(FhSheet* const sheet, const char* const title)
{
  const FhShow* const show  = sheet->show;
  const double        width = sheet->width - 2.0 * FH_SHEET_EDGE;
  char                number[32];
  if (sheet->page++) {
    cairo_show_page(sheet->cr);
  }
  fh_sheet_text(sheet, FH_SHEET_EDGE, FH_SHEET_EDGE + 14.0, width, 18.0, true, title);
  const char* const name  = *show->title ? show->title : show->path;
  const double      wide  = fh_sheet_width(sheet, 11.0, false, name);
  const double      taken = fmin(wide, width - fh_sheet_width(sheet, 18.0, true, title) - 20.0);
  fh_sheet_text(sheet, sheet->width - FH_SHEET_EDGE - taken, FH_SHEET_EDGE + 14.0, taken + 1.0, 11.0, false, name);
  fh_sheet_rule(sheet, FH_SHEET_EDGE + 22.0, 0.0);
  snprintf(number, sizeof(number), "%d", sheet->page);
  fh_sheet_text(sheet, sheet->width - FH_SHEET_EDGE - 12.0, sheet->height - 0.6 * FH_SHEET_EDGE, 40.0, 9.0, false, number);
  sheet->y = FH_SHEET_EDGE + 44.0;
}

bool
fh_sheet_room(const FhSheet* const sheet, const double height)
{
  return sheet->y + height <= sheet->height - FH_SHEET_EDGE;
}

void
fh_sheet_paragraph(FhSheet* const sheet, const double indent, const double size, const char* const text)
{
  const double width = sheet->width - 2.0 * FH_SHEET_EDGE - indent;
  const char*  at    = text;
  char         line[512];
  while (*at) {
    size_t fits = 0;
    for (size_t end = strcspn(at, " ");; end += 1 + strcspn(at + end + 1, " ")) {
      snprintf(line, sizeof(line), "%.*s", (int)end, at);
      if (fits && fh_sheet_width(sheet, size, false, line) > width) {
        break;
      }
      fits = end;
      if (!at[end] || end + 1 >= sizeof(line)) {
        break;
      }
    }
    snprintf(line, sizeof(line), "%.*s", (int)fits, at);
    fh_sheet_text(sheet, FH_SHEET_EDGE + indent, sheet->y, width + 1.0, size, false, line);
    sheet->y += SPACING * size;
    at += fits + (at[fits] == ' ');
  }
}

void
fh_sheet_box(FhSheet* const sheet, const double x, const double y)
{
  cairo_set_source_rgb(sheet->cr, 0, 0, 0);
  cairo_set_line_width(sheet->cr, 0.8);
  cairo_rectangle(sheet->cr, x, y - 8.5, 9.0, 9.0);
  cairo_stroke(sheet->cr);
}

const char*
fh_sheet_channels(char text[32], const uint32_t channel[2])
{
  snprintf(text, 32, channel[1] ? "%u and %u" : "%u", channel[0], channel[1]);
  return text;
}
