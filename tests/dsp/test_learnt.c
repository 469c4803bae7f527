// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_learnt.c
/// What was learnt, carried to a fresh engine, does there what it does in the engine that learnt it: that one is what it is held
/// against.

#include "../noise.h"

#include "dsp/engine.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#define RATE 48000
#define BLOCK 480
#define LEARN_BLOCKS 800
#define PLAY_BLOCKS 2000
#define PI 3.14159265358979323846

static uint32_t noise_seed;

/// A field that swells and falls, a part of its own in each microphone; the soloist plays two seconds of every five
static void
make_block(float close[BLOCK], float ambient[BLOCK], const size_t block, const int with_soloist)
{
  for (size_t i = 0; i < BLOCK; ++i) {
    const double t     = (double)(block * BLOCK + i) / RATE;
    const float  level = (float)(0.05 * (1.0 + 0.7 * sin(2.0 * PI * 0.3 * t)));
    const float  field = level * (float)fh_noise(&noise_seed);
    const float  solo  = with_soloist && fmod(t, 5.0) > 3.0 ? (float)(0.2 * sin(2.0 * PI * 440.0 * t)) : 0.0f;
    close[i]           = solo + 0.6f * field + 0.3f * level * (float)fh_noise(&noise_seed);
    ambient[i]         = 0.05f * solo + field + 0.3f * level * (float)fh_noise(&noise_seed);
  }
}

static FhEngine*
make_engine(void** const memory)
{
  *memory = aligned_alloc(64, (fh_engine_size(RATE, 1) + 63u) / 64u * 64u);
  assert_non_null(*memory);
  return fh_engine_init(*memory, RATE, 1);
}

static void
set_controls(float controls[FH_CONTROL_COUNT], FhEngine* const engine, const FhLearn learn)
{
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    controls[i] = fh_controls[i].def;
  }
  controls[FH_LEARN] = (float)learn;
  fh_engine_set(engine, controls);
}

static void
run_block(FhEngine* const engine, const size_t block, const int with_soloist)
{
  float        close[BLOCK], ambient[BLOCK], out[BLOCK];
  const float* closes[] = {close};
  float*       outs[]   = {out};
  make_block(close, ambient, block, with_soloist);
  fh_engine_run(engine, closes, ambient, outs, NULL, BLOCK);
}

static void
test_carried_over(void** const state)
{
  (void)state;
  void*     memory[2];
  FhEngine* engines[2] = {make_engine(&memory[0]), make_engine(&memory[1])};
  float     controls[2][FH_CONTROL_COUNT];

  noise_seed = 7;
  set_controls(controls[0], engines[0], FH_LEARN_OFF);
  run_block(engines[0], 0, 0);
  set_controls(controls[0], engines[0], FH_LEARN_AMBIENT);
  for (size_t b = 1; b < LEARN_BLOCKS; ++b) {
    run_block(engines[0], b, 0);
  }
  set_controls(controls[0], engines[0], FH_LEARN_OFF);
  run_block(engines[0], LEARN_BLOCKS, 0);
  fh_engine_reset(engines[0]);

  FhLearnt learnt;
  fh_engine_get_learnt(engines[0], &learnt);
  assert_true(learnt.known > 0.0f);
  assert_true(fh_engine_set_learnt(engines[1], &learnt));
  FhLearnt again;
  fh_engine_get_learnt(engines[1], &again);
  for (size_t i = 0; i < sizeof(learnt) / sizeof(float); ++i) { // nothing is lost on the way
    assert_true(fabsf(((const float*)&again)[i] - ((const float*)&learnt)[i]) < 1e-3f);
  }

  double   off    = 0.0;
  unsigned differ = 0;
  for (size_t b = 0; b < PLAY_BLOCKS; ++b) {
    const uint32_t at = noise_seed;
    for (int e = 0; e < 2; ++e) {
      noise_seed = at;
      set_controls(controls[e], engines[e], FH_LEARN_OFF);
      run_block(engines[e], b, 1);
      fh_engine_meters(engines[e], controls[e]);
    }
    off += fabs((double)(controls[0][FH_EXCESS] - controls[1][FH_EXCESS])) +
           fabs((double)(controls[0][FH_OPEN_AT] - controls[1][FH_OPEN_AT]));
    differ += controls[0][FH_STATE] != controls[1][FH_STATE];
  }
  // Both see the same sound: but for averages of some seconds, which start anew, they are one
  assert_true(off / PLAY_BLOCKS < 0.1);
  assert_true(differ < PLAY_BLOCKS / 200);
  free(memory[0]);
  free(memory[1]);
}

/// A host that stops in the middle of learning ends it as its button would: after half a second what was known before
/// stays, after more than that the new is kept. The ambient microphone is four times as loud as before: 12 dB.
static void
test_reset_while_learning(void** const state)
{
  (void)state;
  for (int late = 0; late < 2; ++late) {
    void*           memory;
    FhEngine* const engine = make_engine(&memory);
    float           controls[FH_CONTROL_COUNT];
    FhLearnt        before, after;
    noise_seed = 7;
    set_controls(controls, engine, FH_LEARN_OFF);
    run_block(engine, 0, 0);
    set_controls(controls, engine, FH_LEARN_AMBIENT);
    for (size_t b = 1; b < LEARN_BLOCKS; ++b) {
      run_block(engine, b, 0);
    }
    set_controls(controls, engine, FH_LEARN_OFF);
    run_block(engine, LEARN_BLOCKS, 0);
    fh_engine_get_learnt(engine, &before);

    set_controls(controls, engine, FH_LEARN_AMBIENT);
    for (size_t b = 0; b < (late ? 300u : 50u); ++b) {
      float        close[BLOCK], ambient[BLOCK], out[BLOCK];
      const float* closes[] = {close};
      float*       outs[]   = {out};
      make_block(close, ambient, b, 0);
      for (size_t i = 0; i < BLOCK; ++i) {
        ambient[i] *= 4.0f;
      }
      fh_engine_run(engine, closes, ambient, outs, NULL, BLOCK);
    }
    fh_engine_get_learnt(engine, &after);
    assert_memory_equal(&after, &before, sizeof(after)); // a session saved now keeps what was known
    fh_engine_reset(engine);
    fh_engine_get_learnt(engine, &after);
    assert_true(after.known > 0.0f);
    for (int k = 0; k < FH_BANDS; ++k) {
      const float moved = after.ratio[FH_LOOKS - 1][0][k] - before.ratio[FH_LOOKS - 1][0][k];
      assert_true(fabsf(moved - (late ? -12.04f : 0.0f)) < (late ? 1.5f : 0.05f));
    }
    free(memory);
  }
}

#define ABSURD_BLOCKS 200

/// What is played to each absurd state: of its second half the close microphone is silent, and the ambient one now and then
static float absurd_close[ABSURD_BLOCKS][BLOCK], absurd_ambient[ABSURD_BLOCKS][BLOCK];

static void
make_absurd_sound(void)
{
  for (size_t b = 0; b < ABSURD_BLOCKS; ++b) {
    const float gain = b < ABSURD_BLOCKS / 2 ? 1.0f : 1e-5f;
    make_block(absurd_close[b], absurd_ambient[b], b, 1);
    for (size_t i = 0; i < BLOCK; ++i) {
      absurd_close[b][i] *= gain;
      absurd_ambient[b][i] *= b % 50 < 25 ? gain : 1.0f;
    }
  }
}

/// Restore an absurd state, run on for two seconds of loud sound and faint, and restore what is then saved
static void
check_absurd(const FhLearnt* const learnt, const size_t which)
{
  void*           memory;
  FhEngine* const engine = make_engine(&memory);
  float           controls[FH_CONTROL_COUNT];
  FhLearnt        saved;
  set_controls(controls, engine, FH_LEARN_OFF);
  if (!fh_engine_set_learnt(engine, learnt)) {
    fail_msg("state %zu is within +-%g and refused", which, (double)FH_LEARNT_MOST);
  }
  for (size_t b = 0; b < ABSURD_BLOCKS; ++b) {
    static float out[BLOCK];
    const float* closes[] = {absurd_close[b]};
    float*       outs[]   = {out};
    fh_engine_run(engine, closes, absurd_ambient[b], outs, NULL, BLOCK);
    for (size_t i = 0; i < BLOCK; ++i) {
      assert_true(fabsf(out[i]) < 2.0f); // false of what is not a number, too
    }
    if (b % 50 == 0) {
      fh_engine_get_learnt(engine, &saved);
      if (!fh_engine_set_learnt(engine, &saved)) {
        fail_msg("what was saved %zu blocks after state %zu is refused", b, which);
      }
    }
  }
  free(memory);
}

/// What is finite and within FH_LEARNT_MOST is restored, and whatever comes of it when sound is played can be saved and restored:
/// each value for itself at either end, of the moment every fifth, then all of them at an end by chance
static void
test_absurd_states(void** const state)
{
  (void)state;
  const size_t count = sizeof(FhLearnt) / sizeof(float);
  FhLearnt     learnt;
  noise_seed = 7;
  make_absurd_sound();
  for (size_t which = 0; which < 2 * count + 200; ++which) {
    if (which / 2 >= FH_LEARNT_3 && which < 2 * count && which / 2 % 5) {
      continue; // levels and memory of a moment, alike
    }
    float* const values = (float*)&learnt;
    for (size_t i = 0; i < count; ++i) {
      const float most = fh_noise(&noise_seed) < 0.0 ? -FH_LEARNT_MOST : FH_LEARNT_MOST;
      values[i]        = which >= 2 * count ? most : i != which / 2 ? 0.0f : which % 2 ? FH_LEARNT_MOST : -FH_LEARNT_MOST;
    }
    learnt.known = which % 3 ? 1.0f : learnt.known;
    learnt.asked = which % 4 < 2 ? 1.0f : learnt.asked;
    check_absurd(&learnt, which);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_carried_over),
                                     cmocka_unit_test(test_reset_while_learning),
                                     cmocka_unit_test(test_absurd_states)};
  return cmocka_run_group_tests_name("learnt", tests, NULL, NULL);
}
