// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_tracking.c
/// What tracking must find by itself, and what it must leave alone. Times and levels are the manual's promises; decibels of
/// the made-up field are known from its gains.

#include "field.h"

/// Noise as from a band far off: two beats a second, mostly alike in both microphones, 6 dB less in the close one
static Field
far_field(const uint64_t seed)
{
  return (Field){.noise = {seed}, .common = 0.05, .own = 0.02, .close = 0.5, .ambient = 1.0, .swell = 12.0};
}

/// Share of `seconds` with the gate within 1 dB of open; the soloist plays `on` s of each `period` s, and only that time counts
static double
share_open(Rig* const rig, Field* const f, const double seconds, const double on, const double period, const double solo)
{
  long open = 0, all = 0;
  for (int b = 0; b < (int)(seconds * BLOCKS_PER_SECOND); ++b) {
    const double at = fmod(b / (double)BLOCKS_PER_SECOND, period);
    f->solo         = at < on ? solo : 0.0;
    field_run(rig, f);
    if (solo <= 0.0 || at < on) {
      ++all;
      open += fh_engine_gate(rig->engine) > 0.891f;
    }
  }
  f->solo = 0.0;
  return (double)open / (double)all;
}

// Nothing learnt: heard at first, closed within 10 s of band playing, and then it stays closed
static void
closes_without_learning(void** const state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 3; ++seed) {
    Rig   rig   = rig_new(RATE, 1);
    Field field = far_field(seed);
    field_seconds(&rig, &field, 0.5);
    check_near((double)fh_engine_gate(rig.engine), 1.0, 1e-3);
    field_seconds(&rig, &field, 9.5);
    assert_int_equal(rig.engine->decision.state, FH_STATE_CLOSED);
    check_near((double)fh_engine_gate(rig.engine), 0.01, 1e-3); // 40 dB
    const double open = share_open(&rig, &field, 20.0, 1.0, 1.0, 0.0);
    print_message("  without learning: %.1f %% open from 10 s to 30 s\n", 100.0 * open);
    assert_true(open < 0.02);
    rig_free(&rig);
  }
}

// Nothing learnt and a soloist from the first moment, 15 dB over the field in the close microphone
static void
soloist_from_the_first_moment(void** const state)
{
  (void)state;
  Rig          rig    = rig_new(RATE, 1);
  Field        field  = far_field(4);
  const double solo   = 0.5 * 0.054 * 5.6 / 2.0; // eight harmonics: a power of four times its square
  const double early  = share_open(&rig, &field, 20.0, 2.0, 2.6, solo);
  const double later  = share_open(&rig, &field, 40.0, 2.0, 2.6, solo);
  print_message("  soloist at once: heard in %.1f %% of the notes, later %.1f %%\n", 100.0 * early, 100.0 * later);
  assert_true(early > 0.95);
  assert_true(later > 0.95);
  rig_free(&rig);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(closes_without_learning),
    cmocka_unit_test(soloist_from_the_first_moment),
  };
  return cmocka_run_group_tests_name("tracking", tests, NULL, NULL);
}
