// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Eyes for a script that drives a window:
//
//   xeye find WIDTH HEIGHT          wait for a window of this size, print its place on the screen: X Y
//   xeye look X Y W H               print a number that stands for the pixels there
//   xeye where SYMBOL WIDTH HEIGHT  print where a control lies in a window of this size: X Y W H

#define _POSIX_C_SOURCE 200809L

#include "ui/layout.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <time.h>

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int
ignore_error(Display* const d, XErrorEvent* const error)
{
  (void)d;
  (void)error;
  return 0; // Windows come and go while we look
}

/// The last window of this size below `window`, in tree order
static Window
find(Display* const display, const Window window, const unsigned width, const unsigned height)
{
  XWindowAttributes a;
  Window            found = None;
  if (XGetWindowAttributes(display, window, &a) && a.width == (int)width && a.height == (int)height &&
      a.map_state == IsViewable) {
    found = window;
  }
  Window   root, parent, *children = NULL;
  unsigned count = 0;
  if (XQueryTree(display, window, &root, &parent, &children, &count)) {
    for (unsigned i = 0; i < count; ++i) {
      const Window below = find(display, children[i], width, height);
      found              = below ? below : found;
    }
    XFree(children);
  }
  return found;
}

static int
find_window(Display* const display, const unsigned width, const unsigned height)
{
  const Window root = DefaultRootWindow(display);
  for (int i = 0; i < 100; ++i) {
    const Window window = find(display, root, width, height);
    if (window) {
      int    x = 0, y = 0;
      Window child;
      XTranslateCoordinates(display, window, root, 0, 0, &x, &y, &child);
      printf("%d %d\n", x, y);
      return 0;
    }
    const struct timespec pause = {0, 100000000};
    nanosleep(&pause, NULL);
  }
  fprintf(stderr, "xeye: no window of %u by %u pixels\n", width, height);
  return 1;
}

static int
look(Display* const display, const int x, const int y, const unsigned w, const unsigned h)
{
  XImage* const image = XGetImage(display, DefaultRootWindow(display), x, y, w, h, AllPlanes, ZPixmap);
  if (!image) {
    fprintf(stderr, "xeye: nothing to see at %d %d\n", x, y);
    return 1;
  }
  uint64_t hash = 0xcbf29ce484222325u; // FNV-1a
  for (unsigned j = 0; j < h; ++j) {
    for (unsigned i = 0; i < w; ++i) {
      hash = (hash ^ XGetPixel(image, (int)i, (int)j)) * 0x100000001b3u;
    }
  }
  XDestroyImage(image);
  printf("%016llx\n", (unsigned long long)hash);
  return 0;
}

static int
where(const char* const symbol, const int width, const int height)
{
  const FhLayout layout = fh_layout(width, height);
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    if (fh_items[i].control != FH_NO_CONTROL && !strcmp(fh_controls[fh_items[i].control].symbol, symbol)) {
      const FhBox b = layout.items[i];
      const double s = layout.scale;
      printf("%.0f %.0f %.0f %.0f\n", b.x * s, b.y * s, b.w * s, b.h * s);
      return 0;
    }
  }
  fprintf(stderr, "xeye: no control is called %s\n", symbol);
  return 1;
}

int
main(const int argc, char** const argv)
{
  if (argc == 5 && !strcmp(argv[1], "where")) {
    return where(argv[2], atoi(argv[3]), atoi(argv[4]));
  }
  Display* const display = XOpenDisplay(NULL);
  if (!display) {
    fprintf(stderr, "xeye: no X display\n");
    return 1;
  }
  XSetErrorHandler(ignore_error);
  int status = 2;
  if (argc == 4 && !strcmp(argv[1], "find")) {
    status = find_window(display, (unsigned)atoi(argv[2]), (unsigned)atoi(argv[3]));
  } else if (argc == 6 && !strcmp(argv[1], "look")) {
    status = look(display, atoi(argv[2]), atoi(argv[3]), (unsigned)atoi(argv[4]), (unsigned)atoi(argv[5]));
  } else {
    fprintf(stderr, "usage: xeye find W H | look X Y W H | where SYMBOL W H\n");
  }
  XCloseDisplay(display);
  return status;
}
