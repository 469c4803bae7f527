// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file x11.h
/// One window in a host's window: connection, events, painting. Raw Xlib; cairo draws into our own memory, which is
/// sent to the server where it changed. No threads, no timers.
///
/// Thread: UI, everything. Each window has a connection of its own, so whatever it leaves at the server goes with it.
/// X errors on that connection never reach the host's handler: the window may die under us when the host tears down
/// its own first.

#ifndef FRONTHASH_UI_X11_H
#define FRONTHASH_UI_X11_H

#include "ui/live.h"
#include "ui/model.h"
#include "ui/window.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <cairo.h>

#include <stdbool.h>
#include <stdint.h>

typedef struct {
  Display*      display;
  Window        parent;
  Window        window;
  XErrorHandler outer;  ///< The host's handler while we are inside
  unsigned long serial; ///< Next request when we came in
  bool          gone;   ///< The window or its parent is no more

  int      parent_width, parent_height; ///< As last seen, pixels
  bool     mapped;
  bool     obscured;
  bool     viewable; ///< All ancestors mapped, as last polled
  bool     titled;   ///< The host gave the title: none is looked for
  unsigned polls;    ///< Looks at the parent so far
  unsigned calls;    ///< Idle calls since the parent was last looked at

  FhModel  model;
  bool     kept_day; ///< As the user settings have it
  FhLayout layout;
  double   least; ///< Pixels a unit, at least
  int      focus; ///< Item that had the focus when the page was last looked at

  Visual*          visual;
  int              depth;
  GC               gc;
  cairo_surface_t* canvas;               ///< All parts as last drawn
  cairo_surface_t* strip;                ///< The strip as last drawn, column i at i modulo its width
  Pixmap           ring;                 ///< The same at the server
  FhLive           live;                 ///< columns is NULL while there is no memory for it
  uint64_t         signs[FH_PART_COUNT]; ///< Of the parts as last drawn
  int              spared;               ///< Calls since bars that are spared were drawn
  bool             fresh;                ///< Surfaces are new: draw everything
  bool             painted_day;          ///< Colours of what is drawn
  bool             frozen;               ///< The strip drawn is a still one
  int              back;                 ///< As of it in FhLook
  int              place;                ///< Column of the place that is looked at, or -1
  bool             exposed;              ///< The window lost pixels
} FhX11;

/// Open a window inside `parent`. @param scale 1..4, or 0 to ask the desktop. @return false if there is no display
bool fh_x11_open(FhX11* x, Window parent, FhHost host, double scale);
void fh_x11_close(FhX11* x);

/// Handle events, follow the parent, draw what changed. @return false if the window is gone
bool fh_x11_idle(FhX11* x);

// Between the files of this module

/// Between these two, X errors on our connection are ours
void fh_x11_enter(FhX11* x);
void fh_x11_leave(FhX11* x);

double fh_x11_now(void);
void   fh_x11_event(FhX11* x, XEvent* event);
void   fh_x11_resize(FhX11* x, int width, int height);

void fh_x11_make_surfaces(FhX11* x);
void fh_x11_free_surfaces(FhX11* x);
void fh_x11_paint(FhX11* x);

#endif
