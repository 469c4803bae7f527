// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Nothing but a hand on the control starts learning, or forgets.

#include "host.h"
#include "learnt.h"

#include <math.h>

/// A `learn` that is there from the start is no press, nor after activate(); going off and on again is one
static void
test_learn_needs_an_edge(void** const state)
{
  (void)state;
  FhHost host;
  fh_open_steady(&host);
  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(&host, FH_LEARN_SECONDS);
  assert_int_equal(fh_value_of(&host).size, 0);

  lilv_instance_deactivate(host.instance);
  lilv_instance_activate(host.instance);
  fh_play(&host, FH_LEARN_SECONDS);
  assert_int_equal(fh_value_of(&host).size, 0);

  host.controls[FH_LEARN] = FH_LEARN_OFF;
  fh_play(&host, 0.1);
  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(&host, FH_LEARN_SECONDS);
  assert_true(fh_value_of(&host).size > 0);
  fh_host_close(&host);
}

/// Returning to off ends learning early; after a second or more, what was heard counts
static void
test_learn_ends_on_off(void** const state)
{
  (void)state;
  FhHost host;
  fh_open_steady(&host);
  fh_host_run(&host, 0);
  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(&host, 3.0);
  assert_true(host.controls[FH_LEARNT] > 5.0f && host.controls[FH_LEARNT] < 100.0f);
  host.controls[FH_LEARN] = FH_LEARN_OFF;
  fh_play(&host, 0.1);
  assert_true(host.controls[FH_LEARNT] == 100.0f);
  assert_true(fh_value_of(&host).size > 0);
  fh_host_close(&host);
}

/// Nothing, following and learnt are told apart, and when it was learnt: the time since is that of the frames played. A
/// Learn too short to teach anything changes neither; another session knows that it was learnt, but not when
static void
test_knowledge(void** const state)
{
  (void)state;
  FhHost host;
  FhHost later;
  fh_open_steady(&host);
  fh_host_run(&host, 0);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_NOTHING);
  assert_true(host.controls[FH_LEARNT_AGO] == -1.0f);
  host.controls[FH_TRACKING] = 1.0f;
  fh_play(&host, 10.0);
  assert_true(host.controls[FH_LEARNT] == 100.0f);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_FOLLOWING);
  assert_true(host.controls[FH_LEARNT_AGO] == -1.0f);

  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(&host, 4.0);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_FOLLOWING); // not yet
  host.controls[FH_LEARN] = FH_LEARN_OFF;
  fh_play(&host, 7.0);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_LEARNT);
  assert_true(fabsf(host.controls[FH_LEARNT_AGO] - 7.0f) < 0.05f);
  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(&host, 1.0);
  host.controls[FH_LEARN] = FH_LEARN_OFF;
  fh_play(&host, 1.0);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_LEARNT);
  assert_true(fabsf(host.controls[FH_LEARNT_AGO] - 9.0f) < 0.05f);

  fh_open_steady(&later);
  LilvState* const saved = fh_save(&host);
  fh_restore(&later, saved);
  lilv_state_free(saved);
  fh_play(&later, 1.0);
  assert_int_equal(later.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_LEARNT);
  assert_true(later.controls[FH_LEARNT_AGO] == -1.0f);

  host.controls[FH_CLEAR] = 1.0f;
  host.controls[FH_TRACKING] = 0.0f;
  fh_host_run(&host, 0);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_NOTHING);
  assert_true(host.controls[FH_LEARNT_AGO] == -1.0f);
  fh_host_close(&later);
  fh_host_close(&host);
}

static void
press(FhHost* const host, const FhControl control, const float value, const double seconds)
{
  host->controls[control] = value;
  fh_play(host, seconds);
  host->controls[control] = 0.0f;
  fh_host_run(host, 0);
}

/// Back gives what was known before, bit by bit, and when that was learnt; once more gives the later one again. So for a
/// Learn and for a Clear; with nothing to go back to it does nothing
static void
test_back(void** const state)
{
  (void)state;
  FhHost host, first, second;
  fh_open_steady(&host);
  fh_host_run(&host, 0);
  press(&host, FH_LEARN, FH_LEARN_BACK, 0.1);
  assert_int_equal(host.controls[FH_KNOWLEDGE], FH_KNOWLEDGE_NOTHING);
  press(&host, FH_LEARN, FH_LEARN_AMBIENT, FH_LEARN_SECONDS);
  fh_open_steady(&first);
  fh_open_steady(&second);
  LilvState* saved = fh_save(&host);
  fh_restore(&first, saved);
  lilv_state_free(saved);
  fh_host_run(&first, 0);

  fh_play(&host, 3.0);
  const float ago = host.controls[FH_LEARNT_AGO];
  press(&host, FH_LEARN, FH_LEARN_AMBIENT, 4.0);
  saved = fh_save(&host);
  fh_restore(&second, saved);
  lilv_state_free(saved);
  fh_host_run(&second, 0);
  fh_assert_same(&host, &second);
  assert_true(host.controls[FH_LEARNT_AGO] < 0.1f);

  press(&host, FH_LEARN, FH_LEARN_BACK, 0.1);
  fh_assert_same(&host, &first);
  assert_true(fabsf(host.controls[FH_LEARNT_AGO] - ago - 4.1f) < 0.1f);
  press(&host, FH_LEARN, FH_LEARN_BACK, 0.1);
  fh_assert_same(&host, &second);

  press(&host, FH_CLEAR, 1.0f, 0.1);
  assert_int_equal(fh_value_of(&host).size, 0);
  press(&host, FH_LEARN, FH_LEARN_BACK, 0.1);
  fh_assert_same(&host, &second);
  press(&host, FH_LEARN, FH_LEARN_BACK, 0.1);
  assert_int_equal(fh_value_of(&host).size, 0);
  fh_host_close(&second);
  fh_host_close(&first);
  fh_host_close(&host);
}

/// A user preset that was saved with a press in it: nothing is pressed, whatever comes first, ports or state
static void
test_presets_press_nothing(void** const state)
{
  (void)state;
  FhHost host;
  FhHost other;
  fh_open_learnt(&host);
  fh_open_steady(&other);
  LilvState* const saved = fh_save(&host);
  fh_restore(&other, saved);
  fh_play(&host, 1.0);
  fh_play(&other, 1.0);

  for (int ports_first = 0; ports_first < 2; ++ports_first) {
    for (int is_clear = 0; is_clear < 2; ++is_clear) {
      const FhControl pressed = is_clear ? FH_CLEAR : FH_LEARN;
      if (!ports_first) {
        fh_restore(&host, saved);
        fh_play(&host, 0.05); // The host takes its time between the two
      }
      host.controls[pressed] = 1.0f;
      if (ports_first) {
        fh_restore(&host, saved);
      }
      fh_play(&host, FH_LEARN_SECONDS);
      fh_assert_same(&host, &other);
      host.controls[pressed] = 0.0f;
      fh_play(&host, 1.0);
      fh_assert_same(&host, &other);
    }
  }

  host.controls[FH_CLEAR] = 1.0f; // A hand on the control, at last
  fh_play(&host, 0.1);
  assert_int_equal(fh_value_of(&host).size, 0);
  lilv_state_free(saved);
  fh_host_close(&other);
  fh_host_close(&host);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_learn_needs_an_edge),
    cmocka_unit_test(test_learn_ends_on_off),
    cmocka_unit_test(test_knowledge),
    cmocka_unit_test(test_back),
    cmocka_unit_test(test_presets_press_nothing),
  };
  return cmocka_run_group_tests(tests, fh_learnt_open, fh_learnt_close);
}
