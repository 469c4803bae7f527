// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Looking back: what is told of a place is what was heard then, whatever came after; marks stand where something went
// wrong, and nowhere else

#include "desk.h"
#include "drawn.h"

#include "ui/live.h"

#include "../dsp/check.h"

#include <stdio.h>

#define RATE 30.0

/// Let time pass in a state, as a host's polls see it
static void
stay(const FhState state, const double seconds)
{
  const double end = m.now + seconds - 0.5 / RATE;
  fh_model_hear(&m, FH_STATE, (float)state);
  while (m.now < end) {
    fh_model_tick(&m, m.now + 1.0 / RATE);
  }
}

/// A model that heard something of each kind; 60 s of it at most
static int
hear(void** const state)
{
  start(state);
  fh_model_hear(&m, FH_OPEN_AT, 7.0f);
  stay(FH_STATE_CLOSED, 20.0);
  stay(FH_STATE_OPEN, 2.0 / RATE); // As the state port shows an opening under 50 ms
  stay(FH_STATE_HOLDING, 0.2);
  stay(FH_STATE_CLOSED, 2.0);
  stay(FH_STATE_OPEN, 3.0 / RATE); // As it shows one of 50 to 100 ms
  stay(FH_STATE_HOLDING, 0.2);
  stay(FH_STATE_CLOSED, 2.0);
  stay(FH_STATE_OPEN, 4.0); // A note
  stay(FH_STATE_HOLDING, 0.2);
  stay(FH_STATE_CLOSING, 0.1);
  stay(FH_STATE_OPEN, 1.0); // Cut
  stay(FH_STATE_HOLDING, 0.2);
  stay(FH_STATE_CLOSING, 0.3); // A rest
  stay(FH_STATE_OPEN, 3.0); // Another note
  stay(FH_STATE_HOLDING, 0.2);
  stay(FH_STATE_CLOSED, 3.0);
  return 0;
}

static bool
says(const char* const part)
{
  char text[FH_LOOK_TEXT] = "";
  return fh_look_text(&m, false, text, sizeof(text)) && strstr(text, part);
}

static void
marks_what_went_wrong_only(void** const state)
{
  (void)state;
  assert_false(fh_look_mark(&m, -1)); // Nothing is looked back at yet
  fh_look_freeze(&m, true);
  assert_true(says("1 under 50 ms, 1 cut"));
  assert_true(fh_look_mark(&m, -1) && says("Note cut, 0.1"));
  assert_true(fh_look_mark(&m, -1) && says("Open under 50 ms"));
  assert_false(fh_look_mark(&m, -1));
  assert_true(fh_look_mark(&m, 1) && says("Note cut"));
  assert_false(fh_look_mark(&m, 1));
}

// By hand, or with nothing to decide by, nothing is a fault of the gate; nor where nobody looked
static void
marks_nothing_done_by_hand(void** const state)
{
  (void)state;
  static const FhControl by[] = {FH_MUTED, FH_ENABLED, FH_FAULT};
  for (size_t i = 0; i < 3; ++i) {
    start(NULL);
    stay(FH_STATE_OPEN, 2.0);
    fh_model_hear(&m, by[i], by[i] == FH_ENABLED ? 0.0f : 1.0f);
    stay(FH_STATE_CLOSED, 0.1);
    fh_model_hear(&m, by[i], fh_controls[by[i]].def);
    stay(FH_STATE_OPEN, 2.0);
    stay(FH_STATE_CLOSED, 1.0);
    stay(FH_STATE_OPEN, 1.0 / RATE);
    fh_model_tick(&m, m.now + 3.0);
    stay(FH_STATE_CLOSED, 1.0);
    fh_look_freeze(&m, true);
    assert_true(says("0 under 50 ms, 0 cut"));
  }
}

static void
a_place_tells_what_was_heard_then(void** const state)
{
  (void)state;
  start(NULL);
  for (int i = 0; i < 90; ++i) { // A second each, the level its number
    fh_model_hear(&m, FH_CLOSE_LEVEL, (float)(-110 + i));
    fh_model_hear(&m, FH_EXCESS, (float)(i % 50));
    stay(FH_STATE_CLOSED, 1.0);
  }
  fh_look_point(&m, 3.5);
  assert_true(says("3.5 s") && says("\u221224.0 dBFS") && says("excess 36.0 dB")); // 86
  fh_look_freeze(&m, true);
  for (int i = 0; i < 200; ++i) { // What comes is not in it
    fh_model_hear(&m, FH_CLOSE_LEVEL, 0.0f);
    stay(FH_STATE_OPEN, 1.0);
  }
  assert_true(says("\u221224.0 dBFS") && m.v[FH_CLOSE_LEVEL] == 0.0f);
  fh_look_step(&m, -10.0);
  assert_true(says("13.5 s") && says("\u221234.0 dBFS"));
  assert_true(m.look.back > 0 && m.look.ago <= FH_SEEN_SECONDS);
  fh_look_step(&m, -1000.0);
  assert_true(says("60.0 s") && !says("not looked at")); // All of the minute is there
  fh_look_step(&m, 1000.0);
  assert_true(says("0.0 s") && m.look.back == 0);
  fh_look_freeze(&m, false);
  fh_look_point(&m, 1.0);
  assert_true(says("0.0 dBFS")); // And what came is not lost
  fh_model_hear(&m, FH_FAULT, FH_FAULT_NO_AMBIENT);
  stay(FH_STATE_OPEN, 2.0);
  assert_true(says("No ambient signal") && !says("Open"));
  fh_model_hear(&m, FH_MUTED, 1.0f);
  stay(FH_STATE_CLOSED, 2.0);
  assert_true(says("Muted") && !says("Closed"));
}

static void
pointer_and_keys_look_back(void** const state)
{
  (void)state;
  fh_edit_key(&m, FH_KEY_FREEZE, 0, false);
  assert_true(m.look.frozen);
  fh_edit_key(&m, FH_KEY_FREEZE, 0, false);
  assert_false(m.look.frozen);

  fh_look_press(&m, 4.0); // Freezes at once
  fh_look_release(&m);
  assert_true(m.look.frozen);
  fh_look_press(&m, 8.0);
  fh_look_point(&m, 1.0); // Seven seconds to the right
  fh_look_release(&m);
  assert_true(m.look.frozen && m.look.back == 7);
  fh_look_back(&m, 1000);
  check_near(m.look.back, FH_HISTORY_SECONDS - FH_SEEN_SECONDS, 1e-9);
  fh_look_press(&m, 4.0);
  fh_look_release(&m);
  assert_false(m.look.frozen); // A click goes on
  fh_look_back(&m, 5);
  assert_int_equal(m.look.back, 0);

  fh_look_point(&m, -1.0);
  m.focus = 0;
  while (fh_items[m.focus].kind != FH_ITEM_FREEZE) {
    fh_edit_key(&m, FH_KEY_TAB, 0, false);
  }
  assert_false(fh_edit_key(&m, FH_KEY_LESS, 0, false)); // Runs: not ours
  fh_edit_key(&m, FH_KEY_ENTER, 0, false);
  fh_edit_key(&m, FH_KEY_LESS, 0, false);
  fh_edit_key(&m, FH_KEY_LESS, 0, true);
  check_near(m.look.ago, 0.12, 1e-9);
  fh_look_point(&m, -1.0); // The pointer is elsewhere
  assert_true(m.look.pointed);
  fh_edit_key(&m, FH_KEY_PAGE_LESS, 0, false);
  assert_true(says("Note cut"));
  fh_edit_key(&m, FH_KEY_HOME, 0, false);
  check_near(m.look.ago + m.look.back, FH_HISTORY_SECONDS, 1e-9);
  fh_edit_key(&m, FH_KEY_ENTER, 0, false);
  assert_false(m.look.frozen || m.look.pointed);
}

/// Columns of the strip, top of the flags' poles, that have the colour of text
static int
poles(const Drawn* const d, const FhLayout* const l, int* const where)
{
  int found = 0;
  for (int x = (int)l->levels.x; x < (int)(l->levels.x + l->levels.w); ++x) {
    if (distance(pixel(d, x, (int)l->levels.y + 32), fh_night.rgb[FH_INK_TEXT]) < 60) { // Below the flag, where its pole is
      found += x > *where + 2;
      *where = x;
    }
  }
  return found;
}

static void
flags_and_place_are_drawn(void** const state)
{
  (void)state;
  const FhLayout l = fh_layout(960, 640);
  fh_look_freeze(&m, true);
  int    where = 0;
  Drawn* d     = draw_window(960, 640, &m);
  assert_int_equal(poles(d, &l, &where), 1); // The cut, some 8.8 s ago
  const double ago = m.look.still - (fh_look_mark(&m, -1), fh_look_end(&m) - m.look.ago);
  check_near(where, l.levels.x + l.levels.w * (1.0 - ago / FH_SEEN_SECONDS), 4.0);
  drawn_free(d);

  m.look.back = 0;
  m.look.ago  = 2.5; // Three quarters to the right
  d           = draw_window(960, 640, &m);
  where       = 0;
  assert_int_equal(poles(d, &l, &where), 2);
  check_near(where, l.levels.x + 0.75 * l.levels.w, 3.0);
  drawn_free(d);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup(marks_what_went_wrong_only, hear),
    cmocka_unit_test(marks_nothing_done_by_hand),
    cmocka_unit_test(a_place_tells_what_was_heard_then),
    cmocka_unit_test_setup(pointer_and_keys_look_back, hear),
    cmocka_unit_test_setup(flags_and_place_are_drawn, hear),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
