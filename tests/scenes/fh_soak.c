// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Hours of made-up shows, scored by their known truth.
//
//   fh-soak HOURS [SEED]    of audio time; every show has a scene and a seed of its own, from SEED (300) on
//
// One engine goes through each show: a take to learn from, a hostile one (the ambient microphone's level jumps, it drops out, wind
// blows, its cable crackles), a calm one right after it, and another. In the calm ones no more may be missed than 10 % at first,
// and at the end not more than that or twice what was missed before the hostile one. No sample may be broken.

#include "score.h"

#include "random.h"
#include "weather.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TAKES 4

/// Turn a calm take into a hostile one
static bool
spoil(FhScene* const scene, FhRandom random)
{
  float* const wind = (float*)malloc(scene->frames * sizeof(float));
  if (!wind) {
    return false;
  }
  fh_make_wind(random, 1, scene->rate, wind, scene->frames);
  const uint32_t ambient = scene->closes;
  const size_t   piece   = (size_t)scene->rate;
  float          trim    = 1.0f;
  int            kind    = 0;
  for (size_t i = 0; i < scene->frames; ++i) {
    if (i % piece == 0) {
      kind = fh_random_below(&random, 6);
      trim = (float)pow(10.0, fh_random_in(&random, -1.0, 1.0)); // +-20 dB
    }
    const float gain  = kind == 0 ? trim : kind == 1 ? 0.0f : 1.0f;
    const bool  crackle = kind == 3 && fh_random_below(&random, 2000) == 0;
    scene->solo[ambient][i] *= gain;
    scene->pickup[ambient][i] = crackle ? NAN : scene->pickup[ambient][i] * gain;
    scene->pickup[0][i] += kind == 2 ? 0.3f * wind[i] : 0.0f;
  }
  free(wind);
  return true;
}

static size_t
broken(const FhThrough* const through, const uint32_t closes)
{
  size_t count = 0;
  for (uint32_t c = 0; c < closes; ++c) {
    for (size_t i = 0; i < through->frames; ++i) {
      count += !isfinite(through->out[c][i]);
    }
  }
  return count;
}

/// One take through a running engine. @return false when memory is out
static bool
run_take(FhRig* const rig, const FhScene* const scene, const FhTruth* const truth, FhScore* const score, size_t* const bad)
{
  FhThrough  through = {0};
  const bool ok      = fh_through_run(&through, rig, scene);
  if (ok) {
    fh_score_make(score, truth, &through);
    *bad += broken(&through, scene->closes);
  }
  fh_through_free(&through);
  return ok;
}

/// A scene with sound of its own. @return false when memory is out; free either way with fh_scene_free()
static bool
copy_scene(FhScene* const to, const FhScene* const from)
{
  bool ok = true;
  *to     = *from;
  for (uint32_t m = 0; m < FH_MAX_MICS; ++m) {
    const size_t size = m < from->mics ? from->frames * sizeof(float) : 0;
    to->solo[m]       = size ? (float*)malloc(size) : NULL;
    to->pickup[m]     = size ? (float*)malloc(size) : NULL;
    ok                = ok && (!size || (to->solo[m] && to->pickup[m]));
    if (ok && size) {
      memcpy(to->solo[m], from->solo[m], size);
      memcpy(to->pickup[m], from->pickup[m], size);
    }
  }
  return ok;
}

/// All takes of a show: one that learns, one spoilt, and two that neither learn nor are spoilt
static bool
run_takes(FhRig* const rig, const FhSceneRequest* const request, FhScore score[TAKES], size_t* const bad)
{
  FhScene calm = {0}, hostile = {0};
  FhTruth truth = {0};
  bool    ok    = fh_scene_build(&calm, request) && fh_truth_make(&truth, &calm) && copy_scene(&hostile, &calm);
  ok            = ok && spoil(&hostile, fh_random(request->seed, 77u)) && run_take(rig, &calm, &truth, &score[0], bad);
  hostile.learn.to = calm.learn.to = 0.0;
  ok = ok && run_take(rig, &hostile, &truth, &score[1], bad);
  for (int take = 2; take < TAKES; ++take) {
    ok = ok && run_take(rig, &calm, &truth, &score[take], bad);
  }
  fh_truth_free(&truth);
  fh_scene_free(&calm);
  fh_scene_free(&hostile);
  return ok;
}

/// A whole show. @return 0 kept all promises, 1 broke one, -1 memory is out
static int
run_show(const FhSceneSpec* const spec, const uint64_t seed)
{
  FhRig   rig;
  FhScore score[TAKES];
  size_t  bad = 0;
  if (!fh_rig_make(&rig, 48000.0, spec->technique == FH_MIC_UNDER ? 2 : 1)) {
    return -1;
  }
  const FhSceneRequest request = {.spec = spec, .seed = seed, .ratio = 10.0, .rate = 48000.0, .condition = FH_PLAIN};
  const bool           ok      = run_takes(&rig, &request, score, &bad);
  fh_rig_free(&rig);
  if (!ok) {
    return -1;
  }
  const double clean = score[0].value[FH_MEASURE_MISSED];
  const double first = score[2].value[FH_MEASURE_MISSED];
  const double later = score[3].value[FH_MEASURE_MISSED];
  const bool   kept  = bad == 0 && first <= fmax(10.0, 2.0 * clean) && later <= fmax(10.0, 2.0 * clean);
  printf("%-14s %6llu %8.2f %8.2f %8.2f %8.2f %8.2f%s\n", spec->name, (unsigned long long)seed, clean, first, later,
         score[0].value[FH_MEASURE_FALSE_OPEN], score[3].value[FH_MEASURE_FALSE_OPEN], kept ? "" : "   BROKEN");
  fflush(stdout);
  return kept ? 0 : 1;
}

int
main(const int argc, char** const argv)
{
  char*          end   = NULL;
  const double   hours = argc > 1 ? strtod(argv[1], &end) : 0.0;
  uint64_t       seed  = argc > 2 ? strtoull(argv[2], NULL, 10) : 300u;
  if (!(hours > 0.0 && hours <= 1000.0) || *end) {
    fputs("usage: fh-soak HOURS [SEED]; HOURS of audio time, more than 0 and at most 1000\n", stderr);
    return EXIT_FAILURE;
  }
  size_t                   count = 0, shows = 0, failed = 0;
  const FhSceneSpec* const list = fh_scene_list(&count);
  printf("%-14s %6s %26s %17s\n%-14s %6s %8s %8s %8s %8s %8s\n", "", "", "missed %", "false %", "scene", "seed", "clean", "after",
         "later", "clean", "later");
  for (double s = 0.0; s < 3600.0 * hours; s += TAKES * FH_SCENE_SECONDS, ++seed, ++shows) {
    const int result = run_show(&list[seed % count], seed);
    if (result < 0) {
      fputs("fh-soak: out of memory; close other programs\n", stderr);
      return EXIT_FAILURE;
    }
    failed += (size_t)result;
  }
  printf("%zu shows, %.2f h: %zu broke a promise\n", shows, (double)shows * TAKES * FH_SCENE_SECONDS / 3600.0, failed);
  return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
