// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file edit.h
/// How pointer and keys change values. Knows no window system. Thread: UI.
///
/// Pointer: drag right or up for more, with shift ten times finer; a double click gives the default; the wheel
/// steps. Keys: Tab and Shift-Tab move; arrows step, Page keys ten at once, Home and End to the ends, Delete to the
/// default; figures type a value, Enter takes it, Escape drops it, and a second Escape gives all keys back to the
/// host. Space and letters are never used: they are the host's.

#ifndef FRONTHASH_UI_EDIT_H
#define FRONTHASH_UI_EDIT_H

#include "ui/model.h"

#include <stdbool.h>

typedef enum {
  FH_KEY_TAB,
  FH_KEY_BACK_TAB,
  FH_KEY_MORE, ///< Up or right
  FH_KEY_LESS, ///< Down or left
  FH_KEY_PAGE_MORE,
  FH_KEY_PAGE_LESS,
  FH_KEY_HOME,
  FH_KEY_END,
  FH_KEY_ENTER,
  FH_KEY_ESCAPE,
  FH_KEY_RUBOUT,  ///< Backspace
  FH_KEY_DEFAULT, ///< Delete
  FH_KEY_UNDO,    ///< Control and Z
  FH_KEY_REDO,    ///< Control, Shift and Z, or Control and Y
  FH_KEY_FREEZE,  ///< F8: let the strip stand still
  FH_KEY_COLOURS, ///< F9: day or dark
  FH_KEY_TEXT     ///< A character
} FhKey;

/// @param text The character of FH_KEY_TEXT
/// @param fine Shift is held
/// @return true if the key was used; else it belongs to the host
bool fh_edit_key(FhModel* model, FhKey key, char text, bool fine);

/// Button 1 pressed on an item or beside all (FH_NO_ITEM), at a place in units
/// @param point For choices: the one under the pointer
void fh_edit_press(FhModel* model, int item, int point, double x, double y);
void fh_edit_release(FhModel* model);

/// Pointer moved; `item` is the one under it, `width` the width of the held one in units
void fh_edit_move(FhModel* model, int item, double x, double y, double width, bool fine);

/// Wheel turned over a value; up is positive. Nothing else moves by the wheel: it is too easily brushed
void fh_edit_wheel(FhModel* model, int item, int steps, bool fine);

/// Read what a person typed: figures with point or comma, a sign, and "k", "s", "ms", "Hz", "kHz" or "dB" behind.
/// @return false if it is no number, or its unit does not fit the port
bool fh_edit_parse(FhControl control, const char* text, float* value);

#endif
