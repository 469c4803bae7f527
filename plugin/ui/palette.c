// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/palette.h"

const FhPalette fh_day = {{
  [FH_INK_GROUND] = 0xffffff,
  [FH_INK_PANEL]  = 0xf4f6f8,
  [FH_INK_GRID]   = 0xd3dae1,
  [FH_INK_TEXT]   = 0x16222e,
  [FH_INK_DIM]    = 0x4b5b69,
  [FH_INK_EDGE]   = 0x6d7c8a,
  [FH_INK_CLOSE]  = 0x0a5c91,
  [FH_INK_PICKUP] = 0x75669f,
  [FH_INK_LINE]   = 0xa04f00,
  [FH_INK_OPEN]   = 0x14713f,
  [FH_INK_FAULT]  = 0xb3261e,
}};

const FhPalette fh_night = {{
  [FH_INK_GROUND] = 0x0f151c,
  [FH_INK_PANEL]  = 0x18212b,
  [FH_INK_GRID]   = 0x2c3946,
  [FH_INK_TEXT]   = 0xeaf0f5,
  [FH_INK_DIM]    = 0xa9b8c6,
  [FH_INK_EDGE]   = 0x7c8d9d,
  [FH_INK_CLOSE]  = 0x7ccbf5,
  [FH_INK_PICKUP] = 0xa79bd3,
  [FH_INK_LINE]   = 0xffc45c,
  [FH_INK_OPEN]   = 0x63d391,
  [FH_INK_FAULT]  = 0xff9180,
}};
