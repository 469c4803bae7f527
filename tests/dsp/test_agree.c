// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_agree.c
/// Meters agree with the sound, which is what they are held against: where the close microphone comes out bit by bit, gate and
/// duck show 0 dB and no band stands out; where nothing comes out, the gate shows its least; and muted is silence.

#include "field.h"

typedef enum { THERE, MISSING, COPIED } Ambient;

/// One stretch of what a show does to a channel
typedef struct {
  const char* name;
  float       enabled, muted;
  Ambient     ambient;
  double      solo;    ///< Amplitude of each harmonic
  bool        passes;  ///< The close microphone must come out untouched
  bool        silent;  ///< Nothing must come out
  double      seconds;
} Stretch;

static const Stretch show[] = {
  {"fresh, nothing on the side chain", 1, 0, MISSING, 0.0, true, false, 0.5},
  {"ambient connected", 1, 0, THERE, 0.0, false, false, 4.0},
  {"bypassed at rest", 0, 0, THERE, 0.0, true, false, 0.5},
  {"live again", 1, 0, THERE, 0.0, false, false, 0.5},
  {"ambient lost at rest", 1, 0, MISSING, 0.0, true, false, 0.5},
  {"ambient back", 1, 0, THERE, 0.0, false, false, 1.0},
  {"soloist", 1, 0, THERE, 0.05, false, false, 1.0},
  {"bypassed in a note", 0, 0, THERE, 0.05, true, false, 0.5},
  {"muted in a note", 1, 1, THERE, 0.05, false, true, 0.5},
  {"muted and bypassed", 0, 1, THERE, 0.05, true, false, 0.5},
  {"muted without ambient", 1, 1, MISSING, 0.05, false, true, 0.5},
  {"close on both inputs", 1, 0, COPIED, 0.05, true, false, 0.5},
  {"all well", 1, 0, THERE, 0.05, false, false, 1.0},
};

/// What came of one block
typedef struct {
  bool passes, silent;
} Heard;

static Heard
play(Rig* const rig, Field* const f, const Stretch* const s)
{
  float close[BLOCK], ambient[BLOCK], out[BLOCK];
  for (int i = 0; i < BLOCK; ++i) {
    const double both = 0.03 * noise_normal(&f->noise);
    close[i]          = (float)(0.5 * both + 0.005 * noise_normal(&f->noise) + s->solo * sin(tau * 440.0 * f->t) +
                       s->solo * sin(tau * 1320.0 * f->t));
    ambient[i]        = s->ambient == COPIED ? close[i] : (float)(both + 0.01 * noise_normal(&f->noise));
    f->t += 1.0 / RATE;
  }
  rig->controls[FH_ENABLED] = s->enabled;
  rig->controls[FH_MUTED]   = s->muted;
  rig_run(rig, close, s->ambient == MISSING ? NULL : ambient, out, BLOCK);
  Heard h = {memcmp(out, close, sizeof(out)) == 0, true};
  for (int i = 0; i < BLOCK; ++i) {
    h.silent = h.silent && out[i] == 0.0f;
  }
  return h;
}

static void
check_meters(const Rig* const rig, const Stretch* const s, const Heard h, const int block)
{
  const float* const c = rig->controls;
  bool               bars = false;
  for (int k = 0; k < FH_BANDS; ++k) {
    bars = bars || c[FH_BAND_GAIN_1 + 2 * k] != 0.0f || c[FH_BAND_EXCESS_1 + 2 * k] != 0.0f;
  }
  const bool untouched = c[FH_GATE_GAIN] == 0.0f && c[FH_DUCK_GAIN] == 0.0f && !bars && c[FH_STATE] == (float)FH_STATE_OPEN;
  if (h.passes && !untouched) {
    fail_msg("%s, block %d: it passes untouched, but gate %.1f dB, duck %.1f dB, state %.0f%s", s->name, block,
             (double)c[FH_GATE_GAIN], (double)c[FH_DUCK_GAIN], (double)c[FH_STATE], bars ? ", bars" : "");
  }
  if (h.silent && c[FH_GATE_GAIN] != fh_controls[FH_GATE_GAIN].min) {
    fail_msg("%s, block %d: it is silent, but the gate shows %.1f dB", s->name, block, (double)c[FH_GATE_GAIN]);
  }
}

/// Every block of the show, but for 150 ms after a fault or 20 ms after a control has changed, in which sound and meters move
static void
meters_agree_with_the_sound(void** const state)
{
  (void)state;
  Rig   rig   = rig_new(RATE, 1);
  Field field = {.noise = {7}};
  for (size_t i = 0; i < sizeof(show) / sizeof(show[0]); ++i) {
    const Stretch* const s      = &show[i];
    const bool           fault  = i > 0 && s->ambient != show[i - 1].ambient;
    const int            moving = i == 0 ? 0 : (int)((fault ? 0.15 : 0.02) * RATE / BLOCK) + 1;
    for (int b = 0; b < (int)(s->seconds * RATE / BLOCK); ++b) {
      const Heard h = play(&rig, &field, s);
      if (b >= moving) {
        if (h.passes != s->passes || h.silent != s->silent) {
          fail_msg("%s, block %d: it %s", s->name, b, h.silent ? "is silent" : h.passes ? "passes" : "is changed");
        }
        check_meters(&rig, s, h, b);
      }
    }
  }
  rig_free(&rig);
}

/// Before anything has run, a host may read the meters already: after no frames they show what the first frames will be
static void
a_fresh_insert_agrees(void** const state)
{
  (void)state;
  for (int muted = 0; muted < 2; ++muted) {
    Rig rig                 = rig_new(RATE, 2);
    rig.controls[FH_MUTED] = (float)muted;
    rig_run(&rig, NULL, NULL, NULL, 0);
    check_meters(&rig, &(Stretch){.name = "fresh"}, (Heard){!muted, muted}, 0);
    rig_free(&rig);
  }
}

/// Muted is silence from the first frame on, and whatever the range
static void
muted_is_silent(void** const state)
{
  (void)state;
  static float close[RATE], ambient[RATE], out[RATE];
  Noise        noise = {9};
  for (int i = 0; i < RATE; ++i) {
    ambient[i] = (float)(0.03 * noise_normal(&noise));
    close[i]   = (float)(0.3 * sin(tau * 440.0 * i / RATE)) + 0.5f * ambient[i];
  }
  for (int range = 0; range <= 90; range += 45) {
    Rig rig                 = rig_new(RATE, 1);
    rig.controls[FH_MUTED] = 1.0f;
    rig.controls[FH_RANGE] = (float)range;
    rig_run(&rig, close, ambient, out, RATE);
    for (int i = 0; i < RATE; ++i) {
      assert_true(out[i] == 0.0f);
    }
    rig_free(&rig);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(meters_agree_with_the_sound),
    cmocka_unit_test(a_fresh_insert_agrees),
    cmocka_unit_test(muted_is_silent),
  };
  return cmocka_run_group_tests_name("agree", tests, NULL, NULL);
}
