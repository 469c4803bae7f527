// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What the plugin must reach on the sampled scenes of the first four families, and in ten minutes in which nobody plays a
// solo, with one set of defaults and `learn`, against truth worked out from the stems. Limits are a fifth over what the decision
// was measured to do on these four (missed 1.65 %, gained 8.34 dB), so that a change for the worse shows; and for what was next to
// nothing, the project's own aims. In the tests only two of the ten minutes, which alone may not open as often as ten may;
// with --all each of them.

#include "jobs.h"
#include "table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define FAMILIES 4
#define SCENES (FAMILIES + 2) // and the minutes without a soloist: still air, gusts
#define SKIPPED 77 // meson's exit status for a test that cannot run here

static FhResult* results;
static int       minutes = 2; // without a soloist

static int
run_scenes(void** const state)
{
  (void)state;
  size_t                   count = 0;
  const FhSceneSpec* const list  = fh_scene_list(&count);
  const FhJobPlan          plan  = {.processes = 2, .minutes = minutes};
  results                        = fh_results_make(SCENES);
  for (int i = 0; i < FAMILIES; ++i) {
    results[i].request = (FhSceneRequest){&list[i], 1, 10.0, 48000.0, true, FH_PLAIN, 0, FH_CACHE_DIR, FH_FONT_TIMGM6MB, 0, 0};
  }
  results[FAMILIES].request     = (FhSceneRequest){&list[0], 1, 10.0, 48000.0, true, FH_NO_SOLO, 0, FH_CACHE_DIR, FH_FONT_TIMGM6MB, 0, 0};
  const uint64_t windy          = minutes > 2 ? 2 : 1; // the short form blows on music that is there already
  results[FAMILIES + 1].request = (FhSceneRequest){&list[0], windy, 10.0, 48000.0, true, FH_NO_SOLO_WIND, 0, FH_CACHE_DIR, FH_FONT_TIMGM6MB, 0, 0};
  const size_t failed = fh_jobs_run(results, SCENES, &plan);
  fh_table_print(results, SCENES, false);
  fflush(stdout);
  return failed ? -1 : 0;
}

static double
mean(const FhMeasure measure)
{
  return fh_table_mean(results, FAMILIES, FH_PLAIN, measure);
}

static void
improves_by_seven_decibels(void** const state)
{
  (void)state;
  assert_true(mean(FH_MEASURE_GAINED) >= 7.0);
}

static void
hardly_opens_falsely(void** const state)
{
  (void)state;
  assert_true(mean(FH_MEASURE_FALSE_OPEN) <= 0.3);
}

static void
misses_two_percent_at_most(void** const state)
{
  (void)state;
  assert_true(mean(FH_MEASURE_MISSED) <= 2.0);
}

static void
takes_thirty_five_decibels_between_phrases(void** const state)
{
  (void)state;
  assert_true(mean(FH_MEASURE_REMOVED) >= 35.0);
}

static void
shows_no_fault(void** const state)
{
  (void)state;
  for (int i = 0; i < SCENES; ++i) {
    assert_true(results[i].score.fault_s == 0.0);
  }
}

/// Openings in all minutes in which each is false
static double
openings(const FhScore* const score)
{
  assert_true(score->rest_s > (minutes - 0.5) * 60.0);
  return score->value[FH_MEASURE_FALSE_RATE] * score->rest_s / 60.0;
}

static void
opens_twice_at_most_without_a_soloist(void** const state)
{
  (void)state;
  assert_true(openings(&results[FAMILIES].score) <= 2.0);
}

static void
opens_twice_at_most_in_wind(void** const state)
{
  (void)state;
  assert_true(openings(&results[FAMILIES + 1].score) <= 2.0);
}

/// Nothing done at all must not pass for a good gate: the input is bad enough, and ideal gains leave room
static void
scenes_ask_for_work(void** const state)
{
  (void)state;
  assert_true(mean(FH_MEASURE_BEFORE) > 2.0 && mean(FH_MEASURE_BEFORE) < 15.0);
  assert_true(mean(FH_MEASURE_IDEAL_REF) > mean(FH_MEASURE_BEFORE) + 5.0);
  for (int i = 0; i < FAMILIES; ++i) {
    assert_true(results[i].score.active_s > 5.0 && results[i].score.rest_s > 5.0 && results[i].score.onset_count >= 4);
  }
}

int
main(const int argc, char** const argv)
{
  if (argc > 1 && !strcmp(argv[1], "--all")) {
    minutes = 10;
  }
  const char* why = NULL;
  if (!fh_sampled_available(FH_FONT_TIMGM6MB, &why)) {
    printf("skipped: %s\n", why);
    return SKIPPED;
  }
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(scenes_ask_for_work),
    cmocka_unit_test(shows_no_fault),
    cmocka_unit_test(improves_by_seven_decibels),
    cmocka_unit_test(hardly_opens_falsely),
    cmocka_unit_test(misses_two_percent_at_most),
    cmocka_unit_test(takes_thirty_five_decibels_between_phrases),
    cmocka_unit_test(opens_twice_at_most_without_a_soloist),
    cmocka_unit_test(opens_twice_at_most_in_wind),
  };
  return cmocka_run_group_tests_name("first families", tests, run_scenes, NULL);
}
