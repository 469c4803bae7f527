// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file window.h
/// Drawing of the live window in parts, so that only what changed is drawn again. Knows no window system.
///
/// A part's sign is a number that changes when what it shows would change; whoever owns the pixels keeps the last
/// sign of each part and draws those that differ. The strip is no part: see live.h. Thread: UI.

#ifndef FRONTHASH_UI_WINDOW_H
#define FRONTHASH_UI_WINDOW_H

#include "ui/layout.h"
#include "ui/model.h"
#include "ui/pen.h"

#include <stdint.h>

enum {
  FH_PART_STATE,
  FH_PART_SEPARATION,
  FH_PART_FAULT,
  FH_PART_LEARNT,
  FH_PART_HELP,
  FH_PART_LOOK,  ///< Line over the strip
  FH_PART_TIMES, ///< Line under it
  FH_PART_BAND, ///< The first band; the others follow
  FH_PART_ITEM  = FH_PART_BAND + FH_BANDS, ///< The first item; the others follow
  FH_PART_COUNT = FH_PART_ITEM + FH_ITEM_COUNT
};

FhBox    fh_part_box(const FhLayout* layout, int part);
uint64_t fh_part_sign(const FhModel* model, int part);

/// Draw a part with its ground
void fh_part_draw(const FhPen* pen, const FhLayout* layout, const FhModel* model, int part);

/// Draw what never changes: ground, headings, level axes
void fh_window_ground(const FhPen* pen, const FhLayout* layout);

/// Draw everything, strip included, from the model's history, on a context of layout->pixel_width times pixel_height
/// pixels at scale 1. `note` (may be NULL) hears of each text.
/// @return 0, or ENOMEM
int fh_window_draw(cairo_t* cr, const FhLayout* layout, const FhModel* model, FhTextNote note, void* note_data);

// Parts, for window.c

/// Is the gate open without a reason, until the field was heard?
bool fh_left_open(const FhModel* model);
void fh_draw_state(const FhPen* pen, FhBox box, const FhModel* model);
void fh_draw_separation(const FhPen* pen, FhBox box, const FhModel* model);
void fh_draw_fault(const FhPen* pen, FhBox box, const FhModel* model);
void fh_draw_bands_ground(const FhPen* pen, const FhLayout* layout);
void fh_draw_band(const FhPen* pen, const FhLayout* layout, const FhModel* model, int band);
/// The sentence on what is being learnt, or known. @return true if it is a step of a Learn
bool fh_learnt_text(const FhModel* model, char* text, size_t size);
void fh_draw_learnt(const FhPen* pen, FhBox box, const FhModel* model);
/// What the traces are, or what is looked at
void fh_draw_look(const FhPen* pen, FhBox box, const FhModel* model);
void fh_draw_times(const FhPen* pen, FhBox box, const FhModel* model);
/// Heads and level axes of the strip
void fh_draw_strip_ground(const FhPen* pen, const FhLayout* layout);
/// The place that is looked at, over strip and gains
void fh_draw_place(const FhPen* pen, const FhLayout* layout, double x);
void fh_draw_help(const FhPen* pen, FhBox box, const FhModel* model);
void fh_draw_item(const FhPen* pen, const FhLayout* layout, const FhModel* model, int item);

#endif
