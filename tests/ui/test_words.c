// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What the window says, in words

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

#include "ui/strip.h"
#include "ui/verdict.h"
#include "ui/words.h"

// The words that must be readable at a glance
static void
window_says_it_in_words(void** const state)
{
  (void)state;
  static const struct {
    FhControl   control;
    float       value;
    const char* words;
  } cases[] = {
    {FH_STATE, FH_STATE_CLOSED, "Closed"},
    {FH_STATE, FH_STATE_OPENING, "Opening"},
    {FH_STATE, FH_STATE_OPEN, "Open"},
    {FH_STATE, FH_STATE_HOLDING, "Holding"},
    {FH_STATE, FH_STATE_CLOSING, "Closing"},
    {FH_SEPARATION, 0.0f, "Not heard yet"},
    {FH_SEPARATION, 5.9f, "Move the microphone"},
    {FH_SEPARATION, 6.0f, "Thin"},
    {FH_SEPARATION, 11.9f, "Thin"},
    {FH_SEPARATION, 12.0f, "Good"},
    {FH_OPEN_AT, -7.0f, "Not heard yet"},
    {FH_LEARN_RESULT, FH_RESULT_SOLO, "Learn again"},
    {FH_LEARN_RESULT, FH_RESULT_AGAIN, "Learn again"},
    {FH_FAULT, FH_FAULT_NO_AMBIENT, "No ambient"},
    {FH_FAULT, FH_FAULT_AMBIENT_IS_CLOSE, "Ambient is the close mic"},
    {FH_FAULT, FH_FAULT_NO_CLOSE, "No close"},
    {FH_FAULT, FH_FAULT_CLIPPING, "Clipping"},
    {FH_FAULT, FH_FAULT_BROKEN, "Broken samples"},
    {FH_FAULT, FH_FAULT_OFFSET, "DC offset"},
    {FH_FAULT, FH_FAULT_SWAPPED, "Close and ambient swapped"},
    {FH_MUTED, 1.0f, "Muted"},
    {FH_ENABLED, 0.0f, "Bypassed"},
    {FH_KNOWLEDGE, FH_KNOWLEDGE_NOTHING, "Nothing known yet"},
    {FH_LEARN, FH_LEARN_SOLO, "Learning the soloist"},
    {FH_LEARN, FH_LEARN_AMBIENT, "Learning: 62 %"},
    {FH_LEARN, FH_LEARN_OFF, "Following the field by itself, 62 %"},
    {FH_LEARNT, 100.0f, "Following, not learnt: the field is 14 dB softer here than at the ambient mic."},
    {FH_KNOWLEDGE, FH_KNOWLEDGE_LEARNT, "Learnt in an earlier session: the field is 14 dB softer here"},
    {FH_LEARNT_AGO, 3599.0f, "Following"},
  };
  static FhFrame frame;
  static FhModel model;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    session_rest(&frame, 1);
    frame.v[FH_AMBIENT_LEVEL] = -40.0f;
    frame.v[FH_PICKUP_LEVEL]  = -54.0f;
    frame.v[FH_LEARNT]        = 62.0f;
    frame.v[FH_KNOWLEDGE]     = FH_KNOWLEDGE_FOLLOWING;
    frame.v[FH_OPEN_AT]       = 2.5f;
    frame.v[cases[i].control] = cases[i].value;
    play(&model, &frame, 1);
    fh_model_tick(&model, model.now + 1.0); // Figures stand still for a moment
    Drawn* const d = draw_window(960, 640, &model);
    if (!find_text(d, cases[i].words)) {
      fail_msg("%s = %g does not say \"%s\"", fh_controls[cases[i].control].symbol, (double)cases[i].value, cases[i].words);
    }
    drawn_free(d);
  }
}

// The figure to open at is the excess the head speaks of, and no level over the field; and bypassed there is no gate to be open
static void
window_does_not_contradict_itself(void** const state)
{
  (void)state;
  static FhFrame frames[2];
  static FhModel model;
  session_fill(frames, 2);
  play(&model, frames, 2);
  fh_model_tick(&model, model.now + 1.0);
  Drawn* const d = draw_window(960, 640, &model);
  assert_non_null(find_text(d, "opens at 6.5 dB"));
  assert_null(find_text(d, "The gate opens"));
  drawn_free(d);
  frames[0].v[FH_STATE]   = FH_STATE_OPEN;
  frames[0].v[FH_ENABLED] = 1.0f;
  assert_true(fh_is_open(frames[0].v));
  frames[0].v[FH_ENABLED] = 0.0f;
  assert_false(fh_is_open(frames[0].v));
}

// With nothing to compare the sound passes, but nothing was found that opened the gate: no green word, no green ribbon
static void
passing_is_not_open(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  session_rest(&frame, 1);
  frame.v[FH_STATE] = FH_STATE_OPEN;
  for (int fault = FH_FAULT_NONE; fault <= FH_FAULT_AMBIENT_IS_CLOSE; ++fault) {
    frame.v[FH_FAULT] = (float)fault;
    play(&model, &frame, 1);
    Drawn* const d = draw_window(960, 640, &model);
    assert_int_equal(fh_is_open(frame.v), fault == FH_FAULT_NONE);
    assert_int_equal(find_text(d, "Passing") != NULL, fault != FH_FAULT_NONE);
    assert_int_equal(find_text(d, "The close mic passes as it is") != NULL, fault != FH_FAULT_NONE);
    drawn_free(d);
  }
}

// Before any field was heard the gate is left open: no excess under the line stands beside that
static void
left_open_is_said(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  for (int knowledge = FH_KNOWLEDGE_NOTHING; knowledge <= FH_KNOWLEDGE_LEARNT; ++knowledge) {
    for (int above = 0; above < 2; ++above) {
      session_rest(&frame, 1);
      frame.v[FH_STATE]     = FH_STATE_OPEN;
      frame.v[FH_KNOWLEDGE] = (float)knowledge;
      frame.v[FH_OPEN_AT]   = 5.0f;
      frame.v[FH_EXCESS]    = above ? 6.0f : -20.0f;
      play(&model, &frame, 1);
      Drawn* const d = draw_window(960, 640, &model);
      assert_int_equal(find_text(d, "Until the field is heard") != NULL, !above && knowledge != FH_KNOWLEDGE_LEARNT);
      drawn_free(d);
    }
  }
}

// Muted, nothing passes, whatever a fault would let through
static void
muted_does_not_pass(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  session_rest(&frame, 1);
  frame.v[FH_FAULT] = FH_FAULT_NO_AMBIENT;
  for (int muted = 0; muted < 2; ++muted) {
    frame.v[FH_MUTED] = (float)muted;
    play(&model, &frame, 1);
    Drawn* const d = draw_window(960, 640, &model);
    assert_int_equal(find_text(d, "Muted: check") != NULL, muted);
    assert_int_equal(find_text(d, "Sound passes") != NULL, !muted);
    drawn_free(d);
  }
}

// Listening to a microphone goes round the mute: the head must not say that nothing is to be heard
static void
mute_does_not_hide_listening(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  session_rest(&frame, 1);
  frame.v[FH_MUTED]  = 1.0f;
  frame.v[FH_LISTEN] = FH_LISTEN_CLOSE;
  play(&model, &frame, 1);
  Drawn* const d = draw_window(960, 640, &model);
  assert_non_null(find_text(d, "Muted"));
  assert_non_null(find_text(d, "Listening to: Close"));
  assert_null(find_text(d, "Silent, by hand"));
  drawn_free(d);
}

// What stands gives way downwards at once, upwards only a decibel later
static void
verdict_does_not_flicker(void** const state)
{
  (void)state;
  static const struct {
    double    separation, rise;
    FhVerdict before, after;
  } cases[] = {
    {(double)NAN, (double)NAN, FH_VERDICT_UNKNOWN, FH_VERDICT_UNKNOWN},
    {20.0, (double)NAN, FH_VERDICT_UNKNOWN, FH_VERDICT_GOOD},
    {11.9, (double)NAN, FH_VERDICT_UNKNOWN, FH_VERDICT_THIN},
    {5.9, 8.0, FH_VERDICT_UNKNOWN, FH_VERDICT_MOVE},
    {5.9, 20.0, FH_VERDICT_UNKNOWN, FH_VERDICT_AMBIENT},
    {12.9, (double)NAN, FH_VERDICT_THIN, FH_VERDICT_THIN},
    {13.0, (double)NAN, FH_VERDICT_THIN, FH_VERDICT_GOOD},
    {12.0, (double)NAN, FH_VERDICT_GOOD, FH_VERDICT_GOOD},
    {11.9, (double)NAN, FH_VERDICT_GOOD, FH_VERDICT_THIN},
    {6.9, (double)NAN, FH_VERDICT_MOVE, FH_VERDICT_MOVE},
    {7.0, (double)NAN, FH_VERDICT_MOVE, FH_VERDICT_THIN},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_int_equal(fh_verdict(&(FhStanding){cases[i].separation, cases[i].rise, cases[i].before, false}), cases[i].after);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(window_says_it_in_words),
    cmocka_unit_test(window_does_not_contradict_itself),
    cmocka_unit_test(left_open_is_said),
    cmocka_unit_test(passing_is_not_open),
    cmocka_unit_test(muted_does_not_pass),
    cmocka_unit_test(mute_does_not_hide_listening),
    cmocka_unit_test(verdict_does_not_flicker),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
