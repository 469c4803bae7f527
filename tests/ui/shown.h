// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file shown.h
/// A window of the bundle's UI binary inside a window of ours. What goes wrong ends the process with a line on stderr.

#ifndef FRONTHASH_TESTS_UI_SHOWN_H
#define FRONTHASH_TESTS_UI_SHOWN_H

#include "ports.h"
#include "ui/view.h"

#include <X11/Xlib.h>
#include <lv2/ui/ui.h>

#include <stdint.h>

typedef struct {
  const LV2UI_Descriptor*     descriptor;
  const LV2UI_Idle_Interface* idle;
  LV2UI_Handle                handle;
  Window                      parent;
  const FhVariant*            variant;
} Shown;

extern Display* display; ///< Ours, not the window's

/// Say what is wrong and end
void fail(const char* what);

/// Takes no X error: a handler for XSetErrorHandler()
int refuse_error(Display* d, XErrorEvent* error);

/// The host's side of writing; prints each write. `controller` is the variant.
void on_write(LV2UI_Controller controller, uint32_t port, uint32_t size, uint32_t format, const void* buffer);

/// Open a window in a parent of this size; a scale of 0 asks for none
Shown show_scaled(const LV2UI_Descriptor* descriptor, const FhVariant* variant, int width, int height, float scale);
Shown show(const LV2UI_Descriptor* descriptor, const FhVariant* variant, int width, int height);

/// Send all outputs of a frame, as a host does
void feed(const Shown* s, const FhFrame* frame);

/// Close it, and the parent
void hide(const Shown* s);

/// One key changes the colours, and the next window has them from the start; 0 if so, else it ends
int colours(const LV2UI_Descriptor* descriptor);

/// In a small window the page of what has the focus comes up; 0 if so, else it ends
int pages(const LV2UI_Descriptor* descriptor);

/// A frozen strip stands still, a pointer's place is drawn over it, and it goes on; 0 if so, else it ends
int freeze(const LV2UI_Descriptor* descriptor);

/// The track is found in the title of the host's window; 0 if so, else it ends
int title(const LV2UI_Descriptor* descriptor);

#endif
