// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The outer guard: a decision that hears nobody at all, and still a plain soloist is heard within a second; nothing else opens.
// Held against the clock and against takes made here, of which it is known what sounds.

#include "field.h"

#include <stdio.h>

/// An engine that has learnt the field
static Rig
learnt(Field* const f)
{
  Rig rig = rig_new(RATE, 1);
  field_seconds(&rig, f, 1.0);
  field_learn(&rig, f, 6.0);
  field_seconds(&rig, f, 2.0);
  return rig;
}

/// Seconds until the gate is open by another word than the decision's; `most` where it stays shut
static double
until_open(Rig* const rig, Field* const f, const double most)
{
  int blocks = 0;
  while (blocks < (int)(most * BLOCKS_PER_SECOND) && fh_engine_gate(rig->engine) <= 0.5f) {
    rig->engine->settings.decision.margin = 1e8f;
    field_run(rig, f);
    ++blocks;
  }
  return (double)blocks / BLOCKS_PER_SECOND;
}

static void
plain_soloist_is_heard(void** const state)
{
  (void)state;
  Field  f   = {.common = 0.03, .own = 0.01, .close = 0.5, .ambient = 1.0};
  Rig    rig = learnt(&f);
  assert_true(until_open(&rig, &f, 10.0) >= 10.0); // the field itself
  f.solo             = 0.1;
  const double first = until_open(&rig, &f, 5.0);
  f.solo = 0.0;
  field_seconds(&rig, &f, 1.5);
  assert_true(fh_engine_gate(rig.engine) < 0.1f); // shut again
  f.solo              = 0.1;
  const double second = until_open(&rig, &f, 5.0);
  printf("heard after %.2f s, and the next note after %.2f s\n", first, second);
  assert_true(first < 1.0 && second < 1.0);
  rig_free(&rig);
}

/// Noise as loud is no soloist, nor a soloist who does not stand out; and muted is muted
static void
nothing_else_opens(void** const state)
{
  (void)state;
  Field f   = {.common = 0.03, .own = 0.01, .close = 0.5, .ambient = 1.0};
  Rig   rig = learnt(&f);
  f.close   = 8.0; // 24 dB more of the field, as if a player stood right behind
  rig.controls[FH_TRACKING] = 0.0f;
  assert_true(until_open(&rig, &f, 5.0) >= 5.0);
  f.close = 0.5;
  f.solo  = 0.004; // 4 dB over the field in a band at most
  assert_true(until_open(&rig, &f, 5.0) >= 5.0);
  f.solo                 = 0.1;
  rig.controls[FH_MUTED] = 1.0f;
  assert_true(until_open(&rig, &f, 5.0) >= 5.0);
  rig_free(&rig);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(plain_soloist_is_heard), cmocka_unit_test(nothing_else_opens)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
