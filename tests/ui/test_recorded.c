// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A session recorded from the engine, drawn, written as PNG, read back and measured: the picture must not lie about the
// gate.

#include "drawn.h"
#include "session.h"

#include "../dsp/field.h"

#include <stdio.h>

enum { FRAMES = 300, BLOCKS_PER_FRAME = BLOCKS_PER_SECOND / 30 };

/// Ten seconds as a host polls them: a field that swells, and each second a note of 0.23 s, louder and louder
static void
record(FhFrame frames[FRAMES])
{
  Rig   rig   = rig_new(RATE, 1);
  Field field = {.noise = {9}, .common = 0.02, .own = 0.01, .close = 0.5, .ambient = 1.0, .swell = 6.0};
  field_learn(&rig, &field, 10.0);
  for (int i = 0; i < FRAMES; ++i) {
    field.solo = i % 30 >= 15 && i % 30 < 22 ? 0.0015 * pow(1.3, i / 30) : 0.0;
    for (int b = 0; b < BLOCKS_PER_FRAME; ++b) {
      field_run(&rig, &field);
    }
    frames[i].seconds = i / 30.0;
    memcpy(frames[i].v, rig.controls, sizeof(frames[i].v));
  }
  rig_free(&rig);
}

/// Write the drawing as PNG, and read it back in its place
static void
through_png(Drawn* const d)
{
  static const char path[] = "ui_recorded.png";
  assert_int_equal(cairo_surface_write_to_png(d->surface, path), CAIRO_STATUS_SUCCESS);
  cairo_surface_destroy(d->surface);
  d->surface = cairo_image_surface_create_from_png(path);
  assert_int_equal(cairo_image_surface_get_width(d->surface), d->width);
  assert_int_equal(remove(path), 0);
}

/// Where things lie in the level lane, pixels
typedef struct {
  int left, right, top, foot;
} Lane;

/// Lowest row of a colour in a column of the lane
static double
lowest_row(const Drawn* const d, const Lane* const l, const int x, const FhInk ink)
{
  for (int y = l->foot; y > l->top; --y) {
    if (distance(pixel(d, x, y), fh_night.rgb[ink]) < 40) {
      return y;
    }
  }
  return -1.0;
}

static bool
is_open(const Drawn* const d, const Lane* const l, const int x)
{
  return distance(pixel(d, x, l->foot), fh_night.rgb[FH_INK_OPEN]) < 12;
}

// Where the green bar begins, the close level comes to lie above the opening line; away from the bars it lies below
static void
close_stands_above_the_line_where_it_opens(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  static FhModel model;
  record(frames);
  play(&model, frames, FRAMES);
  Drawn* const d = draw_window(1920, 1280, &model);
  through_png(d);
  const FhLayout layout = fh_layout(1920, 1280);
  const FhBox    box    = layout.levels;
  const Lane     l      = {(int)(2.0 * box.x) + 2, (int)(2.0 * (box.x + box.w)) - 2, (int)(2.0 * box.y) + 2,
                           (int)(2.0 * (box.y + box.h)) - 6};
  const int      near_by = (l.right - l.left) / 100; // 0.1 s
  int            openings = 0, shut = 0, since = 1 << 20;
  for (int x = l.left + near_by; x < l.right - near_by; ++x) {
    since = is_open(d, &l, x) ? 0 : since + 1;
    if (is_open(d, &l, x) && !is_open(d, &l, x - 1)) {
      double close = 1e9;
      for (int k = 0; k < near_by; ++k) {
        const double row = find_row(d, x + k, l.top, l.foot, fh_night.rgb[FH_INK_CLOSE], 40);
        close            = row > 0.0 && row < close ? row : close;
      }
      const double line = line_row(d, x, l.top, l.foot, &fh_night);
      assert_true(line > 0.0 && close < line + 2.0);
      ++openings;
    } else if (since > 2 * near_by && !is_open(d, &l, x + near_by)) {
      const double line  = lowest_row(d, &l, x, FH_INK_LINE);
      const double close = find_row(d, x, l.top, l.foot, fh_night.rgb[FH_INK_CLOSE], 40);
      if (line > 0.0 && close > 0.0) {
        assert_true(close > line - 2.0);
        ++shut;
      }
    }
  }
  assert_true(openings >= 6 && shut > 50);
  drawn_free(d);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(close_stands_above_the_line_where_it_opens),
  };
  return cmocka_run_group_tests_name("recorded", tests, NULL, NULL);
}
