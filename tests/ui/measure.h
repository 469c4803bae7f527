// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file measure.h
/// Time and resources of this process, and what lies in a parent window. Exits with a line on stderr if it cannot tell.

#ifndef FRONTHASH_TESTS_UI_MEASURE_H
#define FRONTHASH_TESTS_UI_MEASURE_H

#include <X11/Xlib.h>

void pause_for(double seconds);

/// Seconds on a clock that never goes back, and of processor time used
double wall_seconds(void);
double used_seconds(void);

/// Entries of /proc/self/fd
int open_files(void);

/// Resident memory, KiB
long resident(void);

/// The one window in a parent, and its size in pixels
Window inner_window(Display* display, Window parent, unsigned* w, unsigned* h);

/// Colour near its corner, where nothing but its ground is, 0xRRGGBB
unsigned long corner_pixel(Display* display, Window parent);

#endif
