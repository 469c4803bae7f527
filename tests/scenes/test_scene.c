// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The scene generator: repeatable, complete, at the asked ratio.

#include "scene.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define RATE 8000.0 // enough to hear, fast to make

static char        folder[] = "/tmp/fronthash-scene-XXXXXX"; ///< Where the stems of this run are kept
static const char* cache    = folder;

static int
make_folder(void** const state)
{
  (void)state;
  return mkdtemp(folder) ? 0 : -1;
}

static int
remove_folder(void** const state)
{
  (void)state;
  char line[64];
  snprintf(line, sizeof(line), "rm -r '%s'", folder);
  return system(line);
}

static FhScene
build(const char* const name, const uint64_t seed, const double ratio, const FhCondition condition)
{
  const FhSceneRequest request = {fh_scene_find(name), seed, ratio, RATE, false, condition, 0, cache, FH_FONT_TIMGM6MB, 0, 0};
  FhScene              scene;
  assert_non_null(request.spec);
  assert_true(fh_scene_build(&scene, &request));
  return scene;
}

static bool
same(const FhScene* const a, const FhScene* const b)
{
  bool equal = a->frames == b->frames && a->mics == b->mics;
  for (uint32_t m = 0; equal && m < a->mics; ++m) {
    equal = !memcmp(a->solo[m], b->solo[m], a->frames * sizeof(float)) &&
            !memcmp(a->pickup[m], b->pickup[m], a->frames * sizeof(float));
  }
  return equal;
}

static void
same_request_gives_same_bytes(void** const state)
{
  (void)state;
  cache     = NULL; // each makes its own
  FhScene a = build("trumpet", 3, 10.0, FH_WIND_CLOSE);
  FhScene b = build("trumpet", 3, 10.0, FH_WIND_CLOSE);
  FhScene c = build("trumpet", 4, 10.0, FH_WIND_CLOSE);
  cache     = folder;
  assert_true(same(&a, &b));
  assert_false(same(&a, &c));
  fh_scene_free(&a);
  fh_scene_free(&b);
  fh_scene_free(&c);
}

static double
power(const float* const x, const double from, const double to)
{
  double sum = 0.0;
  for (size_t n = (size_t)(from * RATE); n < (size_t)(to * RATE); ++n) {
    sum += (double)x[n] * (double)x[n];
  }
  return sum / ((to - from) * RATE);
}

static void
soloist_is_silent_while_learning_and_plays_the_phrases(void** const state)
{
  (void)state;
  FhScene s = build("marimba", 1, 10.0, FH_PLAIN);
  assert_int_equal(s.closes, 2);
  assert_true(s.phrase_count >= 5);
  assert_true(power(s.solo[0], 0.0, s.learn.to) == 0.0);
  assert_true(power(s.pickup[0], 0.0, s.learn.to) > 0.0);
  for (size_t i = 0; i < s.phrase_count; ++i) {
    assert_true(s.phrases[i].from >= s.learn.to && s.phrases[i].to < FH_SCENE_SECONDS);
    assert_true(power(s.solo[0], s.phrases[i].from, s.phrases[i].to) + power(s.solo[1], s.phrases[i].from, s.phrases[i].to) > 0.0);
  }
  fh_scene_free(&s);
}

static void
take_has_headroom(void** const state)
{
  (void)state;
  FhScene s = build("wind-trio", 1, 6.0, FH_ROAR);
  for (uint32_t m = 0; m < s.mics; ++m) {
    float top = 0.0f;
    for (size_t n = 0; n < s.frames; ++n) {
      top = fmaxf(top, fabsf(s.solo[m][n] + s.pickup[m][n]));
    }
    assert_true(fabs(20.0 * log10((double)top) - (m < s.closes ? -3.0 : -15.0)) < 0.01);
  }
  fh_scene_free(&s);
}

/// The same scene 9 dB farther apart: only the pickup changes, by 9 dB (to within the light noise beds that follow it)
static void
ratio_sets_the_pickup(void** const state)
{
  (void)state;
  FhScene      a    = build("clarinet", 1, 6.0, FH_PLAIN);
  FhScene      b    = build("clarinet", 1, 15.0, FH_PLAIN);
  const double near = power(a.solo[0], 10.0, 46.0) / power(a.pickup[0], 10.0, 46.0);
  const double far  = power(b.solo[0], 10.0, 46.0) / power(b.pickup[0], 10.0, 46.0);
  assert_true(fabs(10.0 * log10(far / near) - 9.0) < 0.01);
  fh_scene_free(&a);
  fh_scene_free(&b);
}

/// Twelve dB on the ambient input is a factor of 3.981 on both stems, from the middle on and not before
static void
trim_turns_the_ambient_up(void** const state)
{
  (void)state;
  FhScene      plain  = build("tuba", 1, 10.0, FH_PLAIN);
  FhScene      trim   = build("tuba", 1, 10.0, FH_TRIM);
  const double before = power(trim.pickup[1], 10.0, 20.0) / power(plain.pickup[1], 10.0, 20.0);
  const double after  = power(trim.pickup[1], 30.0, 40.0) / power(plain.pickup[1], 30.0, 40.0);
  assert_true(fabs(10.0 * log10(after / before) - 12.0) < 0.01);
  fh_scene_free(&plain);
  fh_scene_free(&trim);
}

/// Gusts have the power of the band and differ on every microphone
static void
gusts_have_the_power_of_the_band(void** const state)
{
  (void)state;
  FhScene plain = build("violin", 2, 10.0, FH_PLAIN);
  FhScene wind  = build("violin", 2, 10.0, FH_WIND_AMBIENT);
  const double gain  = power(plain.pickup[1], 0.0, 10.0) / power(wind.pickup[1], 0.0, 10.0); // input gains differ
  const double ratio = gain * power(wind.pickup[1], 10.0, 46.0) / power(plain.pickup[1], 10.0, 46.0);
  assert_true(fabs(10.0 * log10(ratio) - 3.01) < 0.3);
  fh_scene_free(&plain);
  fh_scene_free(&wind);
}

static void
names_are_found(void** const state)
{
  (void)state;
  size_t                   count = 0;
  const FhSceneSpec* const list  = fh_scene_list(&count);
  assert_true(count >= 14);
  for (size_t i = 0; i < count; ++i) {
    assert_ptr_equal(fh_scene_find(list[i].name), &list[i]);
  }
  assert_null(fh_scene_find("no-such-scene"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(same_request_gives_same_bytes),
    cmocka_unit_test(soloist_is_silent_while_learning_and_plays_the_phrases),
    cmocka_unit_test(take_has_headroom),
    cmocka_unit_test(ratio_sets_the_pickup),
    cmocka_unit_test(trim_turns_the_ambient_up),
    cmocka_unit_test(gusts_have_the_power_of_the_band),
    cmocka_unit_test(names_are_found),
  };
  return cmocka_run_group_tests_name("scene generator", tests, make_folder, remove_folder);
}
