// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Which plugin a window belongs to, in words

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

// Each plugin says which it is, and speaks of the inputs that it has: the names of the port descriptions
static void
variants_speak_for_themselves(void** const state)
{
  (void)state;
  static const char* const names[] = {"Fronthash Solo", "Fronthash Pair", "Fronthash Track"};
  static FhFrame           frame;
  static FhModel           model;
  for (int i = 0; i < 3; ++i) {
    for (int fault = 0; fault < FH_FAULT_COUNT; ++fault) {
      session_rest(&frame, 1);
      frame.v[FH_FAULT]         = (float)fault;
      frame.v[FH_CLOSE_LEVEL_1] = -31.0f;
      frame.v[FH_CLOSE_LEVEL_2] = -36.0f;
      play(&model, &frame, 1);
      model.variant    = &fh_variants[i];
      const bool sides = !strcmp(fh_variants[i].uri, FH_URI_TRACK);
      const bool wired = fault == FH_FAULT_NO_AMBIENT || fault == FH_FAULT_AMBIENT_IS_CLOSE || fault == FH_FAULT_SWAPPED;
      Drawn* const d   = draw_window(960, 640, &model);
      assert_non_null(find_text(d, names[i]));
      assert_int_equal(find_text(d, "side chain") != NULL, wired && !sides);
      const bool pair = !strcmp(fh_variants[i].uri, FH_URI_PAIR);
      assert_int_equal(find_text(d, "Close \u221231 and \u221236, ambient") != NULL, pair && !fault);
      assert_int_equal(find_text(d, "right") != NULL, sides && (wired || !fault));
      assert_int_equal(find_text(d, "left") != NULL, sides && (!fault || fault == FH_FAULT_NO_CLOSE || fault == FH_FAULT_SWAPPED));
      drawn_free(d);
    }
  }
}

// Where one of two close microphones is silent, it is said which
static void
the_silent_one_of_a_pair_is_named(void** const state)
{
  (void)state;
  static FhFrame frame;
  static FhModel model;
  for (int silent = 0; silent < 2; ++silent) {
    session_rest(&frame, 1);
    frame.v[FH_FAULT]                  = FH_FAULT_NO_CLOSE;
    frame.v[FH_CLOSE_LEVEL_1]          = -31.0f;
    frame.v[FH_CLOSE_LEVEL_2]          = -36.0f;
    frame.v[FH_CLOSE_LEVEL_1 + silent] = -110.0f;
    play(&model, &frame, 1);
    model.variant  = &fh_variants[1];
    Drawn* const d = draw_window(960, 640, &model);
    assert_non_null(find_text(d, silent ? "Microphone 2" : "Microphone 1"));
    drawn_free(d);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(variants_speak_for_themselves),
    cmocka_unit_test(the_silent_one_of_a_pair_is_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
