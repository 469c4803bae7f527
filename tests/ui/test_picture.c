// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The picture of a take, drawn and measured. Levels are on a linear scale, so where a known level must lie follows from
// two other known levels.

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

#include <stdio.h>

enum { FRAMES = 300 };

// The opening line lies at pickup + margin: a third of the way from pickup to a close level three margins above it
static void
picture_places_the_opening_line(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  for (int scale = 1; scale <= 3; ++scale) {
    session_steady(frames, FRAMES, -30.0f, -48.0f, 6.0f);
    const FhPicture picture = {.title = "Steady", .width = 1000, .height = 700, .scale = scale};
    Drawn* const    d       = draw_picture(&picture, frames, FRAMES);
    const int       x = 300 * scale, from = 90 * scale, to = 400 * scale;
    const double    close  = find_row(d, x, from, to, fh_day.rgb[FH_INK_CLOSE], 40);
    const double    pickup = find_row(d, x, from, to, fh_day.rgb[FH_INK_PICKUP], 40);
    const double    line   = line_row(d, x, from, to, &fh_day);
    assert_true(close > 0.0 && line > close && pickup > line);
    check_near(line, pickup + (close - pickup) / 3.0, 1.0 + 0.5 * scale);
    drawn_free(d);
  }
}

// Where the state says open, the ribbon at the foot of the lane is in its colour, and nowhere else
static void
picture_marks_where_the_gate_was_open(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  session_steady(frames, FRAMES, -30.0f, -48.0f, 6.0f);
  for (int i = 100; i < 200; ++i) {
    frames[i].v[FH_STATE] = i < 110 ? FH_STATE_OPENING : i < 180 ? FH_STATE_OPEN : FH_STATE_HOLDING;
  }
  const FhPicture picture = {.title = "Open", .width = 1000, .height = 700, .scale = 1};
  Drawn* const    d       = draw_picture(&picture, frames, FRAMES);
  const int       left = 64, right = 1000 - 250;
  int             first = -1, last = -1;
  const double    row   = find_row(d, (left + right) / 2, 90, 400, fh_day.rgb[FH_INK_OPEN], 12);
  assert_true(row > 0.0);
  for (int x = left; x < right; ++x) {
    if (distance(pixel(d, x, (int)row), fh_day.rgb[FH_INK_OPEN]) < 12) {
      first = first < 0 ? x : first;
      last  = x;
    }
  }
  check_near(first, left + (right - left) / 3.0, 1.5);
  check_near(last, left + (right - left) * 2.0 / 3.0, 2.5);
  drawn_free(d);
}

// A single loud frame in ten minutes is still seen
static void
picture_keeps_a_single_peak(void** const state)
{
  (void)state;
  enum { LONG = 18000 };
  FhFrame* const frames = (FhFrame*)calloc(LONG, sizeof(FhFrame));
  session_steady(frames, LONG, -60.0f, -61.0f, 6.0f);
  frames[9000].v[FH_EXCESS]      = 49.0f;
  frames[9000].v[FH_CLOSE_LEVEL] = -12.0f;
  const FhPicture picture        = {.title = "Peak", .width = 1000, .height = 700, .scale = 1};
  Drawn* const    d              = draw_picture(&picture, frames, LONG);
  double          highest        = 1e9;
  for (int x = 64; x < 750; ++x) {
    const double row = find_row(d, x, 90, 400, fh_day.rgb[FH_INK_CLOSE], 60);
    if (row > 0.0 && row < highest) {
      highest = row;
      check_near(x, highest < 200.0 ? 64 + 686 / 2.0 : x, 3.0);
    }
  }
  assert_true(highest < 250.0);
  drawn_free(d);
  free(frames);
}

static void
picture_texts_read(void** const state)
{
  (void)state;
  static FhFrame   frames[FRAMES];
  static const int sizes[][2] = {{800, 600}, {1000, 700}, {1280, 720}, {1920, 1080}};
  session_fill(frames, FRAMES);
  frames[40].v[FH_FAULT] = FH_FAULT_AMBIENT_IS_CLOSE;
  for (int scale = 1; scale <= 3; ++scale) {
    for (size_t i = 0; i < 4; ++i) {
      const FhPicture picture = {
        .title = "A take with a rather long name.wav", .width = sizes[i][0], .height = sizes[i][1], .scale = scale};
      Drawn* const d = draw_picture(&picture, frames, FRAMES);
      check_texts(d, &fh_day, 4.5);
      static const char* const wanted[] = {"Close microphone", "Predicted pickup", "space between", "Opening line",
                                           "Gate open", "dBFS", "Excess", "Gain, dB", "Time, ", "Fault"};
      for (size_t w = 0; w < sizeof(wanted) / sizeof(wanted[0]); ++w) {
        if (!find_text(d, wanted[w])) {
          fail_msg("\"%s\" is missing", wanted[w]);
        }
      }
      drawn_free(d);
    }
  }
}

static void
picture_of_nothing_says_so(void** const state)
{
  (void)state;
  const FhPicture picture = {.title = NULL, .width = 800, .height = 600, .scale = 1};
  Drawn* const    d       = draw_picture(&picture, NULL, 0);
  assert_non_null(find_text(d, "Nothing to show"));
  drawn_free(d);

  FhFrame one;
  session_rest(&one, 1);
  Drawn* const single = draw_picture(&picture, &one, 1);
  assert_non_null(find_text(single, "Opening line"));
  drawn_free(single);
}

static void
png_is_whole_or_absent(void** const state)
{
  (void)state;
  static FhFrame  frames[FRAMES];
  const FhPicture picture = {.title = "File", .width = 800, .height = 600, .scale = 1};
  session_fill(frames, FRAMES);
  assert_int_equal(fh_view_png("ui_picture.png", &picture, frames, FRAMES), 0);
  cairo_surface_t* const back = cairo_image_surface_create_from_png("ui_picture.png");
  assert_int_equal(cairo_image_surface_get_width(back), 800);
  cairo_surface_destroy(back);
  assert_int_equal(remove("ui_picture.png"), 0);
  assert_int_not_equal(fh_view_png("no/such/folder/x.png", &picture, frames, FRAMES), 0);
  assert_null(fopen("ui_picture.png.part", "r"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(picture_places_the_opening_line),
    cmocka_unit_test(picture_marks_where_the_gate_was_open),
    cmocka_unit_test(picture_keeps_a_single_peak),
    cmocka_unit_test(picture_texts_read),
    cmocka_unit_test(picture_of_nothing_says_so),
    cmocka_unit_test(png_is_whole_or_absent),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
