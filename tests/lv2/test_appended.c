// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A control of each flow appended to the table: the plugin reads the input, writes the others, and does else what the built one does.
// LV2 core: a plugin must not write to an input port. More of the table is held in test_ports.c.

#include "dsp/engine_state.h"
#include "ports.h"

#include "../noise.h"

#include <lv2/core/lv2.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <dlfcn.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000.0
#define BLOCK 480
#define BLOCKS 300
#define BUILT FH_MORE_METER ///< Controls of the built plugin

static const float given_input = 4.5f;
static float       taken_input; ///< What the plugin last handed to the engine

void __real_fh_engine_set(FhEngine* engine, const float controls[FH_CONTROL_COUNT]);
void __wrap_fh_engine_set(FhEngine* engine, const float controls[FH_CONTROL_COUNT]);

/// Comes between plugin and engine, by the linker's --wrap
void
__wrap_fh_engine_set(FhEngine* const engine, const float controls[FH_CONTROL_COUNT])
{
  taken_input = controls[FH_MORE_INPUT];
  __real_fh_engine_set(engine, controls);
}

/// An instance of Solo and what it made
typedef struct {
  float controls[FH_CONTROL_COUNT];
  float out[BLOCKS * BLOCK];
  bool  input_kept;      ///< In all blocks
  bool  outputs_written; ///< In each block
} Played;

/// Play a field, and a soloist over it from the middle on
static void
play(const LV2_Descriptor* const plugin, const int controls, Played* const p)
{
  static float         close[BLOCK], ambient[BLOCK];
  const uint32_t       first    = fh_first_control(&fh_variants[0]);
  uint32_t             seed     = 3u;
  const LV2_Feature* const none[] = {NULL};
  const LV2_Handle     instance = plugin->instantiate(plugin, RATE, "", none);
  assert_non_null(instance);
  for (int i = 0; i < controls; ++i) {
    p->controls[i] = fh_controls[i].def;
    plugin->connect_port(instance, first + (uint32_t)i, &p->controls[i]);
  }
  p->controls[FH_MORE_INPUT] = given_input;
  p->input_kept = p->outputs_written = true;
  plugin->activate(instance);
  for (int b = 0; b < BLOCKS; ++b) {
    for (int i = 0; i < BLOCK; ++i) {
      ambient[i] = (float)(0.1 * fh_noise(&seed));
      close[i]   = (float)(0.3 * (double)ambient[i] + (b > BLOCKS / 2 ? 0.3 * sin(0.09 * (b * BLOCK + i)) : 0.0));
    }
    float* const audio[] = {close, ambient, p->out + (size_t)b * BLOCK};
    for (uint32_t i = 0; i < 3; ++i) {
      plugin->connect_port(instance, i, audio[i]);
    }
    p->controls[FH_MORE_METER] = p->controls[FH_MORE_OUTPUT] = NAN;
    plugin->run(instance, BLOCK);
    p->input_kept      = p->input_kept && p->controls[FH_MORE_INPUT] == given_input;
    p->outputs_written = p->outputs_written && !isnan(p->controls[FH_MORE_METER]) && !isnan(p->controls[FH_MORE_OUTPUT]);
  }
  plugin->cleanup(instance);
}

static void
test_plugin(void** const state)
{
  (void)state;
  char path[4096];
  snprintf(path, sizeof(path), "%s/fronthash.so", getenv("FH_BUNDLE"));
  void* const library = dlopen(path, RTLD_NOW | RTLD_LOCAL);
  assert_non_null(library);
  LV2_Descriptor_Function built_of;
  *(void**)&built_of = dlsym(library, "lv2_descriptor");
  assert_non_null(built_of);

  static Played built, more;
  play(built_of(0), BUILT, &built);
  play(lv2_descriptor(0), FH_CONTROL_COUNT, &more);
  assert_true(more.input_kept);
  assert_float_equal(taken_input, given_input, 0.0);
  assert_true(more.outputs_written);
  assert_false(built.outputs_written); // which has no such ports
  assert_float_equal(more.controls[FH_STATE], FH_STATE_OPEN, 0.0);
  for (int i = 0; i < BUILT; ++i) {
    // The built one may run other instructions: their sums differ in the last digits
    assert_float_equal(more.controls[i], built.controls[i], 1e-3f * fmaxf(1.0f, fabsf(built.controls[i])));
  }
  for (size_t i = 0; i < BLOCKS * BLOCK; ++i) {
    assert_float_equal(more.out[i], built.out[i], 1e-5f);
  }
  dlclose(library);
}

static void
test_engine(void** const state)
{
  (void)state;
  const size_t    size   = (fh_engine_size(RATE, 1) + 63u) / 64u * 64u;
  void* const     memory = aligned_alloc(64, size);
  float           controls[FH_CONTROL_COUNT];
  FhEngine* const engine = fh_engine_init(memory, RATE, 1);
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    controls[i] = fh_controls[i].flow == FH_INPUT ? fh_controls[i].def : NAN;
  }
  assert_float_equal(engine->settings.controls[FH_MORE_INPUT], 2.0f, 0.0);
  const float values[][2] = {{given_input, given_input}, {-100.0f, -3.0f}, {100.0f, 7.0f}, {NAN, 2.0f}};
  for (size_t i = 0; i < sizeof(values) / sizeof(values[0]); ++i) {
    controls[FH_MORE_INPUT] = values[i][0];
    fh_engine_set(engine, controls);
    assert_float_equal(engine->settings.controls[FH_MORE_INPUT], values[i][1], 0.0);
  }
  free(memory);
}

static void
test_table(void** const state)
{
  (void)state;
  assert_int_equal(FH_INPUT_COUNT + FH_OUTPUT_COUNT, FH_CONTROL_COUNT);
  assert_int_equal(fh_inputs[FH_INPUT_COUNT - 1], FH_MORE_INPUT);
  assert_int_equal(fh_outputs[FH_OUTPUT_COUNT - 1], FH_MORE_OUTPUT);
  assert_true(fh_is_setting(FH_MORE_INPUT) && !fh_is_setting(FH_MORE_METER) && !fh_is_setting(FH_LISTEN));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_table),
    cmocka_unit_test(test_engine),
    cmocka_unit_test(test_plugin),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
