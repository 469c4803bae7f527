// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "drawing.h"

#include <X11/Xlib.h>
#include <cairo.h>
#include <dlfcn.h>

#include <stdio.h>
#include <stdlib.h>

static Drawing drawing;

Drawing
drawing_so_far(void)
{
  return drawing;
}

/// A library's own function
static void*
next(const char* const library, const char* const name)
{
  void* const handle = dlopen(library, RTLD_LAZY);
  void* const found  = handle ? dlsym(handle, name) : NULL;
  if (!found) {
    fprintf(stderr, "drawing.c: no %s in %s\n", name, library);
    exit(1);
  }
  return found;
}

/// Stands before a function of cairo that draws the current path
#define COUNTED_SHAPE(name)                 \
  void name(cairo_t* const cr)              \
  {                                         \
    static void (*real)(cairo_t*);          \
    if (!real) {                            \
      *(void**)&real = next("libcairo.so.2", #name);         \
    }                                       \
    ++drawing.shapes;                       \
    real(cr);                               \
  }

COUNTED_SHAPE(cairo_fill)
COUNTED_SHAPE(cairo_fill_preserve)
COUNTED_SHAPE(cairo_stroke)
COUNTED_SHAPE(cairo_paint)

void
cairo_show_text(cairo_t* const cr, const char* const text)
{
  static void (*real)(cairo_t*, const char*);
  if (!real) {
    *(void**)&real = next("libcairo.so.2", "cairo_show_text");
  }
  ++drawing.shapes;
  real(cr, text);
}

int
XPutImage(Display* const     d,
          const Drawable     to,
          const GC           gc,
          XImage* const      image,
          const int          from_x,
          const int          from_y,
          const int          x,
          const int          y,
          const unsigned int w,
          const unsigned int h)
{
  static int (*real)(Display*, Drawable, GC, XImage*, int, int, int, int, unsigned int, unsigned int);
  if (!real) {
    *(void**)&real = next("libX11.so.6", "XPutImage");
  }
  ++drawing.sent;
  return real(d, to, gc, image, from_x, from_y, x, y, w, h);
}

int
XCopyArea(Display* const     d,
          const Drawable     from,
          const Drawable     to,
          const GC           gc,
          const int          from_x,
          const int          from_y,
          const unsigned int w,
          const unsigned int h,
          const int          x,
          const int          y)
{
  static int (*real)(Display*, Drawable, Drawable, GC, int, int, unsigned int, unsigned int, int, int);
  if (!real) {
    *(void**)&real = next("libX11.so.6", "XCopyArea");
  }
  ++drawing.sent;
  return real(d, from, to, gc, from_x, from_y, w, h, x, y);
}
