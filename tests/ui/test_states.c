// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Each state of the window in both sets of colours: its word is there and all of it can be read. What is drawn is left in
// ui_states/ in the folder the test runs in, to be looked at.

#define _POSIX_C_SOURCE 200809L // mkdir

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

#include "ui/words.h"

#include <stdio.h>
#include <sys/stat.h>

enum { FRAMES = 480 };

typedef struct {
  const char* name;
  const char* says; ///< Somewhere in the window
  FhControl   control;
  float       value;
} Case;

static const Case cases[] = {
  {"closed", "Closed", FH_STATE, FH_STATE_CLOSED},
  {"opening", "Opening", FH_STATE, FH_STATE_OPENING},
  {"open", "Open", FH_STATE, FH_STATE_OPEN},
  {"holding", "Holding", FH_STATE, FH_STATE_HOLDING},
  {"closing", "Closing", FH_STATE, FH_STATE_CLOSING},
  {"muted", "Muted", FH_MUTED, 1.0f},
  {"bypassed", "Bypassed", FH_ENABLED, 0.0f},
  {"listening", "Listening to: Removed", FH_LISTEN, FH_LISTEN_REMOVED},
  {"no-ambient", "No ambient signal", FH_FAULT, FH_FAULT_NO_AMBIENT},
  {"ambient-is-close", "Ambient is the close mic", FH_FAULT, FH_FAULT_AMBIENT_IS_CLOSE},
  {"no-close", "No close signal", FH_FAULT, FH_FAULT_NO_CLOSE},
  {"clipping", "Clipping", FH_FAULT, FH_FAULT_CLIPPING},
  {"broken", "Broken samples", FH_FAULT, FH_FAULT_BROKEN},
  {"offset", "DC offset", FH_FAULT, FH_FAULT_OFFSET},
  {"swapped", "Close and ambient swapped", FH_FAULT, FH_FAULT_SWAPPED},
  {"nothing-known", "Nothing known yet", FH_KNOWLEDGE, FH_KNOWLEDGE_NOTHING},
  {"following", "Following, not learnt", FH_KNOWLEDGE, FH_KNOWLEDGE_FOLLOWING},
  {"separation-unknown", "Not heard yet", FH_SEPARATION, 0.0f},
  {"separation-move", "Move the microphone", FH_SEPARATION, 4.0f},
  {"separation-thin", "Thin separation", FH_SEPARATION, 11.0f},
};

static void
draw_both(FhModel* const model, const char* const name, const char* const says)
{
  const bool leads = model->guide.step != FH_GUIDE_REST;
  mkdir("ui_states", 0755);
  for (int day = 0; day < 2; ++day) {
    char path[96];
    model->day     = day;
    Drawn* const d = draw_window(960, 640, model);
    if (!find_text(d, says)) {
      fail_msg("%s does not say \"%s\"", name, says);
    }
    assert_true(!leads || find_text(d, says)->ink == FH_INK_GROUND); // A step of a Learn is lit
    check_texts(d, day ? &fh_day : &fh_night, 4.5);
    snprintf(path, sizeof(path), "ui_states/%s-%s.png", name, day ? "day" : "dark");
    assert_int_equal(cairo_surface_write_to_png(d->surface, path), CAIRO_STATUS_SUCCESS);
    drawn_free(d);
  }
}

static FhFrame frames[FRAMES];
static FhModel model;

static void
ports_say_what_they_are(void** const state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    session_fill(frames, FRAMES);
    for (int f = FRAMES / 2; f < FRAMES; ++f) {
      frames[f].v[cases[i].control] = cases[i].value;
      if (cases[i].control == FH_STATE && (cases[i].value == FH_STATE_OPENING || cases[i].value == FH_STATE_OPEN)) {
        frames[f].v[FH_EXCESS] = 14.0f;
      }
    }
    play(&model, frames, FRAMES);
    model.variant = &fh_variants[i % FH_VARIANT_COUNT];
    memcpy(model.calm, model.v, sizeof(model.calm));
    draw_both(&model, cases[i].name, cases[i].says);
  }
}

static void
steps_say_what_they_are(void** const state)
{
  (void)state;
  session_fill(frames, FRAMES);
  for (int f = 60; f < FRAMES; f += 97) {
    frames[f].v[FH_STATE] = frames[f].v[FH_STATE] == FH_STATE_CLOSED ? FH_STATE_OPEN : FH_STATE_CLOSED;
  }
  play(&model, frames, FRAMES);
  model.variant = &fh_variants[0];
  fh_clean_text("Mello solo", model.title, sizeof(model.title));
  model.guide   = (FhGuide){.step = FH_GUIDE_COUNT, .learn = FH_LEARN_AMBIENT, .until = model.now + 2.5};
  draw_both(&model, "count-down", "Starts in 3 s");
  model.guide = (FhGuide){.step = FH_GUIDE_LISTEN, .learn = FH_LEARN_AMBIENT, .heard_s = 4.2, .since = model.now - 5.0};
  model.v[FH_LEARN]  = FH_LEARN_AMBIENT;
  model.v[FH_LEARNT] = 42.0f;
  draw_both(&model, "learning", "4 s of 10 heard");
  model.v[FH_LEARN]  = FH_LEARN_OFF;
  model.v[FH_LEARNT] = 100.0f;
  static const char* const went[] = {"Too little field",       "nearly all the time", "in which the soloist rested",
                                     "Learnt, from 4 s", "rises 9.5 dB", "Learnt well"};
  static const char* const name[] = {"went-nowhere", "went-solo", "went-part", "went-short", "went-wild", "went-well"};
  for (int w = FH_WENT_NOWHERE; w <= FH_WENT_WELL; ++w) {
    model.guide = (FhGuide){.step = FH_GUIDE_RESULT, .learn = FH_LEARN_AMBIENT, .since = model.now - 1.0,
                            .heard_s = w == FH_WENT_SHORT ? 4.2 : 14.0, .went = (FhWent)w, .spread = w == FH_WENT_WILD ? 9.5f : 2.5f};
    draw_both(&model, name[w], went[w]);
  }
  model.guide.step = FH_GUIDE_SOLO;
  draw_both(&model, "soloist", "Now let the soloist play");
  model.guide.step = FH_GUIDE_REST;
  fh_look_freeze(&model, true);
  draw_both(&model, "frozen", "Frozen");
  assert_true(fh_look_mark(&model, -1));
  draw_both(&model, "looked-back", "Close");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(ports_say_what_they_are),
    cmocka_unit_test(steps_say_what_they_are),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
