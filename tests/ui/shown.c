// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "shown.h"

#include "measure.h"
#include "session.h"
#include "ui/layout.h"
#include "ui/palette.h"

#include <X11/Xutil.h>
#include <X11/keysym.h>
#include <lv2/atom/atom.h>
#include <lv2/options/options.h>
#include <lv2/urid/urid.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

Display* display;

int
refuse_error(Display* const d, XErrorEvent* const error)
{
  (void)d;
  fprintf(stderr, "xhost: an X error reached the host: code %d, request %d\n", error->error_code, error->request_code);
  exit(1);
}

void
fail(const char* const what)
{
  fprintf(stderr, "xhost: %s\n", what);
  exit(1);
}

void
on_write(LV2UI_Controller controller, uint32_t port, uint32_t size, uint32_t format, const void* buffer)
{
  const FhVariant* const variant = (const FhVariant*)controller;
  const uint32_t         control = port - fh_first_control(variant);
  if (format || size != sizeof(float) || control >= FH_CONTROL_COUNT || fh_controls[control].flow != FH_INPUT) {
    fail("the window writes to what is no control input");
  }
  printf("write %s = %g\n", fh_controls[control].symbol, (double)*(const float*)buffer);
  fflush(stdout);
}

static void
on_touch(const LV2UI_Feature_Handle handle, const uint32_t port, const bool grabbed)
{
  const FhVariant* const variant = (const FhVariant*)handle;
  printf("touch %s %d\n", fh_controls[port - fh_first_control(variant)].symbol, (int)grabbed);
  fflush(stdout);
}

static LV2_URID
map(const LV2_URID_Map_Handle handle, const char* const uri)
{
  (void)handle;
  return !strcmp(uri, LV2_UI__scaleFactor) ? 1 : !strcmp(uri, LV2_ATOM__Float) ? 2 : 3;
}

Shown
show_scaled(const LV2UI_Descriptor* const descriptor,
            const FhVariant* const        variant,
            const int                     width,
            const int                     height,
            const float                   scale)
{
  Shown s  = {.descriptor = descriptor, .variant = variant};
  s.parent = XCreateSimpleWindow(display, DefaultRootWindow(display), 0, 0, (unsigned)width, (unsigned)height, 0, 0, 0);
  XMapWindow(display, s.parent);
  XSync(display, False);
  const LV2_Feature        parent     = {LV2_UI__parent, (void*)(uintptr_t)s.parent};
  const LV2_Feature        idle       = {LV2_UI__idleInterface, NULL};
  static LV2UI_Touch       touching;
  touching                            = (LV2UI_Touch){(void*)(uintptr_t)variant, on_touch};
  const LV2_Feature        touch      = {LV2_UI__touch, &touching};
  const LV2_Options_Option options[]  = {{LV2_OPTIONS_INSTANCE, 0, 1, sizeof(float), 2, &scale}, {0, 0, 0, 0, 0, NULL}};
  LV2_URID_Map             mapping    = {NULL, map};
  const LV2_Feature        mapped     = {LV2_URID__map, &mapping};
  const LV2_Feature        optional   = {LV2_OPTIONS__options, (void*)(uintptr_t)options};
  // Without a scale to ask for, no more than a plain host gives
  const LV2_Feature* const features[] = {&parent, &idle, &touch, scale > 0.0f ? &mapped : NULL, &optional, NULL};
  LV2UI_Widget             widget     = NULL;
  s.handle = descriptor->instantiate(descriptor, variant->uri, "", on_write, (void*)(uintptr_t)variant, &widget, features);
  s.idle   = (const LV2UI_Idle_Interface*)descriptor->extension_data(LV2_UI__idleInterface);
  if (!s.handle || !widget || !s.idle) {
    fail("the window does not open");
  }
  return s;
}

Shown
show(const LV2UI_Descriptor* const descriptor, const FhVariant* const variant, const int width, const int height)
{
  return show_scaled(descriptor, variant, width, height, 0.0f);
}

void
feed(const Shown* const s, const FhFrame* const frame)
{
  for (uint32_t c = 0; c < FH_CONTROL_COUNT; ++c) {
    if (fh_controls[c].flow != FH_INPUT) {
      s->descriptor->port_event(s->handle, fh_first_control(s->variant) + c, sizeof(float), 0, &frame->v[c]);
    }
  }
}

void
hide(const Shown* const s)
{
  s->descriptor->cleanup(s->handle);
  XDestroyWindow(display, s->parent);
  XSync(display, False);
}

static void
send_key(const Shown* const s, const KeySym symbol)
{
  unsigned  w = 0, h = 0;
  XKeyEvent key   = {.type = KeyPress, .display = display, .window = inner_window(display, s->parent, &w, &h)};
  key.root        = DefaultRootWindow(display);
  key.same_screen = True;
  key.keycode     = XKeysymToKeycode(display, symbol);
  XSendEvent(display, key.window, False, KeyPressMask, (XEvent*)&key);
  XSync(display, False);
}

/// Colour of the inner window in units of a layout at scale 1
static unsigned long
colour_at(const Shown* const s, const double x, const double y)
{
  unsigned            w = 0, h = 0;
  const Window        window = inner_window(display, s->parent, &w, &h);
  XImage* const       image  = XGetImage(display, window, (int)x, (int)y, 1, 1, AllPlanes, ZPixmap);
  const unsigned long rgb    = image ? XGetPixel(image, 0, 0) & 0xffffff : 0;
  if (image) {
    XDestroyImage(image);
  }
  return rgb;
}

int
pages(const LV2UI_Descriptor* const descriptor)
{
  const Shown    s    = show(descriptor, &fh_variants[0], 960, 640);
  const FhLayout l    = fh_layout(480, 320);
  const int      tabs = FH_ITEM_COUNT - 1;
  XResizeWindow(display, s.parent, 480, 320);
  XSync(display, False);
  for (int k = 0; k < 20; ++k) {
    s.idle->idle(s.handle);
  }
  for (int item = 0; item < FH_ITEM_COUNT; ++item) {
    send_key(&s, XK_Tab);
    for (int k = 0; k < 8; ++k) {
      s.idle->idle(s.handle);
    }
    const int page = l.item_page[item];
    for (int p = 0; p < l.pages && page != FH_EVERY_PAGE; ++p) {
      const FhBox box = fh_layout_segment(&l, tabs, p);
      const bool  lit = colour_at(&s, box.x + 12.0, box.y + 8.0) == fh_night.rgb[FH_INK_CLOSE];
      if (lit != (p == page)) {
        fail("the page of what has the focus is not turned up");
      }
    }
  }
  hide(&s);
  return 0;
}

int
colours(const LV2UI_Descriptor* const descriptor)
{
  for (int round = 0; round < 2; ++round) {
    const Shown s = show(descriptor, &fh_variants[0], 960, 640);
    if (!round) {
      send_key(&s, XK_F9);
    }
    for (int k = 0; k < 4; ++k) {
      s.idle->idle(s.handle);
    }
    if (corner_pixel(display, s.parent) != fh_day.rgb[FH_INK_GROUND]) {
      fail(round ? "the next window forgot the colours" : "the key does not change the colours");
    }
    hide(&s);
  }
  return 0;
}

/// A sum over the pixels of a box at scale 1
static unsigned long
sum_of(const Shown* const s, const FhBox box)
{
  unsigned      w = 0, h = 0;
  XImage* const image = XGetImage(display, inner_window(display, s->parent, &w, &h), (int)box.x, (int)box.y, (unsigned)box.w,
                                  (unsigned)box.h, AllPlanes, ZPixmap);
  unsigned long sum   = 0;
  for (int y = 0; image && y < image->height; ++y) {
    for (int x = 0; x < image->width; ++x) {
      sum = 31 * sum + (XGetPixel(image, x, y) & 0xffffff);
    }
  }
  if (image) {
    XDestroyImage(image);
  }
  return sum;
}

/// The same over the strip, after some frames
static unsigned long
strip_after(const Shown* const s, FhFrame* const frame, const float level)
{
  for (int k = 0; k < 8; ++k) {
    frame->v[FH_EXCESS] = level - frame->v[FH_PICKUP_LEVEL] - (float)(k % 3);
    feed(s, frame);
    s->idle->idle(s->handle);
    pause_for(0.03);
  }
  return sum_of(s, fh_layout(960, 640).levels);
}

int
freeze(const LV2UI_Descriptor* const descriptor)
{
  FhFrame frame;
  session_fill(&frame, 1);
  const Shown s = show(descriptor, &fh_variants[0], 960, 640);
  const unsigned long before = strip_after(&s, &frame, -20.0f);
  if (strip_after(&s, &frame, -25.0f) == before) {
    fail("the strip does not move");
  }
  send_key(&s, XK_F8);
  const unsigned long still = strip_after(&s, &frame, -30.0f);
  if (strip_after(&s, &frame, -15.0f) != still) {
    fail("a frozen strip moves");
  }
  XWarpPointer(display, None, s.parent, 0, 0, 0, 0, 300, 180);
  XSync(display, False);
  const unsigned long pointed = strip_after(&s, &frame, -15.0f);
  if (pointed == still || strip_after(&s, &frame, -35.0f) != pointed) {
    fail("the place under the pointer is not drawn, or moves");
  }
  XWarpPointer(display, None, s.parent, 0, 0, 0, 0, 300, 620);
  XSync(display, False);
  if (strip_after(&s, &frame, -15.0f) != still) {
    fail("the place stays when the pointer leaves");
  }
  send_key(&s, XK_F8);
  if (strip_after(&s, &frame, -15.0f) == still) {
    fail("the strip does not go on");
  }
  hide(&s);
  return 0;
}

int
title(const LV2UI_Descriptor* const descriptor)
{
  unsigned long sums[3];
  for (int i = 0; i < 3; ++i) {
    const Window outer = XCreateSimpleWindow(display, DefaultRootWindow(display), 0, 0, 960, 640, 0, 0, 0);
    const Shown  s     = show(descriptor, &fh_variants[0], 960, 640);
    XStoreName(display, s.parent, "host"); // A toolkit's own name for what nobody named
    XStoreName(display, outer, i == 2 ? "Cadence: Fronthash Solo (LV2)" : i ? "Fronthash Solo" : "");
    XReparentWindow(display, s.parent, outer, 0, 0);
    XMapWindow(display, outer);
    XMapWindow(display, s.parent);
    XSync(display, False);
    for (int k = 0; k < 20; ++k) {
      s.idle->idle(s.handle);
    }
    sums[i] = sum_of(&s, fh_layout(960, 640).help);
    hide(&s);
    XDestroyWindow(display, outer);
  }
  if (sums[0] != sums[1] || sums[1] == sums[2]) {
    fail("the track in the title of the host's window is not shown, or another name is");
  }
  return 0;
}
