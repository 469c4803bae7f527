// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Takes of made-up scenes, in which the soloist plays music over a band: nothing is wrong with them, whatever the gain
// of the ambient microphone; and the same with the plugs exchanged

#undef NDEBUG

#include "command/check/check.h"

#include "../../scenes/scene.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char* const names[] = {"trumpet", "flute", "tuba"};
#define NAMES (sizeof(names) / sizeof(names[0]))
#define SECONDS 30.0 // of each scene: a third is the band alone

/// The sound of a microphone, turned up or down; free() it
static float*
sound_of(const FhScene* const scene, const uint32_t mic, const double db)
{
  float* const sound = malloc(scene->frames * sizeof(float));
  assert_non_null(sound);
  for (size_t i = 0; i < scene->frames; ++i) {
    sound[i] = (float)(pow(10.0, db / 20.0) * (double)(scene->solo[mic][i] + scene->pickup[mic][i]));
  }
  return sound;
}

/// @return Is there a fault of that code? Others are told in `wrong`; the scenes have some wind, which may be named
static bool
check(const FhScene* const scene, const float* const close, const float* const ambient, const char* const code,
      int* const wrong)
{
  const FhSoundcheck   take    = {.mic = {close, ambient}, .closes = 1, .frames = scene->frames, .rate = scene->rate};
  const FhCheckOptions options =
    {.kind = FH_CHECK_SOLOIST, .celsius = 20.0, .partials = {4.0, 10.0}, .low = 28, .high = 100};
  FhReport* const      report  = calloc(1, sizeof(*report));
  assert_non_null(report);
  assert_true(fh_check(&take, &options, report));
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    if (f->fault && strcmp(f->code, "wind") && strcmp(f->code, code)) {
      print_error("%s, take %d: %s\n", scene->request.spec->name, (int)scene->request.seed, f->text);
      ++*wrong;
    }
  }
  const bool named = fh_found(&report->findings, code);
  free(report);
  return named;
}

static void
test_scenes(void** const state)
{
  (void)state;
  static const double gains[] = {0.0, 15.0};
  const char*         why     = NULL;
  const bool          sampled = fh_sampled_available(FH_FONT_TIMGM6MB, &why);
  int                 wrong = 0, tried = 0, named = 0;
  const char* const   wish    = getenv("FH_SEEDS");
  const uint64_t      seeds   = wish ? strtoull(wish, NULL, 10) : 1; // 2 is thorough
  assert_true(seeds >= 1);
  for (size_t n = 0; n < NAMES; ++n) {
    for (uint64_t seed = 1; seed <= seeds; ++seed) {
      const FhSceneRequest request = {fh_scene_find(names[n]), seed, 15.0, 48000.0, sampled, FH_PLAIN, 0, FH_CACHE_DIR, FH_FONT_TIMGM6MB, 0, 0};
      FhScene              scene;
      assert_true(fh_scene_build(&scene, &request));
      scene.frames = (size_t)(SECONDS * scene.rate);
      float* const close = sound_of(&scene, 0, -6.0);
      for (int g = 0; g < 2; ++g, ++tried) {
        float* const ambient = sound_of(&scene, 1, gains[g] - 6.0);
        check(&scene, close, ambient, "", &wrong);
        int ignored = 0; // what else may be wrong with swapped inputs is not asked
        named += check(&scene, ambient, close, "swapped", &ignored);
        free(ambient);
      }
      free(close);
      fh_scene_free(&scene);
    }
  }
  print_message("%s: %d takes, %d faults named where there are none; swapped inputs named in %d\n",
                sampled ? "sampled" : "synthesised", tried, wrong, named);
  assert_int_equal(wrong, 0);
  assert_true(3 * named >= 2 * tried); // the rest say nothing of it, for levels alone could be gains
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_scenes)};
  return cmocka_run_group_tests_name("takes with a field", tests, NULL, NULL);
}
