// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Presses that must not last, what is heard and kept, and how it is worded

#include "desk.h"

#include "../dsp/check.h"
#include "ui/words.h"

/// Press a second time, so that it does not count down
static void
press_learn(const int item)
{
  fh_model_press(&m, item);
  fh_model_press(&m, item);
}

static void
learn_rises_and_falls(void** const state)
{
  (void)state;
  fh_model_hear(&m, FH_LEARNT, 100.0f); // Left from an earlier learn
  press_learn(item_of(FH_LEARN));
  assert_int_equal(count, 1);
  assert_true(writes[0].control == FH_LEARN && writes[0].value == (float)FH_LEARN_AMBIENT);
  pass(0.5);
  assert_int_equal(count, 1); // The old 100 % does not end it
  fh_model_hear(&m, FH_LEARNT, 40.0f);
  pass(1.0);
  check_near(fh_model_progress(&m), 40.0, 1e-6);
  fh_model_hear(&m, FH_LEARNT, 100.0f);
  pass(0.1);
  assert_int_equal(count, 2);
  assert_true(writes[1].control == FH_LEARN && writes[1].value == 0.0f);

  press_learn(item_of(FH_LEARN)); // Nothing reported: it ends by time
  pass(15.0);
  assert_int_equal(count, 3);
  pass(1.5);
  assert_int_equal(count, 4);
  assert_true(m.v[FH_LEARN] == 0.0f);

  fh_model_hear(&m, FH_LEARN, (float)FH_LEARN_SOLO); // Left on by a session: it must not stay so for ever
  pass(17.0);
  assert_true(m.v[FH_LEARN] == 0.0f);
}

static void
learn_changes_kind_through_off(void** const state)
{
  (void)state;
  const int ambient = item_of(FH_LEARN);
  press_learn(ambient);
  pass(1.0);
  fh_model_press(&m, ambient + 1);
  assert_true(m.v[FH_LEARN] == 0.0f);
  pass(0.1);
  assert_true(m.v[FH_LEARN] == 0.0f); // Long enough for a block to see it
  pass(0.2);
  assert_true(m.v[FH_LEARN] == (float)FH_LEARN_SOLO);
  fh_model_press(&m, ambient + 1); // The same again ends it
  pass(1.0);
  assert_true(m.v[FH_LEARN] == 0.0f);
  for (int i = 0; i < count; ++i) {
    assert_true(i % 2 ? writes[i].value == 0.0f : writes[i].value > 0.0f);
  }
}

static void
clear_asks_twice(void** const state)
{
  (void)state;
  const int clear = item_of(FH_CLEAR);
  fh_model_press(&m, clear);
  pass(6.0);
  fh_model_press(&m, clear);
  assert_int_equal(count, 0);
  pass(0.5);
  fh_model_press(&m, clear);
  assert_int_equal(count, 1);
  assert_true(writes[0].control == FH_CLEAR && writes[0].value == 1.0f);
  pass(0.5);
  assert_int_equal(count, 2);
  assert_true(writes[1].control == FH_CLEAR && writes[1].value == 0.0f);
}

static void
history_holds_a_minute(void** const state)
{
  (void)state;
  static const double rates[] = {10.0, 30.0, 60.0, 1000.0};
  for (size_t i = 0; i < 4; ++i) {
    start(NULL);
    for (int k = 0; k < (int)(72.0 * rates[i]); ++k) {
      fh_model_tick(&m, 100.0 + k / rates[i]);
    }
    const size_t n = fh_model_frames(&m);
    assert_true(fh_model_frame(&m, 0)->seconds - fh_model_frame(&m, n - 1)->seconds > 59.9);
  }
}

// A host may send anything
static void
values_heard_are_clamped(void** const state)
{
  (void)state;
  static const float odd[] = {NAN, INFINITY, -INFINITY, 1e30f, -1e30f};
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    for (size_t i = 0; i < 5; ++i) {
      fh_model_hear(&m, (FhControl)c, odd[i]);
      assert_true(m.v[c] >= fh_controls[c].min && m.v[c] <= fh_controls[c].max);
      char text[8];
      fh_value_text((FhControl)c, m.v[c], text, sizeof(text));
      assert_true(strlen(text) < sizeof(text));
    }
  }
}

static void
values_are_shown_with_units(void** const state)
{
  (void)state;
  static const struct {
    FhControl   control;
    float       value;
    const char* text;
  } cases[] = {
    {FH_OPEN_MARGIN, 3.0f, "3.0 dB"},  {FH_OPEN_MARGIN, -2.25f, "\u22122.3 dB"}, {FH_OPEN_MARGIN, -0.01f, "0.0 dB"},
    {FH_ATTACK, 0.25f, "0.25 ms"},     {FH_HOLD, 1500.0f, "1500 ms"},            {FH_HOLD, 0.0f, "0 ms"},
    {FH_LOW_CUT, 440.4f, "440 Hz"},    {FH_LOW_CUT, 1250.0f, "1.25 kHz"},        {FH_HIGH_CUT, 20000.0f, "20.0 kHz"},
    {FH_TRACKING_TIME, 9.96f, "10.0 s"}, {FH_MUTED, 1.0f, "On"},                 {FH_LISTEN, 2.0f, "Ambient"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char text[32];
    fh_value_text(cases[i].control, cases[i].value, text, sizeof(text));
    assert_string_equal(text, cases[i].text);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup(learn_rises_and_falls, start),
    cmocka_unit_test_setup(learn_changes_kind_through_off, start),
    cmocka_unit_test_setup(clear_asks_twice, start),
    cmocka_unit_test_setup(history_holds_a_minute, start),
    cmocka_unit_test_setup(values_heard_are_clamped, start),
    cmocka_unit_test_setup(values_are_shown_with_units, start),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
