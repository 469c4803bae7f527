// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Ten minutes in which nobody plays a solo, the band swinging by 20 dB and pausing: the gate stays shut. The project's own
// aims; truth is that every opening is false.

#include "jobs.h"
#include "table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#ifndef FH_CACHE_DIR
#  define FH_CACHE_DIR "."
#endif

#define SKIPPED 77 // meson's exit status for a test that cannot run here

static const FhCondition conditions[] = {FH_NO_SOLO, FH_NO_SOLO_WIND};

static FhResult* results;

static int
run_scenes(void** const state)
{
  (void)state;
  size_t                   count = 0;
  const FhSceneSpec* const list  = fh_scene_list(&count);
  const FhJobPlan          plan  = {.processes = 2};
  results                        = fh_results_make(2);
  for (int i = 0; i < 2; ++i) {
    results[i].request = (FhSceneRequest){&list[0], (uint64_t)i + 1, 10.0, 48000.0, true, conditions[i], 0, FH_CACHE_DIR};
  }
  const size_t failed = fh_jobs_run(results, 2, &plan);
  fh_table_print(results, 2, false);
  fflush(stdout);
  return failed ? -1 : 0;
}

static double
openings(const int which)
{
  const FhScore* const score = &results[which].score;
  assert_true(score->rest_s > 9.5 * 60.0);
  return score->value[FH_MEASURE_FALSE_RATE] * score->rest_s / 60.0;
}

static void
opens_twice_at_most(void** const state)
{
  (void)state;
  assert_true(openings(0) <= 2.0);
}

static void
opens_once_a_minute_at_most_in_wind(void** const state)
{
  (void)state;
  assert_true(openings(1) <= 10.0);
}

int
main(void)
{
  const char* why = NULL;
  if (!fh_sampled_available(&why)) {
    printf("skipped: %s\n", why);
    return SKIPPED;
  }
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(opens_twice_at_most),
    cmocka_unit_test(opens_once_a_minute_at_most_in_wind),
  };
  return cmocka_run_group_tests_name("no solo", tests, run_scenes, NULL);
}
