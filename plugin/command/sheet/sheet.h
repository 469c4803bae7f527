// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file sheet.h
/// The pages for a show's folder, drawn with cairo. Lengths are points, 1/72 of an inch.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_SHEET_H
#define FRONTHASH_COMMAND_SHEET_H

#include "command/show/show.h"

#include <cairo.h>

#include <stdbool.h>

#define FH_SHEET_EDGE 42.0 ///< White round a page
#define FH_METRE (72.0 / 0.0254) ///< Points

/// A document on its way
typedef struct {
  cairo_t*      cr;
  const FhShow* show;
  double        width, height;
  double        y;     ///< Where the next line goes
  int           page;  ///< From 1; 0 before the first
} FhSheet;

// Pages; each begins a new one and goes on to as many as it takes
void fh_sheet_patch(FhSheet* sheet);
void fh_sheet_plot(FhSheet* sheet); ///< Nothing where the show says no places
void fh_sheet_checklist(FhSheet* sheet);
void fh_sheet_labels(FhSheet* sheet);

/// A mark on a plot: filled a stand, open the ambient, square a speaker
typedef enum { FH_MARK_STAND, FH_MARK_AMBIENT, FH_MARK_SPEAKER } FhMark;

typedef struct {
  FhSpot at;
  FhMark mark;
  char   name[FH_SHOW_NAME + 64]; ///< Written beside it
} FhPlotMark;

#define FH_PLOT_MARKS (FH_SHOW_STANDS + FH_SHOW_SPEAKERS + 1)

/// The field from above, to scale: the audience is below, the band above
typedef struct {
  size_t      count;
  FhPlotMark  mark[FH_PLOT_MARKS];
  FhSpot      band_at;                ///< Middle of its nearest row
  double      band_width, band_depth; ///< m
  const char* band;                   ///< Written in it
} FhPlot;

/// Add a mark; of a place that is not known nothing is drawn
void fh_plot_add(FhPlot* plot, const FhSpot* at, FhMark mark, const char* format, ...)
  __attribute__((format(printf, 4, 5)));

/// Draw it from the sheet's `y` down to its foot, in the largest usual scale that holds it
void fh_plot_draw(FhSheet* sheet, const FhPlot* plot);

/// Begin a page with its title
void fh_sheet_page(FhSheet* sheet, const char* title);

/// Is there room for so much, above the foot?
bool fh_sheet_room(const FhSheet* sheet, double height);

/// Write a line of text with its base line at y, cut with three dots where it is wider than `width`
void fh_sheet_text(FhSheet* sheet, double x, double y, double width, double size, bool bold, const char* text);

/// Width of a text
double fh_sheet_width(FhSheet* sheet, double size, bool bold, const char* text);

/// Write a paragraph from the left edge plus `indent`, wrapped, and move on below it
void fh_sheet_paragraph(FhSheet* sheet, double indent, double size, const char* text);

/// A box to tick
void fh_sheet_box(FhSheet* sheet, double x, double y);

/// A line across
void fh_sheet_rule(FhSheet* sheet, double y, double grey);

/// "3" or "3 and 4"
const char* fh_sheet_channels(char text[32], const uint32_t channel[2]);

#endif
