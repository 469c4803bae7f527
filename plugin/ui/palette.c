// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/palette.h"

const FhPalette fh_day = {{
  [FH_INK_GROUND] = 0xffffff,
  [FH_INK_PANEL]  = 0xfbfcfd,
  [FH_INK_GRID]   = 0xd3dae1,
  [FH_INK_TEXT]   = 0x080c10,
  [FH_INK_DIM]    = 0x2b3641,
  [FH_INK_EDGE]   = 0x38434d,
  [FH_INK_CLOSE]  = 0x0000ff,
  [FH_INK_PICKUP] = 0x6e00c8,
  [FH_INK_LINE]   = 0x8f3000,
  [FH_INK_OPEN]   = 0x005c3b,
  [FH_INK_FAULT]  = 0x570d00,
}};

const FhPalette fh_night = {{
  [FH_INK_GROUND] = 0x0f151c,
  [FH_INK_PANEL]  = 0x18212b,
  [FH_INK_GRID]   = 0x2c3946,
  [FH_INK_TEXT]   = 0xeaf0f5,
  [FH_INK_DIM]    = 0xa9b8c6,
  [FH_INK_EDGE]   = 0x7c8d9d,
  [FH_INK_CLOSE]  = 0xa3d6fe,
  [FH_INK_PICKUP] = 0x958bc4,
  [FH_INK_LINE]   = 0xffc55c,
  [FH_INK_OPEN]   = 0x58dfa8,
  [FH_INK_FAULT]  = 0xf58473,
}};
