// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A host no larger than the window needs: an X window, the bundle's UI binary, idle calls.
//
//   xhost UI churn N      open and close two windows N times; fails if files, memory or X resources pile up
//   xhost UI bare         all three plugins with no feature but the parent; fails if a window does not open and draw
//   xhost UI orphan       the parent dies first, in several ways; fails if that ends or hangs us
//   xhost UI hold SECONDS show a window, print what it writes and which keys it leaves to us
//   xhost UI cost SECONDS visible|hidden|large
//                         print the processor time of one window at 30 idle calls a second, music playing; fails
//                         beyond 3 % of a core, or 5 % at 3840 by 2160
//   xhost UI sleep        go out of sight in several ways; fails if anything is drawn or sent to the server, or if
//                         what the host sends costs time
//   xhost UI fit          the parent is resized and sends nothing on; fails if the window does not follow
//   xhost UI again        go out of sight and come back; fails if the window is then blank
//   xhost UI colours      a key for the day colours, and a second window; fails if they do not come, or are not kept
//   xhost UI pages        a small window; Tab goes round, and what has the focus is in sight
//   xhost UI freeze|title fails if the strip does not stand still and go on; if the track in a host's title is not shown
//   xhost UI scales       ask for scales by option and by desktop; fails if size and size hints do not fit them

#include "drawing.h"
#include "measure.h"
#include "session.h"
#include "shown.h"
#include "ui/palette.h"

#include <X11/Xatom.h>
#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <dlfcn.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int
churn(const LV2UI_Descriptor* const descriptor, const int times)
{
  enum { FRAMES = 8 };
  static FhFrame frames[FRAMES];
  session_fill(frames, FRAMES);
  int  files  = 0;
  long memory = 0;
  for (int i = 0; i < times; ++i) {
    const Shown a = show(descriptor, &fh_variants[i % 3], 960, 640);
    const Shown b = show(descriptor, &fh_variants[i % 3], 700 + i % 300, 500);
    for (int k = 0; k < 3; ++k) {
      feed(&a, &frames[k]);
      feed(&b, &frames[k]);
      if (a.idle->idle(a.handle) || b.idle->idle(b.handle)) {
        fail("idle says the window is closed");
      }
    }
    hide(i % 2 ? &a : &b);
    hide(i % 2 ? &b : &a);
    if (i == times / 5) { // Caches are warm
      files  = open_files();
      memory = resident();
    }
  }
  const long grown = resident() - memory;
  printf("%d times two windows: %d files before, %d after; memory grew by %ld KiB\n", times, files, open_files(), grown);
  if (open_files() > files) {
    fail("files stay open");
  }
#ifdef __SANITIZE_ADDRESS__
  return 0; // keeps what was freed for a while
#endif
  if (grown > 1024 + times * 4 / 10) { // 0.4 KiB a time would be a leak of its own; the rest is the allocator's
    fail("memory stays taken");
  }
  return 0;
}

static int
orphan(const LV2UI_Descriptor* const descriptor)
{
  FhFrame frame;
  session_fill(&frame, 1);
  for (int way = 0; way < 6; ++way) {
    const Shown s = show(descriptor, &fh_variants[0], 960, 640);
    feed(&s, &frame);
    for (int k = 0; k < 2 * (way % 3); ++k) {
      s.idle->idle(s.handle);
    }
    XDestroyWindow(display, s.parent);
    XSync(display, False);
    int closed = 0;
    for (int k = 0; k < 20 && way < 3; ++k) {
      closed = s.idle->idle(s.handle);
    }
    if (way < 3 && !closed) {
      fail("idle does not say that the window is gone");
    }
    descriptor->cleanup(s.handle);
  }
  const LV2_Feature        parent     = {LV2_UI__parent, (void*)(uintptr_t)0x7ffffff};
  const LV2_Feature* const features[] = {&parent, NULL};
  const LV2_Feature* const none[]     = {NULL};
  LV2UI_Widget             widget     = NULL;
  if (descriptor->instantiate(descriptor, FH_URI_SOLO, "", on_write, NULL, &widget, features) ||
      descriptor->instantiate(descriptor, FH_URI_SOLO, "", on_write, NULL, &widget, none) ||
      descriptor->instantiate(descriptor, FH_URI_SOLO, "", on_write, NULL, &widget, NULL) ||
      descriptor->instantiate(descriptor, "urn:other", "", on_write, NULL, &widget, features)) {
    fail("a window without parent or plugin opens");
  }
  return 0;
}

static int
cost(const LV2UI_Descriptor* const descriptor, const double seconds, const char* const how)
{
  enum { FRAMES = 1200 };
  static FhFrame frames[FRAMES];
  session_fill(frames, FRAMES);
  const int   large = !strcmp(how, "large");
  const Shown s     = show(descriptor, &fh_variants[0], 960, 640);
  if (large) {
    XResizeWindow(display, s.parent, 3840, 2160);
    XSync(display, False);
  }
  if (!strcmp(how, "hidden")) {
    XUnmapWindow(display, s.parent);
    XSync(display, False);
  }
  double start = 0.0, used = 0.0;
  long   calls = 0;
  for (int i = 0; i < (int)(30.0 * (seconds + 2.0)); ++i) {
    if (i == 60) { // Past the first drawing
      start = wall_seconds();
      used  = used_seconds();
      calls = 0;
    }
    feed(&s, &frames[i % FRAMES]);
    s.idle->idle(s.handle);
    ++calls;
    pause_for(1.0 / 30.0);
  }
  unsigned     w = 0, h = 0;
  const double passed = wall_seconds() - start;
  inner_window(display, s.parent, &w, &h);
  if (large && (w != 3840 || h != 2160)) {
    fail("the window does not follow its parent");
  }
  const double busy   = used_seconds() - used;
  printf("%s: %.2f %% of one core at %.1f idle calls a second\n", how, 100.0 * busy / passed,
         (double)calls / passed);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
  if (busy > (large ? 0.05 : 0.03) * passed) {
    fail("that is too much");
  }
#endif
  hide(&s);
  return 0;
}

/// Nothing but a parent, and idle calls
static int
bare(const LV2UI_Descriptor* const descriptor)
{
  FhFrame frame;
  session_fill(&frame, 1);
  for (size_t i = 0; i < FH_VARIANT_COUNT; ++i) {
    Shown s  = {.descriptor = descriptor, .variant = &fh_variants[i]};
    s.parent = XCreateSimpleWindow(display, DefaultRootWindow(display), 0, 0, 960, 640, 0, 0, 0);
    XMapWindow(display, s.parent);
    XSync(display, False);
    const LV2_Feature        parent     = {LV2_UI__parent, (void*)(uintptr_t)s.parent};
    const LV2_Feature* const features[] = {&parent, NULL};
    LV2UI_Widget             widget     = NULL;
    s.handle = descriptor->instantiate(descriptor, s.variant->uri, "", on_write, NULL, &widget, features);
    s.idle   = (const LV2UI_Idle_Interface*)descriptor->extension_data(LV2_UI__idleInterface);
    if (!s.handle || !widget || !s.idle) {
      fail("the window needs more than a parent and idle calls");
    }
    for (int k = 0; k < 10; ++k) {
      feed(&s, &frame);
      if (s.idle->idle(s.handle)) {
        fail("idle says the window is closed");
      }
    }
    if (corner_pixel(display, s.parent) != fh_night.rgb[FH_INK_GROUND]) {
      fail("the window stays blank");
    }
    hide(&s);
  }
  return 0;
}

static int
fit(const LV2UI_Descriptor* const descriptor)
{
  const Shown s = show(descriptor, &fh_variants[2], 960, 640);
  for (int k = 0; k < 10; ++k) {
    s.idle->idle(s.handle);
  }
  XResizeWindow(display, s.parent, 1300, 900);
  XSync(display, False);
  for (int k = 0; k < 20; ++k) {
    s.idle->idle(s.handle);
  }
  unsigned w = 0, h = 0;
  inner_window(display, s.parent, &w, &h);
  if (w != 1300 || h != 900) {
    fail("the window does not follow its parent");
  }
  hide(&s);
  return 0;
}

static int
again(const LV2UI_Descriptor* const descriptor)
{
  FhFrame frame;
  session_fill(&frame, 1);
  const Shown s = show(descriptor, &fh_variants[0], 960, 640);
  for (int round = 0; round < 3; ++round) {
    XUnmapWindow(display, s.parent);
    XSync(display, False);
    for (int k = 0; k < 30; ++k) {
      feed(&s, &frame);
      s.idle->idle(s.handle);
    }
    XMapWindow(display, s.parent);
    XSync(display, False);
    for (int k = 0; k < 3; ++k) {
      s.idle->idle(s.handle);
    }
    if (corner_pixel(display, s.parent) != fh_night.rgb[FH_INK_GROUND]) {
      fail("the window stays blank after it was out of sight");
    }
  }
  hide(&s);
  return 0;
}

static void
check_scale(const LV2UI_Descriptor* const descriptor, const float asked, const unsigned width, const unsigned height)
{
  const Shown  s = show_scaled(descriptor, &fh_variants[1], 100, 100, asked);
  unsigned     w = 0, h = 0;
  const Window window = inner_window(display, s.parent, &w, &h);
  XSizeHints   hints;
  long         supplied = 0;
  if (w != width || h != height) {
    fail("the window has not the size its scale asks for");
  }
  if (!XGetWMNormalHints(display, window, &hints, &supplied) || !(hints.flags & PMinSize) || !(hints.flags & PBaseSize) ||
      !(hints.flags & PSize) || hints.base_width != (int)width || 2 * hints.min_width > (int)width) {
    fail("the size hints are not there when instantiate returns");
  }
  hide(&s);
}

static int
scales(const LV2UI_Descriptor* const descriptor)
{
  check_scale(descriptor, 1.0f, 960, 640);
  check_scale(descriptor, 2.0f, 1920, 1280);
  check_scale(descriptor, 3.0f, 2880, 1920);
  check_scale(descriptor, 0.0f, 960, 640); // Nothing asked, nothing known of the desktop
  const char resources[] = "Xft.dpi:\t144\n";
  XChangeProperty(display, DefaultRootWindow(display), XA_RESOURCE_MANAGER, XA_STRING, 8, PropModeReplace,
                  (const unsigned char*)resources, sizeof(resources) - 1);
  XSync(display, False);
  check_scale(descriptor, 0.0f, 1440, 960);
  return 0;
}

static int
hold(const LV2UI_Descriptor* const descriptor, const double seconds)
{
  enum { FRAMES = 600 };
  static FhFrame frames[FRAMES];
  session_fill(frames, FRAMES);
  const Shown s = show(descriptor, &fh_variants[0], 960, 640);
  XSelectInput(display, s.parent, KeyPressMask);
  for (int i = 0; i < (int)(30.0 * seconds); ++i) {
    feed(&s, &frames[i % FRAMES]);
    if (s.idle->idle(s.handle)) {
      break;
    }
    while (XPending(display)) {
      XEvent event;
      XNextEvent(display, &event);
      if (event.type == KeyPress) {
        printf("key %s\n", XKeysymToString(XLookupKeysym(&event.xkey, 0)));
        fflush(stdout);
      }
    }
    pause_for(1.0 / 30.0);
  }
  hide(&s);
  return 0;
}

/// Go out of sight one way
static void
cover(const Shown* const s, const Window above, const int way)
{
  if (way == 0) {
    XUnmapWindow(display, s->parent);
  } else if (way == 1) {
    XUnmapWindow(display, above); // The window hears nothing of it
  } else {
    unsigned     w = 0, h = 0;
    XSetWindowAttributes attributes = {.override_redirect = True};
    inner_window(display, s->parent, &w, &h);
    const Window lid = XCreateWindow(display, DefaultRootWindow(display), 0, 0, w + 100, h + 100, 0, CopyFromParent,
                                     InputOutput, CopyFromParent, CWOverrideRedirect, &attributes);
    XMapRaised(display, lid);
  }
  XSync(display, False);
}

static int
sleeping(const LV2UI_Descriptor* const descriptor)
{
  enum { FRAMES = 600, NOTICE = 8, ROUNDS = 400 };
  static FhFrame frames[FRAMES];
  session_fill(frames, FRAMES);
  for (int way = 0; way < 3; ++way) {
    const Shown  s     = show(descriptor, &fh_variants[0], 960, 640);
    const Window above = XCreateSimpleWindow(display, DefaultRootWindow(display), 0, 0, 960, 640, 0, 0, 0);
    XReparentWindow(display, s.parent, above, 0, 0);
    XMapWindow(display, above);
    XMapWindow(display, s.parent);
    XSync(display, False);
    const Drawing start = drawing_so_far();
    for (int i = 0; i < 10; ++i) {
      feed(&s, &frames[i]);
      s.idle->idle(s.handle);
      pause_for(0.03);
    }
    const Drawing seen = drawing_so_far();
    if (seen.shapes - start.shapes < 100 || seen.sent - start.sent < 10) {
      fail("a window in sight does not draw, or its drawing is not counted");
    }
    cover(&s, above, way);
    for (int i = 0; i < NOTICE; ++i) { // It looks after its parents now and then
      s.idle->idle(s.handle);
    }
    const Drawing before = drawing_so_far();
    const double  used   = used_seconds();
    for (int i = 0; i < ROUNDS; ++i) {
      feed(&s, &frames[i]);
      s.idle->idle(s.handle);
    }
    const double  each  = 1e6 * (used_seconds() - used) / ROUNDS;
    const Drawing after = drawing_so_far();
    printf("way %d: %ld shapes, %ld sent while hidden; %.1f us for all ports and an idle call\n", way,
           after.shapes - before.shapes, after.sent - before.sent, each);
    if (after.shapes != before.shapes || after.sent != before.sent) {
      fail("a window out of sight draws");
    }
    if (each > 100.0) { // 0.3 % of a core at 30 a second
      fail("a window out of sight costs time");
    }
    hide(&s);
  }
  return 0;
}

int
main(const int argc, char** const argv)
{
  if (argc < 3) {
    fail("usage: xhost UI.so churn|orphan|hold|cost|fit ...");
  }
  display            = XOpenDisplay(NULL);
  void* const binary = dlopen(argv[1], RTLD_NOW);
  if (!display || !binary) {
    fail(display ? dlerror() : "no X display");
  }
  XSetErrorHandler(refuse_error);
  LV2UI_DescriptorFunction get = NULL;
  *(void**)&get                = dlsym(binary, "lv2ui_descriptor");
  const LV2UI_Descriptor* const descriptor = get ? get(0) : NULL;
  if (!descriptor || get(1) || strcmp(descriptor->URI, FH_URI_UI)) {
    fail("no such UI in the binary");
  }
  const double amount = argc > 3 ? atof(argv[3]) : 0.0;
  const int    status = !strcmp(argv[2], "churn")    ? churn(descriptor, (int)amount)
                        : !strcmp(argv[2], "orphan") ? orphan(descriptor)
                        : !strcmp(argv[2], "bare")   ? bare(descriptor)
                        : !strcmp(argv[2], "fit")    ? fit(descriptor)
                        : !strcmp(argv[2], "again")  ? again(descriptor)
                        : !strcmp(argv[2], "colours") ? colours(descriptor)
                        : !strcmp(argv[2], "pages") ? pages(descriptor)
                        : !strcmp(argv[2], "freeze") ? freeze(descriptor)
                        : !strcmp(argv[2], "title") ? title(descriptor)
                        : !strcmp(argv[2], "scales") ? scales(descriptor)
                        : !strcmp(argv[2], "sleep")  ? sleeping(descriptor)
                        : !strcmp(argv[2], "hold")   ? hold(descriptor, amount)
                        : !strcmp(argv[2], "cost") ? cost(descriptor, amount, argc > 4 ? argv[4] : "visible")
                                                   : 2;
  XCloseDisplay(display);
  return status;
}
