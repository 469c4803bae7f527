// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file palette.h
/// The two sets of colours: day (bright light, paper, pictures) and night.
///
/// Every text role reaches 4.5:1 and every line or symbol 3:1 on both grounds of its set (WCAG 2.1, success
/// criteria 1.4.3 and 1.4.11); a test computes it. The day set does so under a veil of sunlight as well, as far as a
/// screen can: with 150 cd/m2 on a screen of 300, black on white is 3.0:1, and every mark of the day set keeps 2.5:1
/// of that; on a screen of 900 each has 4.5:1. In both, marks stay 20 (CIE 1976) apart in three kinds of colour blindness. No colour carries a meaning alone: each has a word, a line style
/// or a hatch beside it. Thread: constants, any thread.

#ifndef FRONTHASH_UI_PALETTE_H
#define FRONTHASH_UI_PALETTE_H

#include <stdint.h>

typedef enum {
  FH_INK_GROUND, ///< Behind everything
  FH_INK_PANEL,  ///< Behind lanes, fields and buttons
  FH_INK_GRID,   ///< Scale lines; decoration, no contrast asked
  FH_INK_TEXT,   ///< Words and figures
  FH_INK_DIM,    ///< Lesser words
  FH_INK_EDGE,   ///< Outline of anything that can be worked
  FH_INK_CLOSE,  ///< Close microphone
  FH_INK_PICKUP, ///< Predicted pickup of the field
  FH_INK_LINE,   ///< Opening line and margin
  FH_INK_OPEN,   ///< Gate open, good
  FH_INK_FAULT,  ///< Fault, muted
  FH_INK_COUNT
} FhInk;

/// Colours as 0xRRGGBB, sRGB
typedef struct {
  uint32_t rgb[FH_INK_COUNT];
} FhPalette;

extern const FhPalette fh_day;
extern const FhPalette fh_night;

#endif
