// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Contrast of the colours, by the formula of the W3C's Web Content Accessibility Guidelines 2.2

#include "drawn.h"
#include "session.h"
#include "ui/live.h"

#include "../dsp/check.h"

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

/// A window of one ink: what still differs does not hang on colour
static const FhPalette one_ink = {{
  [FH_INK_TEXT] = 0xffffff,
  [FH_INK_DIM]    = 0xffffff,
  [FH_INK_EDGE]   = 0xffffff,
  [FH_INK_CLOSE]  = 0xffffff,
  [FH_INK_PICKUP] = 0xffffff,
  [FH_INK_LINE]   = 0xffffff,
  [FH_INK_OPEN]   = 0xffffff,
  [FH_INK_FAULT]  = 0xffffff,
}};

/// Draw a part in one ink; the caller frees it
static cairo_surface_t*
draw_part(const FhModel* const model, const int part)
{
  const FhLayout         layout  = fh_layout(960, 640);
  const FhBox            box     = fh_part_box(&layout, part);
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)box.w, (int)box.h);
  cairo_t* const         cr      = cairo_create(surface);
  const FhPen            pen     = fh_pen(cr, &one_ink, 1.0);
  cairo_translate(cr, -box.x, -box.y);
  fh_part_draw(&pen, &layout, model, part);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  return surface;
}

/// Share of pixels that differ, 0..1
static double
differing(cairo_surface_t* const a, cairo_surface_t* const b)
{
  const int w = cairo_image_surface_get_width(a), h = cairo_image_surface_get_height(a);
  long      count = 0;
  for (int y = 0; y < h; ++y) {
    for (int x = 0; x < w; ++x) {
      uint32_t rgb[2];
      memcpy(&rgb[0], cairo_image_surface_get_data(a) + y * cairo_image_surface_get_stride(a) + 4 * x, 4);
      memcpy(&rgb[1], cairo_image_surface_get_data(b) + y * cairo_image_surface_get_stride(b) + 4 * x, 4);
      count += distance(rgb[0] & 0xffffff, rgb[1] & 0xffffff) > 96;
    }
  }
  return (double)count / w / h;
}

/// Part of the window that shows a control
static int
part_of(const FhControl control)
{
  if (control == FH_STATE || control == FH_FAULT || control == FH_SEPARATION) {
    return control == FH_STATE ? FH_PART_STATE : control == FH_FAULT ? FH_PART_FAULT : FH_PART_SEPARATION;
  }
  int item = 0;
  while (fh_items[item].control != control) {
    ++item;
  }
  return FH_PART_ITEM + item;
}

// Success criterion 1.4.1: each state, fault, verdict and switch looks different from the next in one ink, too
static void
no_colour_speaks_alone(void** const state)
{
  (void)state;
  static const struct {
    FhControl control;
    float     values[8];
    int       count;
  } cases[] = {
    {FH_STATE, {0, 1, 2, 3, 4}, 5},
    {FH_FAULT, {0, 1, 2, 3, 4, 5, 6, 7}, FH_FAULT_COUNT},
    {FH_SEPARATION, {0, 3, 9, 20}, 4},
    {FH_MUTED, {0, 1}, 2},
    {FH_ENABLED, {0, 1}, 2},
    {FH_LISTEN, {0, 1, 2, 3}, 4},
    {FH_TRACKING, {0, 1}, 2},
    {FH_LEARN, {0, 1}, 2},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    cairo_surface_t* drawn[8];
    for (int k = 0; k < cases[i].count; ++k) {
      static FhModel model;
      FhFrame        frame;
      session_rest(&frame, 1);
      frame.v[cases[i].control] = cases[i].values[k];
      play(&model, &frame, 1);
      fh_model_tick(&model, 1.0); // Figures stand still for a moment
      drawn[k] = draw_part(&model, part_of(cases[i].control));
      for (int j = 0; j < k; ++j) {
        if (differing(drawn[j], drawn[k]) < 0.01) {
          fail_msg("%s: %g and %g differ by colour alone", fh_controls[cases[i].control].symbol,
                   (double)cases[i].values[j], (double)cases[i].values[k]);
        }
      }
    }
    for (int k = 0; k < cases[i].count; ++k) {
      cairo_surface_destroy(drawn[k]);
    }
  }
}

/// Share of a row between two columns that is lit, 0..1
static double
lit(cairo_surface_t* const s, const double y, const int from, const int to)
{
  long count = 0;
  for (int x = from; x < to; ++x) {
    uint32_t rgb;
    memcpy(&rgb, cairo_image_surface_get_data(s) + (int)y * cairo_image_surface_get_stride(s) + 4 * x, 4);
    count += (rgb & 0xff) > 0x80;
  }
  return (double)count / (to - from);
}

// Close level whole, opening line dashed, pickup hatched, the space between plain, open marked along the foot
static void
strip_reads_in_one_ink(void** const state)
{
  (void)state;
  enum { FRAMES = 300 };
  static FhFrame frames[FRAMES];
  static FhModel model;
  session_steady(frames, FRAMES, -20.0f, -50.0f, 10.0f);
  for (int i = 0; i < FRAMES; ++i) {
    frames[i].v[FH_STATE] = i < FRAMES / 2 ? FH_STATE_CLOSED : FH_STATE_OPEN;
  }
  play(&model, frames, FRAMES);
  const FhLayout layout = fh_layout(960, 640);
  FhLive         live;
  assert_int_equal(fh_live_init(&live, &layout, &model), 0);
  const int              width   = (int)live.seen;
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, (int)layout.levels.h + 100);
  cairo_t* const         cr      = cairo_create(surface);
  const FhPen            pen     = fh_pen(cr, &one_ink, 1.0);
  const size_t           end     = live.newest + 1;
  fh_live_draw(&pen, &layout, &live, end - live.seen, end, end - live.seen);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  const double h = layout.levels.h, from = 0.05 * width, middle = 0.45 * width, right = 0.9 * width;
  check_near(lit(surface, h * 20.0 / 80.0, (int)from, (int)middle), 1.0, 0.01);
  check_near(lit(surface, h * 40.0 / 80.0, (int)from, (int)middle), 0.7, 0.1);
  check_near(lit(surface, h * 30.0 / 80.0, (int)from, (int)middle), 0.0, 0.02);
  const double hatch = lit(surface, h * 65.0 / 80.0, (int)from, (int)middle);
  assert_true(hatch > 0.05 && hatch < 0.5);
  check_near(lit(surface, h - 4.0, (int)(0.6 * width), (int)right), 1.0, 0.01);
  assert_true(lit(surface, h - 4.0, (int)from, (int)middle) < 0.5);
  cairo_surface_destroy(surface);
  fh_live_free(&live);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(formula_gives_the_known_ratios),
    cmocka_unit_test(day_reads),
    cmocka_unit_test(night_reads),
    cmocka_unit_test(traces_read_over_the_tints),
    cmocka_unit_test(no_colour_speaks_alone),
    cmocka_unit_test(strip_reads_in_one_ink),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
