// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_reset.c
/// A reset keeps the control values: run on without being told them again, the engine does what one does that was told. Held
/// against the words of engine.h.

#include "check.h"

#define RATE 48000.0
#define BLOCK 480u
#define BLOCKS 300u ///< 3 s

static const struct {
  const char* name;
  FhControl   control;
  float       value;
} rows[] = {
  {"defaults", FH_ENABLED, 1.0f},       {"muted", FH_MUTED, 1.0f},           {"bypass", FH_ENABLED, 0.0f},
  {"listening", FH_LISTEN, 2.0f},       {"range", FH_RANGE, 12.0f},          {"release", FH_RELEASE, 1000.0f},
  {"duck depth", FH_DUCK_DEPTH, 0.0f},  {"lookahead", FH_LOOKAHEAD, 5.0f},   {"margin", FH_OPEN_MARGIN, 24.0f},
  {"delay", FH_AMBIENT_DELAY, 20.0f},
};

/// Field in both microphones, and from the second second on a soloist in the close one
static void
make_sound(const uint32_t block, Noise* const noise, float* const close, float* const ambient)
{
  for (uint32_t i = 0; i < BLOCK; ++i) {
    const double at    = (double)(block * BLOCK + i) / RATE;
    const double field = 0.05 * noise_normal(noise);
    close[i]           = (float)(field + 0.01 * noise_normal(noise) + (at > 1.5 && at < 2.2 ? 0.3 * sin(tau * 440.0 * at) : 0.0));
    ambient[i]         = (float)(2.0 * field + 0.02 * noise_normal(noise));
  }
}

/// Run the sound through. @param controls Told before each block, or NULL: never
static void
run(FhEngine* const e, const float* const controls, float* const out)
{
  static float close[BLOCK], ambient[BLOCK];
  Noise        noise = {5};
  for (uint32_t b = 0; b < BLOCKS; ++b) {
    const float* const closes[] = {close};
    float* const       outs[]   = {out + b * BLOCK};
    make_sound(b, &noise, close, ambient);
    if (controls) {
      fh_engine_set(e, controls);
    }
    fh_engine_run(e, closes, ambient, outs, NULL, BLOCK);
  }
}

static void
reset_keeps_controls(void** const state)
{
  (void)state;
  static float told[BLOCKS * BLOCK], untold[BLOCKS * BLOCK];
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    Rig a = rig_new(RATE, 1), b = rig_new(RATE, 1);
    a.controls[rows[r].control] = b.controls[rows[r].control] = rows[r].value;
    fh_engine_set(b.engine, b.controls);
    fh_engine_reset(b.engine);
    run(a.engine, a.controls, told);
    run(b.engine, NULL, untold);
    for (uint32_t i = 0; i < BLOCKS * BLOCK; ++i) {
      if (told[i] != untold[i]) {
        fail_msg("%s: %g instead of %g after %.3f s", rows[r].name, (double)untold[i], (double)told[i], (double)i / RATE);
      }
    }
    rig_free(&a);
    rig_free(&b);
  }
}

/// Never told any controls at all, an engine runs by the defaults of ports.h
static void
defaults_without_set(void** const state)
{
  (void)state;
  static float told[BLOCKS * BLOCK], untold[BLOCKS * BLOCK];
  Rig          a = rig_new(RATE, 1), b = rig_new(RATE, 1);
  run(a.engine, a.controls, told);
  run(b.engine, NULL, untold);
  assert_memory_equal(told, untold, sizeof(told));
  rig_free(&a);
  rig_free(&b);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(reset_keeps_controls),
    cmocka_unit_test(defaults_without_set),
  };
  return cmocka_run_group_tests_name("reset", tests, NULL, NULL);
}
