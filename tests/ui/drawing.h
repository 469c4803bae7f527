// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file drawing.h
/// Counts what a UI binary draws: this program's own cairo and Xlib functions stand before the libraries', count, and
/// hand on. The program must export its symbols.

#ifndef FRONTHASH_TESTS_UI_DRAWING_H
#define FRONTHASH_TESTS_UI_DRAWING_H

typedef struct {
  long shapes; ///< Fills, strokes and texts
  long sent;   ///< Images and copies sent to the X server
} Drawing;

Drawing drawing_so_far(void);

#endif
