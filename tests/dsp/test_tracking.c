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
    assert_int_equal(rig.engine->running.gate.state, FH_STATE_CLOSED);
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

// Another trim of the ambient microphone, after learning: the predicted pickup is right again to 1.5 dB in some seconds
static void
follows_a_trim(void** const state)
{
  (void)state;
  static const struct {
    double db, seconds;
  } trim[] = {{12.0, 4.0}, {-12.0, 25.0}};
  for (int i = 0; i < 2; ++i) {
    Rig   rig   = rig_new(RATE, 1);
    Field field = far_field(5);
    field_learn(&rig, &field, 10.0);
    field_seconds(&rig, &field, 5.0);
    check_near((double)(rig.controls[FH_PICKUP_LEVEL] - rig.controls[FH_CLOSE_LEVEL]), 0.0, 1.5);

    field.ambient = pow(10.0, 0.05 * trim[i].db);
    field_seconds(&rig, &field, 0.15);
    const double at_once = (double)(rig.controls[FH_PICKUP_LEVEL] - rig.controls[FH_CLOSE_LEVEL]);
    assert_true(fabs(at_once) > 2.0); // wrong at first
    field_seconds(&rig, &field, trim[i].seconds - 0.15);
    print_message("  trim %+.0f dB: pickup off by %.1f dB at once, %.1f dB after %.0f s\n", trim[i].db, at_once,
                  (double)(rig.controls[FH_PICKUP_LEVEL] - rig.controls[FH_CLOSE_LEVEL]), trim[i].seconds);
    check_near((double)(rig.controls[FH_PICKUP_LEVEL] - rig.controls[FH_CLOSE_LEVEL]), 0.0, 1.5);
    assert_true(share_open(&rig, &field, 10.0, 1.0, 1.0, 0.0) < 0.02);
    rig_free(&rig);
  }
}

// What was learnt yesterday and restored is there after a minute of a field that tracking may follow, soloist and all
static void
restored_survives_tracking(void** const state)
{
  (void)state;
  Rig   yesterday = rig_new(RATE, 1);
  Field field     = far_field(6);
  field_learn(&yesterday, &field, 14.0);
  FhLearnt before, after;
  fh_engine_get_learnt(yesterday.engine, &before);
  rig_free(&yesterday);
  check_near((double)before.known, 1.0, 0.0);

  Rig rig = rig_new(RATE, 1);
  assert_true(fh_engine_set_learnt(rig.engine, &before));
  const double heard = share_open(&rig, &field, 60.0, 3.0, 5.0, 0.08);
  assert_true(heard > 0.95);
  fh_engine_get_learnt(rig.engine, &after);
  check_near((double)after.known, 1.0, 0.0);
  double most = 0.0;
  for (int p = 0; p < FH_PATHS; ++p) {
    for (int k = 0; k < FH_BANDS; ++k) {
      most = fmax(most, fabs((double)(after.ratio[p][0][k] - before.ratio[p][0][k])));
      for (int point = 1; point < 4; ++point) {
        check_near((double)after.ratio[p][point][k], (double)before.ratio[p][point][k], 1e-4);
      }
    }
  }
  print_message("  restored medians moved by %.2f dB in a minute\n", most);
  assert_true(most < 0.7);
  rig_free(&rig);
}

// Learnt from a part of what was heard, there may be notes in it yet: bands that were learnt too loud, or to stray too far, come back
// to the field within a minute at rest, and none goes up. Learnt from the whole, none is touched.
static void
learnt_from_a_part_heals(void** const state)
{
  (void)state;
  Rig   rig   = rig_new(RATE, 1);
  Field field = far_field(8);
  field_learn(&rig, &field, 10.0);
  FhLearnt right, wrong, after;
  fh_engine_get_learnt(rig.engine, &right);
  assert_true(right.asked == 1.0f);
  for (int partly = 0; partly < 2; ++partly) {
    wrong       = right;
    wrong.asked = partly ? 2.0f : 1.0f;
    wrong.counted_s[0] = 0.0f;
    for (int p = 0; p < FH_LOOKS; ++p) {
      wrong.ratio[p][0][1] += 3.0f;
      wrong.ratio[p][3][1] += 10.0f;
      wrong.ratio[p][0][4] -= 3.0f;
    }
    for (int p = 0; p < FH_LOOKS - 1; ++p) { // as a Learn leaves them
      memcpy(wrong.bound[p][0], wrong.ratio[p + 1][0], sizeof(wrong.bound[p][0]));
      memcpy(wrong.bound[p][1], wrong.ratio[p + 1][3], sizeof(wrong.bound[p][1]));
    }
    assert_true(fh_engine_set_learnt(rig.engine, &wrong));
    field_seconds(&rig, &field, 40.0);
    fh_engine_get_learnt(rig.engine, &after);
    assert_true(after.asked == wrong.asked);
    const float loud = after.ratio[2][0][1] - after.shift - right.ratio[2][0][1], stray = after.ratio[2][3][1] - right.ratio[2][3][1];
    const float soft = after.ratio[2][0][4] - after.shift - right.ratio[2][0][4];
    print_message("  learnt from %s: 3 dB too loud became %.1f, 10 dB too far astray %.1f, 3 dB too soft %.1f\n",
                  partly ? "a part" : "the whole", (double)loud, (double)stray, (double)-soft);
    assert_true(partly ? loud < 1.5f && stray < 9.0f : loud > 2.9f && stray > 9.9f);
    assert_true(soft < -2.9f);
  }
  rig_free(&rig);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(closes_without_learning),
    cmocka_unit_test(soloist_from_the_first_moment),
    cmocka_unit_test(follows_a_trim),
    cmocka_unit_test(restored_survives_tracking),
    cmocka_unit_test(learnt_from_a_part_heals),
  };
  return cmocka_run_group_tests_name("tracking", tests, NULL, NULL);
}
