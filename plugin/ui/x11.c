// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#define _POSIX_C_SOURCE 200809L // clock_gettime

#include "ui/x11.h"

#include "ui/edit.h"
#include "ui/settings.h"
#include "ui/words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define POLL_EVERY 6u         ///< Idle calls between looks at the parent, which may send no events
#define TITLE_EVERY 20u       ///< Of these, between looks at the title
#define POLL_EVERY_HIDDEN 60u ///< The same while out of sight

/// The window whose errors are being taken; hosts drive all windows from one thread
static FhX11* inside;

static int
take_error(Display* const display, XErrorEvent* const error)
{
  if (inside && display == inside->display) {
    inside->gone = inside->gone || error->error_code == BadWindow || error->error_code == BadDrawable;
    return 0;
  }
  return inside && inside->outer ? inside->outer(display, error) : 0;
}

void
fh_x11_enter(FhX11* const x)
{
  inside    = x;
  x->outer  = XSetErrorHandler(take_error);
  x->serial = XNextRequest(x->display);
}

void
fh_x11_leave(FhX11* const x)
{
  if (XNextRequest(x->display) != x->serial) {
    XSync(x->display, False); // Whatever went wrong comes back now
  }
  XSetErrorHandler(x->outer);
  inside = NULL;
}

double
fh_x11_now(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/// Scale the desktop asks for: Xft.dpi over 96
static double
desktop_scale(Display* const display)
{
  const char* const dpi = XGetDefault(display, "Xft", "dpi");
  return dpi ? atof(dpi) / 96.0 : 1.0;
}

static void
set_size_hints(const FhX11* const x, const int width, const int height)
{
  XSizeHints hints;
  memset(&hints, 0, sizeof(hints));
  hints.flags       = PMinSize | PBaseSize | PSize;
  hints.width       = width;
  hints.height      = height;
  hints.base_width  = width;
  hints.base_height = height;
  hints.min_width   = (int)(FH_WINDOW_MIN_WIDTH * x->least);
  hints.min_height  = (int)(FH_WINDOW_MIN_HEIGHT * x->least);
  XSetWMNormalHints(x->display, x->window, &hints);
}

/// Size of a window; false if it is gone
static bool
size_of(FhX11* const x, const Window window, int* const width, int* const height)
{
  Window   root;
  int      left, top;
  unsigned w = 0, h = 0, border, depth;
  if (!XGetGeometry(x->display, window, &root, &left, &top, &w, &h, &border, &depth)) {
    return false;
  }
  *width  = (int)w;
  *height = (int)h;
  return true;
}

/// A visual whose pixels are those of cairo's images: 8 bits each of red, green, blue
static bool
choose_visual(FhX11* const x)
{
  XVisualInfo info;
  if (!XMatchVisualInfo(x->display, DefaultScreen(x->display), 24, TrueColor, &info) || info.red_mask != 0xff0000 ||
      info.green_mask != 0xff00 || info.blue_mask != 0xff) {
    return false;
  }
  x->visual = info.visual;
  x->depth  = info.depth;
  return true;
}

static void
make_window(FhX11* const x, const int width, const int height)
{
  XSetWindowAttributes attributes;
  memset(&attributes, 0, sizeof(attributes));
  attributes.colormap          = XCreateColormap(x->display, x->parent, x->visual, AllocNone);
  attributes.background_pixmap = None; // No flash before the first drawing
  attributes.bit_gravity       = NorthWestGravity;
  attributes.event_mask = ExposureMask | StructureNotifyMask | VisibilityChangeMask | ButtonPressMask |
                          ButtonReleaseMask | PointerMotionMask | EnterWindowMask | LeaveWindowMask | KeyPressMask;
  x->window = XCreateWindow(x->display,
                            x->parent,
                            0,
                            0,
                            (unsigned)width,
                            (unsigned)height,
                            0,
                            x->depth,
                            InputOutput,
                            x->visual,
                            CWBackPixmap | CWBorderPixel | CWBitGravity | CWEventMask | CWColormap,
                            &attributes);
  x->gc = XCreateGC(x->display, x->window, GCGraphicsExposures, &(XGCValues){.graphics_exposures = False});
  set_size_hints(x, width, height);
  XMapRaised(x->display, x->window);
}

static void
lay_out(FhX11* const x, const int width, const int height)
{
  x->layout      = fh_layout_page(width, height, x->least, x->model.page);
  x->model.page  = x->layout.page;
  x->model.pages = x->layout.pages;
}

bool
fh_x11_open(FhX11* const x, const Window parent, const FhHost host, const double scale)
{
  memset(x, 0, sizeof(*x));
  x->parent  = parent;
  x->display = XOpenDisplay(NULL);
  if (!x->display) {
    return false;
  }
  const double wanted = scale > 0.0 ? scale : desktop_scale(x->display);
  const double limit  = fmin(fmax(wanted, 1.0), 4.0);
  const int    width  = (int)lround(FH_WINDOW_WIDTH * limit);
  const int    height = (int)lround(FH_WINDOW_HEIGHT * limit);
  fh_model_init(&x->model, host, fh_x11_now());
  x->model.day = x->kept_day = fh_settings_day();

  fh_x11_enter(x);
  if (!choose_visual(x) || !size_of(x, parent, &x->parent_width, &x->parent_height)) {
    x->gone = true;
  } else {
    x->mapped = x->viewable = true;
    x->least = limit;
    make_window(x, width, height);
    lay_out(x, width, height);
    XSync(x->display, False);
    if (!x->gone) {
      fh_x11_make_surfaces(x);
    }
  }
  fh_x11_leave(x);
  if (x->gone) {
    XCloseDisplay(x->display);
  }
  return !x->gone;
}

void
fh_x11_close(FhX11* const x)
{
  fh_edit_release(&x->model);
  fh_x11_enter(x);
  fh_x11_free_surfaces(x);
  XFreeGC(x->display, x->gc);
  XDestroyWindow(x->display, x->window);
  fh_x11_leave(x);
  XCloseDisplay(x->display);
}

void
fh_x11_resize(FhX11* const x, const int width, const int height)
{
  if (width != x->layout.pixel_width || height != x->layout.pixel_height || x->model.page != x->layout.page) {
    fh_x11_free_surfaces(x);
    lay_out(x, width, height);
    fh_x11_make_surfaces(x);
  }
}

/// Turn to the page that is wanted, and to that of an item that has just got the focus
static void
turn_page(FhX11* const x)
{
  const int focus = x->model.focus;
  if (focus != x->focus && focus != FH_NO_ITEM && x->layout.item_page[focus] != FH_EVERY_PAGE) {
    x->model.page = x->layout.item_page[focus];
  }
  x->focus = focus;
  if (x->model.page != x->layout.page) {
    fh_x11_resize(x, x->layout.pixel_width, x->layout.pixel_height);
  }
}

/// Name of a window, to be freed with XFree(), or NULL
static unsigned char*
name_of(FhX11* const x, const Window window)
{
  const Atom     utf8 = XInternAtom(x->display, "UTF8_STRING", False);
  const Atom     name = XInternAtom(x->display, "_NET_WM_NAME", False);
  Atom           type = None;
  int            format = 0;
  unsigned long  count = 0, rest = 0;
  unsigned char* text = NULL;
  char*          older = NULL;
  XGetWindowProperty(x->display, window, name, 0, 64, False, utf8, &type, &format, &count, &rest, &text);
  if (text && count) {
    return text;
  }
  if (text) {
    XFree(text);
  }
  return XFetchName(x->display, window, &older) ? (unsigned char*)older : NULL;
}

/// Look in the windows around ours for a title that names us: hosts write the track there, and toolkits call windows between
/// as they like. One of them may vanish meanwhile (it may be a window manager's); that is not our end.
static void
find_title(FhX11* const x)
{
  const bool gone  = x->gone;
  Window     root  = None, at = x->parent;
  bool       found = false;
  for (int level = 0; level < 16 && at != None && at != root && !found; ++level) {
    Window               parent = None;
    Window*              children = NULL;
    unsigned             count = 0;
    unsigned char* const name = name_of(x, at);
    found                     = name && strstr((const char*)name, "Fronthash");
    if (found) {
      fh_track_name((const char*)name, x->model.title, sizeof(x->model.title));
    }
    if (name) {
      XFree(name);
    }
    if (!XQueryTree(x->display, at, &root, &parent, &children, &count)) {
      break;
    }
    if (children) {
      XFree(children);
    }
    at = parent;
  }
  XSync(x->display, False);
  x->gone = gone;
}

/// Some hosts send neither sizes nor word that an ancestor went out of sight
static void
poll_parent(FhX11* const x)
{
  int               width = 0, height = 0;
  XWindowAttributes own;
  if (!size_of(x, x->parent, &width, &height) || !XGetWindowAttributes(x->display, x->window, &own)) {
    x->gone = true;
    return;
  }
  if (width != x->parent_width || height != x->parent_height) {
    x->parent_width  = width;
    x->parent_height = height;
    XResizeWindow(x->display, x->window, (unsigned)width, (unsigned)height);
  }
  x->viewable = own.map_state == IsViewable;
  if (!x->titled && x->viewable && x->polls++ % TITLE_EVERY == 0) {
    find_title(x);
  }
}

bool
fh_x11_idle(FhX11* const x)
{
  if (x->gone) {
    return false;
  }
  fh_x11_enter(x);
  while (!x->gone && XPending(x->display)) {
    XEvent event;
    XNextEvent(x->display, &event);
    fh_x11_event(x, &event);
  }
  if (x->kept_day != x->model.day) {
    x->kept_day = x->model.day;
    fh_settings_keep_day(x->kept_day); // Where it cannot be kept, this window still has it
  }
  if (!x->gone) {
    turn_page(x);
  }
  const bool hidden = !x->mapped || !x->viewable || x->obscured;
  if (!x->gone && ++x->calls >= (hidden ? POLL_EVERY_HIDDEN : POLL_EVERY)) {
    x->calls = 0;
    poll_parent(x);
  }
  fh_model_tick(&x->model, fh_x11_now());
  if (!x->gone && !hidden) {
    fh_x11_paint(x);
  }
  fh_x11_leave(x);
  return !x->gone;
}
