// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The live window, drawn and measured: where levels lie follows from the lane's box and range.

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

#include <stdio.h>
#include "ui/live.h"

enum { FRAMES = 300 };

// In the window the level lane spans 0 to -80 dBFS. The close level is its meter's, but never on the other side of the opening line than the excess
static void
window_places_the_opening_line(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  static FhModel model;
  static const int sizes[][2] = {{960, 640}, {1440, 960}, {1920, 1280}, {2880, 1920}};
  for (size_t i = 0; i < 4; ++i) {
    session_steady(frames, FRAMES, -20.0f, -50.0f, 7.0f);
    for (int f = 0; f < FRAMES; ++f) {
      frames[f].v[FH_CLOSE_LEVEL] = -23.0f;
    }
    play(&model, frames, FRAMES);
    const FhLayout layout = fh_layout(sizes[i][0], sizes[i][1]);
    Drawn* const   d      = draw_window(sizes[i][0], sizes[i][1], &model);
    const double   top    = layout.levels.y * layout.scale, height = layout.levels.h * layout.scale;
    const int      x      = (int)((layout.levels.x + 0.5 * layout.levels.w) * layout.scale);
    const double   line   = line_row(d, x, (int)top, (int)(top + height), &fh_night);
    const double   close  = find_row(d, x, (int)top, (int)(top + height), fh_night.rgb[FH_INK_CLOSE], 40);
    check_near(line, top + height * 43.0 / 80.0, 1.0 + 0.5 * layout.scale);
    check_near(close, top + height * 23.0 / 80.0, 1.0 + 0.5 * layout.scale);
    drawn_free(d);
  }
}

// Twice as large is drawn anew, not stretched: detail within squares of two by two pixels
static void
larger_is_finer(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  static FhModel model;
  session_fill(frames, FRAMES);
  play(&model, frames, FRAMES);
  Drawn* const d    = draw_window(1920, 1280, &model);
  long         fine = 0;
  for (int y = 0; y < d->height; y += 2) {
    for (int x = 0; x < d->width; x += 2) {
      const uint32_t corner = pixel(d, x, y);
      fine += corner != pixel(d, x + 1, y) || corner != pixel(d, x, y + 1) || corner != pixel(d, x + 1, y + 1);
    }
  }
  assert_true(fine > 960 * 640 / 50);
  drawn_free(d);
}

// Half the lane at 20 of 40 dB, and the duck hangs below the middle line
static void
bands_grow_with_the_excess(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  session_rest(&frame, 1);
  for (int b = 0; b < FH_BANDS; ++b) {
    frame.v[FH_BAND_EXCESS_1 + 2 * b] = 5.0f * (float)b;
    frame.v[FH_BAND_GAIN_1 + 2 * b]   = -5.0f * (float)b;
  }
  play(&model, &frame, 1);
  Drawn* const   d      = draw_window(960, 640, &model);
  const FhLayout layout = fh_layout(960, 640);
  const double   x0 = layout.bands.x + 34.0, slot = (layout.bands.w - 34.0) / FH_BANDS;
  double         height[FH_BANDS], duck[FH_BANDS];
  for (int b = 0; b < FH_BANDS; ++b) {
    const int x = (int)(x0 + (b + 0.5) * slot);
    height[b]   = 0.0;
    duck[b]     = 0.0;
    for (int y = (int)layout.bands.y; y < (int)(layout.bands.y + layout.bands.h); ++y) {
      height[b] += distance(pixel(d, x, y), fh_night.rgb[FH_INK_CLOSE]) < 8;
      duck[b] = distance(pixel(d, x, y), fh_night.rgb[FH_INK_PICKUP]) < 12 ? y - layout.bands.y : duck[b];
    }
  }
  for (int b = 1; b < FH_BANDS; ++b) {
    check_near(height[b], height[4] * b / 4.0, 1.5);
  }
  assert_true(height[4] > 50.0);
  for (int b = 2; b < FH_BANDS; ++b) { // Their lowest edges lie evenly, too: 5 dB each
    check_near(duck[b] - duck[1], (duck[7] - duck[1]) * (b - 1) / 6.0, 1.5);
  }
  assert_true(duck[7] - duck[1] > 40.0);
  drawn_free(d);
}

// Adding a few columns at a time to the ring gives the same pixels as drawing all at once
static void
ring_equals_the_whole(void** const state)
{
  (void)state;
  enum { LONG = 700 };
  static FhFrame frames[LONG];
  static FhModel model;
  session_fill(frames, LONG);
  for (int i = 40; i + 1 < LONG; i += 31) { // With marks in it
    frames[i + 1].v[FH_STATE] = frames[i].v[FH_STATE] = frames[i].v[FH_STATE] == FH_STATE_CLOSED ? FH_STATE_OPEN : FH_STATE_CLOSED;
  }
  play(&model, frames, 1);
  const FhLayout layout = fh_layout(1200, 800);
  FhLive         live, whole;
  assert_int_equal(fh_live_init(&live, &layout, &model), 0);
  const int              height = (int)ceil((layout.gains.y + layout.gains.h - layout.levels.y) * layout.scale);
  cairo_surface_t* const ring   = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)live.seen, height);
  for (size_t i = 1; i < LONG; ++i) {
    memcpy(model.v, frames[i].v, sizeof(model.v));
    fh_model_tick(&model, frames[i].seconds);
    if (i % 3 == 0 || i == LONG - 1) {
      const size_t   first = fh_live_advance(&live, &model);
      cairo_t* const cr    = cairo_create(ring);
      cairo_scale(cr, layout.scale, layout.scale);
      const FhPen pen = fh_pen(cr, &fh_night, layout.scale);
      fh_live_fill(&pen, &layout, &live, first, live.newest + 1);
      cairo_destroy(cr);
    }
  }
  assert_int_equal(fh_live_init(&whole, &layout, &model), 0);
  assert_int_equal(live.newest, whole.newest);

  cairo_surface_t* images[2];
  cairo_surface_t* full = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)live.seen, height);
  cairo_t*         cr   = cairo_create(full);
  cairo_scale(cr, layout.scale, layout.scale);
  const FhPen pen = fh_pen(cr, &fh_night, layout.scale);
  fh_live_fill(&pen, &layout, &whole, whole.newest + 1 - whole.seen, whole.newest + 1);
  cairo_destroy(cr);
  images[0] = ring;
  images[1] = full;
  long differing = 0;
  for (int y = 0; y < height; ++y) {
    // Leave out the oldest columns, whose neighbours the whole drawing does not know
    for (size_t i = whole.newest + 8 - whole.seen; i <= whole.newest; ++i) {
      uint32_t rgb[2];
      for (int k = 0; k < 2; ++k) {
        memcpy(&rgb[k],
               cairo_image_surface_get_data(images[k]) + y * cairo_image_surface_get_stride(images[k]) +
                 4 * (i % whole.seen),
               4);
      }
      differing += distance(rgb[0] & 0xffffff, rgb[1] & 0xffffff) > 24;
    }
  }
  assert_int_equal(differing, 0);
  cairo_surface_destroy(full);
  cairo_surface_destroy(ring);
  fh_live_free(&live);
  fh_live_free(&whole);
}

// A part is drawn again when, and only when, what it shows changes
static void
signs_follow_what_is_shown(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  session_rest(&frame, 1);
  play(&model, &frame, 1);
  uint64_t before[FH_PART_COUNT];
  for (int p = 0; p < FH_PART_COUNT; ++p) {
    before[p] = fh_part_sign(&model, p);
  }
  model.now += 1.0;
  for (int p = 0; p < FH_PART_COUNT; ++p) {
    assert_int_equal(fh_part_sign(&model, p), before[p]);
  }
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    if (c == FH_GATE_GAIN || c == FH_DUCK_GAIN || c == FH_LATENCY || c == FH_CLEAR) {
      continue; // In the strip, or not shown as such
    }
    static FhModel changed;
    changed = model;
    changed.v[FH_AMBIENT_LEVEL] = changed.v[FH_PICKUP_LEVEL] = -40.0f;
    changed.v[FH_LEARNT]                                     = 100.0f;
    changed.v[FH_KNOWLEDGE]                                  = c == FH_LEARNT_AGO ? FH_KNOWLEDGE_LEARNT : FH_KNOWLEDGE_FOLLOWING;
    memcpy(changed.calm, changed.v, sizeof(changed.calm));
    int differ = 0;
    for (int p = 0; p < FH_PART_COUNT; ++p) {
      before[p] = fh_part_sign(&changed, p);
    }
    changed.v[c] = changed.v[c] == fh_controls[c].max ? fh_controls[c].min : fh_controls[c].max;
    changed.v[c] = c == FH_LEARN ? (float)FH_LEARN_AMBIENT : changed.v[c]; // Going back is over in a moment
    fh_model_tick(&changed, changed.now + 1.0); // Figures stand still for a moment
    for (int p = 0; p < FH_PART_COUNT; ++p) {
      differ += fh_part_sign(&changed, p) != before[p];
    }
    if (differ < 1) {
      fail_msg("a change of %s draws nothing", fh_controls[c].symbol);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(window_places_the_opening_line),
    cmocka_unit_test(larger_is_finer),
    cmocka_unit_test(bands_grow_with_the_excess),
    cmocka_unit_test(ring_equals_the_whole),
    cmocka_unit_test(signs_follow_what_is_shown),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
