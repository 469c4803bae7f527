// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Close and ambient exchanged is a fault of its own: it is shown, sound passes, and it is taken back. Rightly wired it is never
// shown: not with a soft soloist, nor without one, nor with a neighbour who stands at the ambient microphone.

#include "lockout.h"
#include "weather.h"

static const size_t families[] = {0, 3, 10}; // trumpet, wind trio, violin
#define FAMILIES (sizeof(families) / sizeof(families[0]))

static Show shows[FAMILIES];

static int
open_shows(void** const state)
{
  (void)state;
  for (size_t i = 0; i < FAMILIES; ++i) {
    shows[i] = show_make(families[i], 1);
  }
  return 0;
}

static int
close_shows(void** const state)
{
  (void)state;
  for (size_t i = 0; i < FAMILIES; ++i) {
    show_free(&shows[i]);
  }
  return 0;
}

/// Levels of soloist and neighbour in either microphone against how they were recorded, amplitudes
typedef struct {
  const char* name;
  double      solo;
  double      close, ambient; ///< Of a neighbour over the field there, dB
} Way;

static const Way ways[] = {
  {"as it is", 1.0, -200.0, -200.0},
  {"a soft soloist", 0.3, -200.0, -200.0},
  {"no soloist", 0.0, -200.0, -200.0},
  {"a neighbour at the ambient microphone", 0.0, 0.0, 12.0},
  {"a neighbour who drowns the band there", 0.0, 2.0, 20.0},
};

/// Mix a take anew
static void
mix(Show* const s, const Way* const way)
{
  const FhScene* const scene = &s->scene;
  const double         solo  = fh_power(scene->solo[0], 0, scene->frames);
  double               gain[2];
  for (int mic = 0; mic < 2; ++mic) {
    gain[mic] = sqrt(fh_power(scene->pickup[mic], 0, scene->frames) / solo) * pow(10.0, (mic ? way->ambient : way->close) / 20.0);
  }
  for (size_t n = 0; n < scene->frames; ++n) {
    const double played = (double)scene->solo[0][n];
    s->close[n]         = (float)(way->solo * played + (double)scene->pickup[0][n] + gain[0] * played);
    s->ambient[n]       = (float)(way->solo * (double)scene->solo[1][n] + (double)scene->pickup[1][n] + gain[1] * played);
  }
}

/// Play a take. @return Seconds until the fault was shown; negative if never
static double
until_shown(const Show* const s, FhRig* const rig, const bool swapped)
{
  enum { STEP = 480 };
  static float       sound[STEP];
  float* const       out[]   = {sound};
  const float* const first   = swapped ? s->ambient : s->close;
  const float* const second  = swapped ? s->close : s->ambient;
  double             shown_s = -1.0;
  for (size_t n = 0; n + STEP <= s->scene.frames; n += STEP) {
    const float* const close[] = {first + n};
    fh_engine_set(rig->engine, rig->controls);
    fh_engine_run(rig->engine, close, second + n, out, NULL, STEP);
    fh_engine_meters(rig->engine, rig->controls);
    if (lrintf(rig->controls[FH_FAULT]) == FH_FAULT_SWAPPED && shown_s < 0.0) {
      shown_s = (double)n / SHOW_RATE;
    }
  }
  return shown_s;
}

/// The last block of a take again. @return Whether it comes out as it went in
static bool
passes(const Show* const s, FhRig* const rig)
{
  enum { STEP = 480 };
  static float       sound[STEP];
  float* const       out[]   = {sound};
  const float* const close[] = {s->ambient + s->scene.frames - STEP};
  fh_engine_run(rig->engine, close, s->close + s->scene.frames - STEP, out, NULL, STEP);
  for (size_t n = 0; n < STEP; ++n) {
    if (fabsf(sound[n] - close[0][n]) > 1e-6f) {
      return false;
    }
  }
  return true;
}

static void
exchanged_is_shown(void** const state)
{
  (void)state;
  for (size_t i = 0; i < FAMILIES; ++i) {
    const Show* const s = &shows[i];
    FhRig             rig;
    assert_true(fh_rig_make(&rig, SHOW_RATE, 1));
    const double shown = until_shown(s, &rig, true);
    printf("%-12s shown after %5.1f s, the soloist began at %4.1f s\n", s->scene.request.spec->name, shown, s->first);
    assert_true(shown > s->first && shown < s->first + 20.0);
    assert_true(passes(s, &rig));
    (void)until_shown(s, &rig, false); // Somebody exchanges them
    assert_int_equal(lrintf(rig.controls[FH_FAULT]), FH_FAULT_NONE);
    fh_rig_free(&rig);
  }
}

static void
rightly_wired_is_never_shown(void** const state)
{
  (void)state;
  for (size_t i = 0; i < FAMILIES; ++i) {
    for (size_t w = 0; w < sizeof(ways) / sizeof(ways[0]); ++w) {
      FhRig rig;
      assert_true(fh_rig_make(&rig, SHOW_RATE, 1));
      mix(&shows[i], &ways[w]);
      if (until_shown(&shows[i], &rig, false) >= 0.0) {
        fail_msg("%s, %s: shown", shows[i].scene.request.spec->name, ways[w].name);
      }
      fh_rig_free(&rig);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(exchanged_is_shown), cmocka_unit_test(rightly_wired_is_never_shown)};
  return cmocka_run_group_tests_name("swapped", tests, open_shows, close_shows);
}
