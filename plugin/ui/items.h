// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file items.h
/// Everything in the window that can be worked, in the order in which Tab reaches it. Constants, any thread.

#ifndef FRONTHASH_UI_ITEMS_H
#define FRONTHASH_UI_ITEMS_H

#include "ports.h"

#include <stdbool.h>

typedef enum {
  FH_ITEM_SWITCH, ///< Turns a toggle over
  FH_ITEM_LEARN,  ///< Starts and stops one kind of learning
  FH_ITEM_CLEAR,  ///< Forgets what was learnt; asks twice
  FH_ITEM_CHOICE, ///< One of several named points
  FH_ITEM_VALUE,  ///< A figure with a unit
  FH_ITEM_COLOURS, ///< Day or dark; a matter of the window alone
  FH_ITEM_FREEZE,  ///< Lets the strip stand still, to look back
  FH_ITEM_UNDO,    ///< Takes the last edit back
  FH_ITEM_REDO,    ///< Does it again
  FH_ITEM_SETS,    ///< Turns between two sets of values, A and B
  FH_ITEM_PAGES,   ///< Which page is shown, where there are several
} FhItemKind;

#define FH_NO_CONTROL FH_CONTROL_COUNT ///< Of items that work the window, not the plugin

/// One item; a place in the grid of values is a group and a row in it
typedef struct {
  FhControl   control; ///< Or FH_NO_CONTROL
  FhItemKind  kind;
  int         choice; ///< FH_ITEM_LEARN: the FhLearn it starts
  int         group;  ///< Index into fh_groups, -1 for the row of buttons, -2 for the heads of pages, -3 for the buttons beside the help
  const char* help;   ///< What it does, in one line
} FhItem;

#define FH_GROUPS 5
#define FH_GROUP_ROWS 4
#define FH_ITEM_COUNT 28

extern const char* const fh_groups[FH_GROUPS];
extern const FhItem      fh_items[FH_ITEM_COUNT];

/// Nearest value a port accepts: clamped, whole where it is a choice; not finite gives the default
float fh_clamp(FhControl control, float value);

/// Where a value lies in its range, 0..1, on the scale it is shown on, and back
double fh_to_part(FhControl control, float value);
float  fh_from_part(FhControl control, double part);

/// One turn of the wheel or press of an arrow: `steps` coarse or fine steps away, clamped
float fh_stepped(FhControl control, float value, int steps, bool fine);

/// Nearest value worth showing: three figures on a logarithmic scale, a fine step on a linear one
float fh_rounded(FhControl control, float value);

#endif
