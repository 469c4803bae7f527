// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Contrast of the colours, by the formula of the W3C's Web Content Accessibility Guidelines 2.2

#include "drawn.h"

#include "../unit/check.h"

// Black on white is 21:1 by the definition; #767676 is widely given as the lightest grey at 4.5:1 on white, 4.54:1
// (from memory)
static void
formula_gives_the_known_ratios(void** const state)
{
  (void)state;
  check_near(contrast(0x000000, 0xffffff), 21.0, 1e-9);
  check_near(contrast(0x767676, 0xffffff), 4.54, 0.005);
  assert_true(contrast(0x777777, 0xffffff) < 4.5);
  check_near(contrast(0x123456, 0x123456), 1.0, 1e-12);
}

static void
check_least(const FhPalette* const p, const FhInk front, const FhInk back, const double least)
{
  const double ratio = contrast(p->rgb[front], p->rgb[back]);
  if (ratio < least) {
    fail_msg("ink %d on %d: %.2f:1, at least %.1f:1 is asked", (int)front, (int)back, ratio, least);
  }
}

static void
check_palette(const FhPalette* const p)
{
  static const FhInk words[]  = {FH_INK_TEXT, FH_INK_DIM, FH_INK_OPEN, FH_INK_LINE, FH_INK_FAULT};
  static const FhInk shapes[] = {FH_INK_CLOSE, FH_INK_PICKUP, FH_INK_LINE, FH_INK_OPEN, FH_INK_FAULT, FH_INK_EDGE};
  static const FhInk lit[]    = {FH_INK_OPEN, FH_INK_FAULT, FH_INK_LINE, FH_INK_CLOSE, FH_INK_TEXT};
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    check_least(p, words[i], FH_INK_GROUND, 4.5); // Success criterion 1.4.3, level AA
    check_least(p, words[i], FH_INK_PANEL, 4.5);
  }
  for (size_t i = 0; i < sizeof(lit) / sizeof(lit[0]); ++i) {
    check_least(p, FH_INK_GROUND, lit[i], 4.5);
  }
  for (size_t i = 0; i < sizeof(shapes) / sizeof(shapes[0]); ++i) {
    check_least(p, shapes[i], FH_INK_GROUND, 3.0); // Success criterion 1.4.11, level AA
    check_least(p, shapes[i], FH_INK_PANEL, 3.0);
  }
}

static void
day_reads(void** const state)
{
  (void)state;
  check_palette(&fh_day);
}

static void
night_reads(void** const state)
{
  (void)state;
  check_palette(&fh_night);
}

/// Colour `over` at `alpha` on `under`
static uint32_t
blend(const uint32_t over, const uint32_t under, const double alpha)
{
  uint32_t mixed = 0;
  for (int shift = 0; shift < 24; shift += 8) {
    const double a = (over >> shift) & 0xff, b = (under >> shift) & 0xff;
    mixed |= (uint32_t)lround(b + alpha * (a - b)) << shift;
  }
  return mixed;
}

// The traces lie over tinted areas: open (0.12) and the space between (0.22)
static void
traces_read_over_the_tints(void** const state)
{
  (void)state;
  const FhPalette* const palettes[] = {&fh_day, &fh_night};
  for (int i = 0; i < 2; ++i) {
    const uint32_t* const rgb   = palettes[i]->rgb;
    const uint32_t        open  = blend(rgb[FH_INK_OPEN], rgb[FH_INK_PANEL], 0.12);
    const uint32_t        space = blend(rgb[FH_INK_CLOSE], open, 0.22);
    assert_true(contrast(rgb[FH_INK_LINE], open) >= 3.0);
    assert_true(contrast(rgb[FH_INK_LINE], space) >= 3.0);
    assert_true(contrast(rgb[FH_INK_CLOSE], open) >= 3.0);
    assert_true(contrast(rgb[FH_INK_CLOSE], space) >= 3.0);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(formula_gives_the_known_ratios),
    cmocka_unit_test(day_reads),
    cmocka_unit_test(night_reads),
    cmocka_unit_test(traces_read_over_the_tints),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
