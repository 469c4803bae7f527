// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Edits by pointer and keys, without a window system

#include "desk.h"

#include "../dsp/check.h"

#include <stdbool.h>

static bool
type(const char* text)
{
  bool used = true;
  for (; *text; ++text) {
    used = fh_edit_key(&m, FH_KEY_TEXT, *text, false) && used;
  }
  return used;
}

static void
enter(const FhControl control, const char* const text)
{
  m.focus = item_of(control);
  type(text);
  fh_edit_key(&m, FH_KEY_ENTER, 0, false);
}

static void
typed_values(void** const state)
{
  (void)state;
  static const struct {
    FhControl   control;
    const char* text;
    double      value;
  } cases[] = {
    {FH_OPEN_MARGIN, "12.5", 12.5}, {FH_OPEN_MARGIN, "-3", -3.0},   {FH_OPEN_MARGIN, "4,25", 4.25},
    {FH_OPEN_MARGIN, "+7", 7.0},    {FH_OPEN_MARGIN, "99", 24.0},   {FH_OPEN_MARGIN, "-99", -6.0},
    {FH_OPEN_MARGIN, "5dB", 5.0},   {FH_LOW_CUT, "1.2k", 1200.0},   {FH_LOW_CUT, "300Hz", 300.0},
    {FH_HIGH_CUT, "8kHz", 8000.0},  {FH_HOLD, "0.3s", 300.0},       {FH_HOLD, "40ms", 40.0},
    {FH_ATTACK, ".5", 0.5},         {FH_TRACKING_TIME, "2500ms", 2.5},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    start(NULL);
    enter(cases[i].control, cases[i].text);
    assert_false(m.typing);
    check_near((double)m.v[cases[i].control], cases[i].value, 1e-5 * fabs(cases[i].value));
    assert_int_equal(count, 1);
    assert_int_equal(writes[0].control, cases[i].control);
  }
}

static void
typed_nonsense_changes_nothing(void** const state)
{
  (void)state;
  static const char* const bad[] = {"-", ".", "1.2.3", "5ms", "3x", "1-2", "--4", "2k"};
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    start(NULL);
    enter(FH_OPEN_MARGIN, bad[i]);
    if (!m.refused || !m.typing || count) {
      fail_msg("\"%s\" was taken for a margin", bad[i]);
    }
    fh_edit_key(&m, FH_KEY_ESCAPE, 0, false);
    assert_false(m.typing);
    assert_int_equal(m.focus, item_of(FH_OPEN_MARGIN));
  }
  start(NULL);
  m.focus = item_of(FH_HOLD);
  type("123456789012345678901234567890"); // Longer than there is room for
  assert_true(strlen(m.typed) < sizeof(m.typed));
  for (int i = 0; i < 40; ++i) {
    fh_edit_key(&m, FH_KEY_RUBOUT, 0, false);
  }
  assert_false(m.typing);
  assert_int_equal(count, 0);
}

static void
tab_reaches_every_input(void** const state)
{
  (void)state;
  bool reached[FH_CONTROL_COUNT] = {false};
  bool learns[3]                 = {false};
  m.pages                        = 2;
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    m.hover = 0;
    assert_true(fh_edit_key(&m, FH_KEY_TAB, 0, false));
    assert_int_equal(m.focus, i);
    assert_int_equal(m.hover, FH_NO_ITEM); // A pointer that only rests there does not keep the help
    if (fh_items[i].control != FH_NO_CONTROL) {
      reached[fh_items[i].control] = true;
    }
    learns[fh_items[i].choice]   = true;
  }
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    if (fh_controls[c].flow == FH_INPUT && !reached[c]) {
      fail_msg("Tab does not reach %s", fh_controls[c].symbol);
    }
  }
  assert_true(learns[FH_LEARN_AMBIENT] && learns[FH_LEARN_SOLO]);
  fh_edit_key(&m, FH_KEY_TAB, 0, false);
  assert_int_equal(m.focus, 0);
  fh_edit_key(&m, FH_KEY_BACK_TAB, 0, false);
  assert_int_equal(m.focus, FH_ITEM_COUNT - 1);
  m.pages = 1; // Nothing to turn
  fh_edit_key(&m, FH_KEY_TAB, 0, false);
  fh_edit_key(&m, FH_KEY_BACK_TAB, 0, false);
  assert_int_equal(m.focus, FH_ITEM_COUNT - 2);
}

/// Whether the focused item can be worked to write its control, by these keys alone
static bool
key_writes(const FhControl control, const FhKey key, const char text)
{
  const int before = count;
  fh_edit_key(&m, key, text, false);
  if (key == FH_KEY_TEXT) {
    fh_edit_key(&m, FH_KEY_ENTER, 0, false);
  }
  return count > before && writes[(count - 1) % MAX_WRITES].control == control;
}

/// Items that work the window and no port
static void
work_window(const int item)
{
  const FhItemKind kind = fh_items[item].kind;
  assert_true(fh_edit_key(&m, FH_KEY_ENTER, 0, false));
  assert_int_equal(m.focus, item);
  if (kind == FH_ITEM_UNDO || kind == FH_ITEM_REDO) {
    assert_int_equal(fh_model_can_redo(&m), kind == FH_ITEM_UNDO);
  } else if (kind == FH_ITEM_SETS) {
    assert_true(m.set == 1 && fh_edit_key(&m, FH_KEY_ENTER, 0, false) && m.set == 0);
  } else {
    assert_int_equal(m.page, 1);
    assert_true(fh_edit_key(&m, FH_KEY_MORE, 0, false)); // There are no more
    assert_int_equal(m.page, 1);
    assert_true(fh_edit_key(&m, FH_KEY_ENTER, 0, false)); // Round again
    assert_int_equal(m.page, 0);
    assert_true(fh_edit_key(&m, FH_KEY_MORE, 0, false));
    assert_int_equal(m.page, 1);
  }
}

// No pointer is needed for anything
static void
keys_work_every_item(void** const state)
{
  (void)state;
  m.pages = 2;
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const FhItem* const it = &fh_items[i];
    const FhControl     c  = it->control;
    fh_edit_key(&m, FH_KEY_TAB, 0, false);
    assert_int_equal(m.focus, i);
    switch (it->kind) {
    case FH_ITEM_SWITCH:
      assert_true(key_writes(c, FH_KEY_ENTER, 0));
      assert_true(key_writes(c, FH_KEY_ENTER, 0)); // And back
      break;
    case FH_ITEM_LEARN:
      assert_false(key_writes(c, FH_KEY_ENTER, 0)); // Counts down
      assert_true(key_writes(c, FH_KEY_ENTER, 0));
      assert_true(m.v[c] == (float)it->choice);
      assert_true(key_writes(c, FH_KEY_ENTER, 0));
      assert_true(m.v[c] == 0.0f);
      break;
    case FH_ITEM_CLEAR:
      assert_false(key_writes(c, FH_KEY_ENTER, 0)); // Asks first
      assert_true(key_writes(c, FH_KEY_ENTER, 0));
      break;
    case FH_ITEM_UNDO:
    case FH_ITEM_REDO:
    case FH_ITEM_SETS:
    case FH_ITEM_PAGES:
      work_window(i);
      break;
    case FH_ITEM_CHOICE:
      for (int point = 1; point <= (int)fh_controls[c].max; ++point) {
        assert_true(key_writes(c, FH_KEY_MORE, 0));
        assert_true(m.v[c] == (float)point);
      }
      assert_true(key_writes(c, FH_KEY_HOME, 0));
      break;
    case FH_ITEM_VALUE:
      assert_true(key_writes(c, FH_KEY_HOME, 0) || m.v[c] == fh_controls[c].min);
      assert_true(key_writes(c, FH_KEY_MORE, 0));
      assert_true(key_writes(c, FH_KEY_END, 0));
      assert_true(key_writes(c, FH_KEY_LESS, 0));
      assert_true(key_writes(c, FH_KEY_TEXT, '7'));
      assert_true(m.v[c] == fh_clamp(c, 7.0f));
      break;
    case FH_ITEM_FREEZE: // More of it in test_look.c
      assert_true(fh_edit_key(&m, FH_KEY_ENTER, 0, false) && m.look.frozen);
      assert_true(fh_edit_key(&m, FH_KEY_ENTER, 0, false) && !m.look.frozen);
      break;
    case FH_ITEM_COLOURS:
      assert_true(fh_edit_key(&m, FH_KEY_ENTER, 0, false) && m.day);
      assert_true(fh_edit_key(&m, FH_KEY_COLOURS, 0, false) && !m.day);
      break;
    }
  }
}

static void
other_keys_are_the_hosts(void** const state)
{
  (void)state;
  for (int key = FH_KEY_MORE; key <= FH_KEY_TEXT; ++key) { // Nothing has the focus
    assert_int_equal(fh_edit_key(&m, (FhKey)key, '5', false), key == FH_KEY_COLOURS || key == FH_KEY_FREEZE);
  }
  for (int item = 0; item < FH_ITEM_COUNT; ++item) {
    m.focus = item;
    assert_false(fh_edit_key(&m, FH_KEY_TEXT, ' ', false));
    assert_false(fh_edit_key(&m, FH_KEY_TEXT, 'q', false));
  }
  m.focus = item_of(FH_HOLD);
  type("1");
  assert_false(fh_edit_key(&m, FH_KEY_TEXT, ' ', false)); // Even while typing
  fh_edit_key(&m, FH_KEY_ESCAPE, 0, false);
  assert_true(fh_edit_key(&m, FH_KEY_ESCAPE, 0, false));
  assert_int_equal(m.focus, FH_NO_ITEM);
  assert_false(fh_edit_key(&m, FH_KEY_ESCAPE, 0, false));
}

static void
keys_step_and_clamp(void** const state)
{
  (void)state;
  m.focus = item_of(FH_OPEN_MARGIN);
  fh_edit_key(&m, FH_KEY_MORE, 0, false);
  check_near((double)m.v[FH_OPEN_MARGIN], 3.5, 1e-5);
  fh_edit_key(&m, FH_KEY_LESS, 0, true);
  check_near((double)m.v[FH_OPEN_MARGIN], 3.45, 1e-5);
  fh_edit_key(&m, FH_KEY_HOME, 0, false);
  fh_edit_key(&m, FH_KEY_LESS, 0, false);
  check_near((double)m.v[FH_OPEN_MARGIN], -6.0, 1e-6);
  fh_edit_key(&m, FH_KEY_END, 0, false);
  fh_edit_key(&m, FH_KEY_PAGE_MORE, 0, false);
  check_near((double)m.v[FH_OPEN_MARGIN], 24.0, 1e-6);
  fh_edit_key(&m, FH_KEY_DEFAULT, 0, false);
  check_near((double)m.v[FH_OPEN_MARGIN], (double)fh_controls[FH_OPEN_MARGIN].def, 1e-6);

  // Six steps are an octave on a logarithmic scale
  m.focus = item_of(FH_RELEASE);
  for (int i = 0; i < 6; ++i) {
    fh_edit_key(&m, FH_KEY_MORE, 0, false);
  }
  check_near((double)m.v[FH_RELEASE], 160.0, 1.6);
}

static void
every_value_reaches_both_ends(void** const state)
{
  (void)state;
  for (int item = 0; item < FH_ITEM_COUNT; ++item) {
    const FhControl c = fh_items[item].control;
    if (fh_items[item].kind != FH_ITEM_VALUE) {
      continue;
    }
    for (int i = 0; i < 400; ++i) {
      fh_edit_wheel(&m, item, 1, false);
    }
    assert_true(m.v[c] == fh_controls[c].max);
    for (int i = 0; i < 400; ++i) {
      fh_edit_wheel(&m, item, -1, false);
    }
    assert_true(m.v[c] == fh_controls[c].min);
    for (double part = 0.0; part <= 1.0; part += 0.125) {
      check_near(fh_to_part(c, fh_from_part(c, part)), part, 1e-5);
    }
  }
  assert_int_equal(held, 0);
}

static void
drag_and_double_click(void** const state)
{
  (void)state;
  const int hold = item_of(FH_HOLD);
  fh_edit_press(&m, hold, 0, 10.0, 10.0);
  assert_int_equal(held, 1);
  assert_int_equal(count, 0); // A press alone changes nothing
  fh_edit_move(&m, hold, 60.0, 10.0, 100.0, false);
  check_near((double)m.v[FH_HOLD], 150.0 + 1000.0, 5.0); // Half the width is half the range
  fh_edit_move(&m, hold, 50.0, 10.0, 100.0, true);
  check_near((double)m.v[FH_HOLD], 1150.0 - 20.0, 5.0); // A tenth of it with shift
  fh_model_hear(&m, FH_HOLD, 3.0f);                     // The host's echo does not pull it away
  check_near((double)m.v[FH_HOLD], 1130.0, 5.0);
  fh_edit_move(&m, hold, 50.0, -500.0, 100.0, false);
  check_near((double)m.v[FH_HOLD], 2000.0, 1e-3);
  fh_edit_release(&m);
  assert_int_equal(held, 0);
  fh_edit_move(&m, hold, 0.0, 10.0, 100.0, false);
  check_near((double)m.v[FH_HOLD], 2000.0, 1e-3);

  m.now += 5.0;
  fh_edit_press(&m, hold, 0, 50.0, 10.0);
  fh_edit_release(&m);
  m.now += 0.2;
  fh_edit_press(&m, hold, 0, 50.0, 10.0);
  fh_edit_release(&m);
  check_near((double)m.v[FH_HOLD], (double)fh_controls[FH_HOLD].def, 1e-6);
  assert_int_equal(held, 0);
  fh_model_set(&m, FH_HOLD, 500.0f);
  m.now += 1.0; // Two slow clicks are none
  fh_edit_press(&m, hold, 0, 50.0, 10.0);
  fh_edit_release(&m);
  m.now += 0.6;
  fh_edit_press(&m, hold, 0, 50.0, 10.0);
  fh_edit_release(&m);
  check_near((double)m.v[FH_HOLD], 500.0, 1e-6);
}

static void
wheel_moves_values_only(void** const state)
{
  (void)state;
  for (int item = 0; item < FH_ITEM_COUNT; ++item) {
    const int before = count;
    fh_edit_wheel(&m, item, 1, false);
    const FhControl c      = fh_items[item].control;
    const bool      at_top = c != FH_NO_CONTROL && count == before && m.v[c] == fh_controls[c].max;
    assert_true((count > before) == (fh_items[item].kind == FH_ITEM_VALUE && !at_top));
  }
  fh_edit_wheel(&m, FH_NO_ITEM, 1, false);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup(typed_values, start),
    cmocka_unit_test_setup(typed_nonsense_changes_nothing, start),
    cmocka_unit_test_setup(tab_reaches_every_input, start),
    cmocka_unit_test_setup(keys_work_every_item, start),
    cmocka_unit_test_setup(other_keys_are_the_hosts, start),
    cmocka_unit_test_setup(keys_step_and_clamp, start),
    cmocka_unit_test_setup(every_value_reaches_both_ends, start),
    cmocka_unit_test_setup(drag_and_double_click, start),
    cmocka_unit_test_setup(wheel_moves_values_only, start),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
