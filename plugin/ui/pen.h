// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file pen.h
/// Drawing primitives over cairo: colours by role, text that stays in its room, hatching.
///
/// Lengths are user units (one is a pixel at scale 1). Thread: the caller's (UI or command). Errors stay in the
/// cairo context.

#ifndef FRONTHASH_UI_PEN_H
#define FRONTHASH_UI_PEN_H

#include "ui/palette.h"

#include <cairo.h>

#include <stdbool.h>

typedef struct {
  double x, y, w, h;
} FhBox;

/// Called for each text drawn: what was drawn where, and the room it had (tests)
typedef void (*FhTextNote)(void* data, const char* text, FhBox drawn, FhBox room, FhInk ink);

typedef struct {
  cairo_t*         cr;
  const FhPalette* palette;
  double           pixel; ///< One device pixel in user units
  FhTextNote       note;  ///< May be NULL
  void*            note_data;
} FhPen;

typedef enum { FH_LEFT, FH_CENTRE, FH_RIGHT } FhAlign;

typedef struct {
  double  size; ///< Height of the em square
  bool    bold;
  FhAlign align;
  FhInk   ink;
} FhTextStyle;

/// Make a pen for a context; `scale` is device pixels a user unit. Sets font family and options.
FhPen fh_pen(cairo_t* cr, const FhPalette* palette, double scale);

void fh_ink(const FhPen* pen, FhInk ink, double alpha);
void fh_box(const FhPen* pen, FhBox box, double radius, FhInk ink, double alpha);
void fh_frame(const FhPen* pen, FhBox box, double radius, double width, FhInk ink);
void fh_line(const FhPen* pen, double x0, double y0, double x1, double y1, double width, FhInk ink);

/// Fill the current path with diagonal lines `gap` apart; clears the path
void fh_hatch(const FhPen* pen, FhInk ink, double alpha, double gap, double width);

/// Needs no palette of the pen; sets the font
double fh_text_width(const FhPen* pen, FhTextStyle style, const char* text);

#define FH_TEXT_ROOM 256 ///< Bytes of a line of text

/// Where text (UTF-8) is wider than `width` in the font that is set, cut it so that with an ellipsis it is not
void fh_text_cut(const FhPen* pen, char text[FH_TEXT_ROOM], double width);

/// Draw one line of text, centred in height; made smaller (to 60 %, and not below 12), then cut with an ellipsis, to stay in `room`
void fh_text(const FhPen* pen, FhBox room, FhTextStyle style, const char* text);

/// Draw words over as many lines as the room's width asks; returns the height used
double fh_paragraph(const FhPen* pen, FhBox room, FhTextStyle style, const char* text);

#endif
