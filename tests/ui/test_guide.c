// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Through a first Learn with the engine itself: a field and a soloist made here, so it is known what was to be heard, and
// what the window says at each step

#include "desk.h"
#include "drawn.h"

#include "../noise.h"
#include "../dsp/check.h"
#include "dsp/engine.h"

#include <math.h>
#include <stdlib.h>

#define RATE 48000.0
#define BLOCK 1600 ///< Thirty a second

static FhEngine* engine;
static void*     memory;
static uint32_t  seed;
static float     given[FH_CONTROL_COUNT]; ///< As the engine has them

static void
take(void* const data, const FhControl control, const float value)
{
  (void)data;
  given[control] = value;
}

static int
begin(void** const state)
{
  (void)state;
  memory = aligned_alloc(64, (fh_engine_size(RATE, 1) + 63u) / 64u * 64u);
  engine = fh_engine_init(memory, RATE, 1);
  seed   = 5u;
  fh_model_init(&m, (FhHost){take, NULL, NULL}, 0.0);
  memcpy(given, m.v, sizeof(given));
  return 0;
}

static int
end(void** const state)
{
  (void)state;
  free(memory);
  return 0;
}

/// Let time pass: levels of field and soloist, amplitudes
static void
play_for(const double seconds, const double field, const double solo)
{
  static float close[BLOCK], ambient[BLOCK], out[BLOCK];
  static long  at;
  for (int b = 0; b < (int)(seconds * RATE / BLOCK); ++b) {
    for (int i = 0; i < BLOCK; ++i, ++at) {
      const double common = fh_noise(&seed);
      ambient[i]          = (float)(field * (common + 0.2 * fh_noise(&seed)));
      close[i]            = (float)(0.5 * field * (common + 0.2 * fh_noise(&seed)) + solo * sin(0.06 * (double)at) + 1e-5 * fh_noise(&seed));
    }
    const float* const closes[] = {close};
    float* const       outs[]   = {out};
    fh_engine_set(engine, given);
    fh_engine_run(engine, closes, ambient, outs, NULL, BLOCK);
    float meters[FH_CONTROL_COUNT];
    memcpy(meters, given, sizeof(meters));
    fh_engine_meters(engine, meters);
    for (int n = 0; n < FH_OUTPUT_COUNT; ++n) {
      fh_model_hear(&m, (FhControl)fh_outputs[n], meters[fh_outputs[n]]);
    }
    fh_model_tick(&m, m.now + BLOCK / RATE);
  }
}

static void
says(const char* const words)
{
  char text[256];
  fh_learnt_text(&m, text, sizeof(text));
  if (!strstr(text, words)) {
    fail_msg("\"%s\" is said for \"%s\"", text, words);
  }
}

static void
first_evening(void** const state)
{
  (void)state;
  given[FH_TRACKING] = 0.0f;
  m.v[FH_TRACKING]   = 0.0f;
  play_for(1.0, 0.1, 0.0);
  says("Nothing known yet");
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(0.2, 0.1, 0.0);
  says("Let the band play and the soloist rest. Starts in 3 s");
  play_for(1.0, 0.1, 0.0);
  says("Starts in 2 s");
  assert_true(given[FH_LEARN] == FH_LEARN_OFF);
  play_for(5.0, 0.1, 0.0);
  assert_true(given[FH_LEARN] == FH_LEARN_AMBIENT);
  says("3 s of 10 heard");
  play_for(9.0, 0.1, 0.0);
  assert_true(given[FH_LEARN] == FH_LEARN_OFF); // Ten seconds of field, and it ends by itself
  assert_int_equal(m.v[FH_KNOWLEDGE], FH_KNOWLEDGE_LEARNT);
  says("Learnt well");
  play_for(8.0, 0.1, 0.0);
  says("Now let the soloist play");
  play_for(8.0, 0.1, 0.3); // 20 lg (0.3 / sqrt 2 / (0.05 * 1.02 / sqrt 3)) = 17 dB over the field
  says("Good separation. Save the session");
  play_for(14.0, 0.1, 0.0);
  says("Learnt just now");
  m.focus = 0;
  assert_true(fh_model_undo(&m));
  play_for(1.0, 0.1, 0.0);
  says("Nothing known yet");
}

static void
what_went_wrong_is_said(void** const state)
{
  (void)state;
  fh_model_press(&m, item_of(FH_LEARN)); // Nobody plays
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(4.0, 1e-6, 0.0);
  says("No field heard so far");
  assert_true(fh_model_progress(&m) < 1.0); // And the button's bar stays where it began
  play_for(16.0, 1e-6, 0.0);
  says("Too little field heard");

  fh_model_press(&m, item_of(FH_LEARN)); // Ended early
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(5.0, 0.1, 0.0);
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(1.0, 0.1, 0.0);
  says("s of field only");

  fh_model_press(&m, item_of(FH_LEARN)); // Left before it began
  play_for(1.0, 0.1, 0.0);
  m.focus = item_of(FH_LEARN);
  assert_true(fh_edit_key(&m, FH_KEY_ESCAPE, 0, false));
  play_for(4.0, 0.1, 0.0);
  assert_true(given[FH_LEARN] == FH_LEARN_OFF);

  fh_model_press(&m, item_of(FH_LEARN)); // The same without keys
  play_for(1.0, 0.1, 0.0);
  assert_true(fh_model_undo(&m));
  play_for(4.0, 0.1, 0.0);
  assert_true(given[FH_LEARN] == FH_LEARN_OFF);
  assert_int_equal(m.v[FH_KNOWLEDGE], FH_KNOWLEDGE_LEARNT); // And nothing else was taken back

  fh_model_press(&m, item_of(FH_LEARN)); // The soloist plays now and then
  fh_model_press(&m, item_of(FH_LEARN));
  for (int i = 0; i < 10; ++i) {
    play_for(1.0, 0.1, 0.0);
    play_for(0.4, 0.1, 0.3);
  }
  play_for(1.0, 0.1, 0.0);
  says("Learnt from the part in which the soloist rested");

  fh_model_press(&m, item_of(FH_LEARN)); // The soloist hardly rests
  fh_model_press(&m, item_of(FH_LEARN));
  for (int i = 0; i < 10; ++i) {
    play_for(0.2, 0.1, 0.0);
    play_for(0.6, 0.1, 0.3);
  }
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(1.0, 0.1, 0.0);
  says("The soloist played nearly all the time");
}

// Who presses again to start, just as the count-down starts by itself, does not end it
static void
a_late_press_does_not_end_it(void** const state)
{
  (void)state;
  fh_model_press(&m, item_of(FH_LEARN));
  play_for(3.3, 0.02, 0.0);
  assert_int_equal(fh_model_learning(&m), FH_LEARN_AMBIENT);
  fh_model_press(&m, item_of(FH_LEARN));
  assert_int_equal(fh_model_learning(&m), FH_LEARN_AMBIENT);
  play_for(1.0, 0.02, 0.0);
  fh_model_press(&m, item_of(FH_LEARN));
  assert_int_equal(fh_model_learning(&m), FH_LEARN_OFF);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown(first_evening, begin, end),
    cmocka_unit_test_setup_teardown(what_went_wrong_is_said, begin, end),
    cmocka_unit_test_setup_teardown(a_late_press_does_not_end_it, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
