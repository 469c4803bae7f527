// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Edits taken back and done again. What is true of every list of them: taking all back gives the values before the
// first, doing all again gives those after the last; the host hears each

#include "desk.h"

#include "../dsp/check.h"

#include <stdlib.h>

static void
undo_gives_back_every_edit(void** const state)
{
  (void)state;
  float after[FH_CONTROL_COUNT], before[FH_CONTROL_COUNT], host[FH_CONTROL_COUNT];
  memcpy(before, m.v, sizeof(before));
  memcpy(host, m.v, sizeof(host));
  srand(7);
  int edits = 0;
  for (int i = 0; i < 40; ++i) {
    const int item = rand() % FH_ITEM_COUNT;
    if (fh_items[item].kind == FH_ITEM_VALUE) {
      const int writes_before = count;
      fh_edit_wheel(&m, item, rand() % 2 ? 3 : -3, false);
      edits += count > writes_before;
      pass(1.0);
    }
  }
  memcpy(after, m.v, sizeof(after));
  assert_true(edits > 10 && memcmp(before, after, sizeof(before)) != 0);
  for (int round = 0; round < 2; ++round) {
    int undone = 0, redone = 0;
    m.focus    = 0; // Without a focus the keys are the host's
    while (fh_edit_key(&m, FH_KEY_UNDO, 0, false)) {
      ++undone;
      host[writes[(count - 1) % MAX_WRITES].control] = writes[(count - 1) % MAX_WRITES].value;
    }
    assert_int_equal(undone, edits);
    assert_memory_equal(m.v, before, sizeof(before));
    assert_memory_equal(host, before, sizeof(before));
    while (fh_edit_key(&m, FH_KEY_REDO, 0, false)) {
      ++redone;
    }
    assert_int_equal(redone, edits);
    assert_memory_equal(m.v, after, sizeof(after));
  }
}

static void
a_drag_is_one_edit(void** const state)
{
  (void)state;
  const int   item = item_of(FH_HOLD), other = item_of(FH_RANGE);
  const float hold = m.v[FH_HOLD], range = m.v[FH_RANGE];
  fh_edit_press(&m, item, 0, 10.0, 10.0);
  for (int i = 1; i < 20; ++i) {
    pass(0.2);
    fh_edit_move(&m, item, 10.0 + i, 10.0, 100.0, false);
  }
  assert_false(fh_edit_key(&m, FH_KEY_UNDO, 0, false)); // Not under the hand
  fh_edit_release(&m);
  m.focus = other;
  pass(1.0);
  fh_edit_key(&m, FH_KEY_MORE, 0, false);
  fh_edit_key(&m, FH_KEY_MORE, 0, false);
  assert_true(fh_edit_key(&m, FH_KEY_UNDO, 0, false)); // Two quick steps, one edit
  assert_true(m.v[FH_RANGE] == range);
  assert_true(fh_edit_key(&m, FH_KEY_UNDO, 0, false));
  assert_true(m.v[FH_HOLD] == hold);
  assert_int_equal(m.focus, item);
  assert_false(fh_edit_key(&m, FH_KEY_UNDO, 0, false));

  fh_edit_key(&m, FH_KEY_END, 0, false); // A new edit: nothing to do again
  assert_false(fh_edit_key(&m, FH_KEY_REDO, 0, false));
}

// Two sets of values: what is true of any two. Each comes back as it was left, the host hears what differs, what is no
// value stays, and an edit is taken back in the set it was made in
static void
two_sets_are_kept_apart(void** const state)
{
  (void)state;
  const float hold = m.v[FH_HOLD], range = m.v[FH_RANGE];
  fh_model_set(&m, FH_HOLD, 300.0f);
  pass(1.0);
  fh_model_turn_sets(&m);
  assert_int_equal(m.set, 1);
  assert_true(m.v[FH_HOLD] == 300.0f); // B begins as A was
  fh_model_set(&m, FH_RANGE, 20.0f);
  fh_model_set(&m, FH_MUTED, 1.0f);
  pass(1.0);
  fh_model_turn_sets(&m);
  assert_true(m.set == 0 && m.v[FH_RANGE] == range && m.v[FH_HOLD] == 300.0f && m.v[FH_MUTED] == 1.0f);
  assert_true(writes[count - 1].control == FH_RANGE && writes[count - 1].value == range);
  const int before = count;
  fh_model_turn_sets(&m);
  assert_true(m.v[FH_RANGE] == 20.0f && count == before + 1);
  fh_model_turn_sets(&m);

  assert_true(fh_model_undo(&m)); // The mute, which belongs to no set, was made in B
  assert_true(m.v[FH_MUTED] == 0.0f && m.set == 1);
  assert_true(fh_model_undo(&m));
  assert_true(m.v[FH_RANGE] == range && m.set == 1);
  assert_true(fh_model_undo(&m));
  assert_true(m.v[FH_HOLD] == hold && m.set == 0);
  fh_model_turn_sets(&m);
  assert_true(m.v[FH_HOLD] == 300.0f);
}

// What was learnt or cleared is taken back by the plugin, which keeps the last time only
static void
the_last_learn_can_be_taken_back(void** const state)
{
  (void)state;
  const float hold = m.v[FH_HOLD];
  m.focus          = item_of(FH_HOLD);
  fh_edit_key(&m, FH_KEY_MORE, 0, false);
  for (int i = 0; i < 2; ++i) { // Twice learnt
    fh_model_press(&m, item_of(FH_LEARN));
    fh_model_press(&m, item_of(FH_LEARN));
    pass(1.0);
    assert_true(m.v[FH_LEARN] == (float)FH_LEARN_AMBIENT);
    assert_false(fh_edit_key(&m, FH_KEY_UNDO, 0, false)); // Not while it goes on
    fh_model_press(&m, item_of(FH_LEARN));
    pass(1.0);
  }
  count = 0;
  assert_true(fh_edit_key(&m, FH_KEY_UNDO, 0, false));
  pass(1.0);
  assert_int_equal(count, 2);
  assert_true(writes[0].control == FH_LEARN && writes[0].value == (float)FH_LEARN_BACK);
  assert_true(writes[1].control == FH_LEARN && writes[1].value == (float)FH_LEARN_OFF);
  assert_true(fh_edit_key(&m, FH_KEY_UNDO, 0, false)); // The first Learn is beyond reach: this is the edit before
  assert_true(m.v[FH_HOLD] == hold);
  assert_false(fh_edit_key(&m, FH_KEY_UNDO, 0, false));
  assert_true(fh_edit_key(&m, FH_KEY_REDO, 0, false));
  assert_true(fh_edit_key(&m, FH_KEY_REDO, 0, false));
  assert_true(m.v[FH_LEARN] == (float)FH_LEARN_BACK);
  pass(1.0);
  assert_false(fh_edit_key(&m, FH_KEY_REDO, 0, false));
}

static void
the_oldest_edits_go_first(void** const state)
{
  (void)state;
  m.focus = item_of(FH_MUTED);
  for (int i = 0; i < 2 * FH_CHANGES + 1; ++i) {
    fh_edit_key(&m, FH_KEY_ENTER, 0, false);
    pass(1.0);
  }
  int undone = 0;
  while (fh_edit_key(&m, FH_KEY_UNDO, 0, false)) {
    ++undone;
  }
  assert_int_equal(undone, FH_CHANGES);
  assert_true(m.v[FH_MUTED] == 1.0f); // An even number of turns before an odd one
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup(undo_gives_back_every_edit, start),
    cmocka_unit_test_setup(a_drag_is_one_edit, start),
    cmocka_unit_test_setup(two_sets_are_kept_apart, start),
    cmocka_unit_test_setup(the_last_learn_can_be_taken_back, start),
    cmocka_unit_test_setup(the_oldest_edits_go_first, start),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
