// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file view.h
/// Pictures of what the gate sees, on any cairo context; knows no window system.
///
/// Lengths are user units; `scale` is device pixels a unit. Thread: the caller's, one at a time for a context.

#ifndef FRONTHASH_UI_VIEW_H
#define FRONTHASH_UI_VIEW_H

#include "ports.h"
#include "ui/pen.h"

#include <cairo.h>

#include <stddef.h>

/// All control ports at one time
typedef struct {
  double seconds;             ///< Since the start of the take; must not decrease
  float  v[FH_CONTROL_COUNT]; ///< Indexed by FhControl, units as in the port table
} FhFrame;

/// How a picture is to be drawn
typedef struct {
  const char* title;  ///< UTF-8; may be NULL
  double      width;  ///< Units, at least FH_PICTURE_MIN_WIDTH
  double      height; ///< Units, at least FH_PICTURE_MIN_HEIGHT
  double      scale;  ///< Device pixels a unit, 1 to 4
  FhTextNote  note;   ///< Hears of each text drawn, in units; may be NULL
  void*       note_data;
} FhPicture;

#define FH_PICTURE_MIN_WIDTH 800.0
#define FH_PICTURE_MIN_HEIGHT 600.0

/// Draw a whole take: levels, excess against the margin, gains; with axes and legend.
/// Size and scale are clamped. `n` may be 0: the picture then says that there is nothing to show.
/// @return 0, or ENOMEM
int fh_view_picture(cairo_t* cr, const FhPicture* picture, const FhFrame* frames, size_t n);

/// Write the picture as a PNG: to `path` with ".part" added, then renamed, so that nothing half-written stays.
/// @return 0, or an errno value (no access, no space, no memory)
int fh_view_png(const char* path, const FhPicture* picture, const FhFrame* frames, size_t n);

#endif
