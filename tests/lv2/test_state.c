// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What was learnt survives a session, and presets leave it alone. Held
// against LV2's state extension.

#include "dsp/engine.h"
#include "host.h"
#include "learnt.h"
#include "take.h"

#include "dsp/engine.h"

#include <lv2/atom/atom.h>
#include <lv2/presets/presets.h>
#include <lv2/state/state.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/// The same but for the digits a text file keeps; the first `count` values
static void
assert_close(const FhHost* const a, const FhHost* const b, const size_t count)
{
  const FhValue first = fh_value_of(a);
  const FhValue second = fh_value_of(b);
  assert_int_equal(first.size, second.size);
  for (size_t i = 0; i < count; ++i) {
    assert_true(fabsf(first.values[i] - second.values[i]) < 1e-4f);
  }
}

/// To text and back, as a session file
static void
test_session(void** const state)
{
  (void)state;
  FhHost learnt;
  FhHost fresh;
  fh_open_learnt(&learnt);
  fh_open_steady(&fresh);
  assert_true(fh_value_of(&learnt).size > 0);
  assert_int_equal(fh_value_of(&fresh).size, 0);

  LilvState* const saved = fh_save(&learnt);
  char* const      text =
    lilv_state_to_string(fh_bundle_world(), fh_map(), fh_unmap(), saved, "urn:fronthash:test", NULL);
  assert_non_null(text);
  LilvState* const read = lilv_state_new_from_string(fh_bundle_world(), fh_map(), text);
  assert_non_null(read);
  fh_restore(&fresh, read);
  assert_close(&fresh, &learnt, sizeof(FhLearnt) / sizeof(float)); // Before any run()
  fh_host_run(&fresh, 0);
  assert_close(&fresh, &learnt, sizeof(FhLearnt) / sizeof(float));
  fh_play(&fresh, 1.0);
  assert_close(&fresh, &learnt, FH_LEARNT_1); // What is always there goes on
  assert_true(fresh.controls[FH_LEARNT] == 100.0f);

  free(text);
  lilv_state_free(read);
  lilv_state_free(saved);
  fh_host_close(&fresh);
  fh_host_close(&learnt);
}

/// Restored, it opens and closes as the one that learnt
static void
test_restored_sounds_same(void** const state)
{
  (void)state;
  FhHost hosts[2];
  fh_open_learnt(&hosts[0]);
  fh_open_steady(&hosts[1]);
  LilvState* const saved = fh_save(&hosts[0]);
  fh_restore(&hosts[1], saved);
  lilv_state_free(saved);

  FhTake             take = fh_take_make(hosts[0].rate, 4.0, 32u);
  const uint32_t     frames = take.frames;
  float* const       out[2] = {fh_samples(frames), fh_samples(frames)};
  const float* const ins[2] = {take.close[0], take.ambient};
  for (int i = 0; i < 2; ++i) {
    fh_host_run(&hosts[i], 0); // takes what was restored; activated again, neither goes on from a moment
    lilv_instance_deactivate(hosts[i].instance);
    lilv_instance_activate(hosts[i].instance);
    fh_host_render(&hosts[i], ins, &out[i], frames, 256);
    fh_host_close(&hosts[i]);
  }
  for (uint32_t i = 0; i < frames; ++i) {
    assert_true(fabsf(out[0][i] - out[1][i]) < 1e-5f); // -100 dBFS: levels in dB are rounded
  }
  assert_memory_not_equal(out[0], take.close[0], frames * sizeof(float));
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

/// Restored in a new instance, it goes on as the one that was saved, wherever its ticks were: the same gains within 0.5 dB from two
/// seconds on
static void
test_goes_on(void** const state)
{
  (void)state;
  FhHost hosts[2];
  fh_open_learnt(&hosts[0]);
  fh_open_steady(&hosts[1]);
  FhTake         take   = fh_take_make(hosts[0].rate, 6.0, 32u);
  const uint32_t before = (uint32_t)(1.234 * hosts[0].rate), frames = take.frames - before, hop = 480u;
  float* const   out[2] = {fh_samples(frames), fh_samples(frames)};
  fh_host_render(&hosts[0], (const float*[]){take.close[0], take.ambient}, (float*[]){out[0]}, before, 100);
  LilvState* const saved = fh_save(&hosts[0]);
  fh_restore(&hosts[1], saved);
  lilv_state_free(saved);
  for (int i = 0; i < 2; ++i) {
    fh_host_render(&hosts[i], (const float*[]){take.close[0] + before, take.ambient + before}, &out[i], frames, 256);
    fh_host_close(&hosts[i]);
  }
  for (uint32_t at = (uint32_t)(2.0 * hosts[0].rate); at + hop <= frames; at += hop) {
    double off = 0.0, all = 1e-8 * hop; // what is softer than -80 dBFS nobody hears
    for (uint32_t i = at; i < at + hop; ++i) {
      off += (double)((out[0][i] - out[1][i]) * (out[0][i] - out[1][i]));
      all += (double)(out[0][i] * out[0][i]);
    }
    assert_true(off < 0.0035 * all); // (10^(0.5/20) - 1)^2
  }
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

/// Every factory preset loads, sets its ports, and keeps what was learnt
static void
test_presets_keep_learnt(void** const state)
{
  (void)state;
  FhHost host;
  FhHost untouched;
  fh_open_learnt(&host);
  fh_open_steady(&untouched);
  LilvState* const learnt = fh_save(&host);
  fh_restore(&untouched, learnt);
  lilv_state_free(learnt);

  LilvWorld* const world = fh_bundle_world();
  LilvNode* const  preset_class = lilv_new_uri(world, LV2_PRESETS__Preset);
  LilvNodes* const presets = lilv_plugin_get_related(host.plugin, preset_class);
  unsigned         loaded = 0;
  LILV_FOREACH (nodes, i, presets) {
    const LilvNode* const node = lilv_nodes_get(presets, i);
    lilv_world_load_resource(world, node);
    LilvState* const preset = lilv_state_new_from_world(world, fh_map(), node);
    assert_non_null(preset);
    host.controls[FH_RELEASE] = -1.0f;
    fh_restore(&host, preset);
    assert_true(host.controls[FH_RELEASE] > 0.0f);
    fh_play(&host, 0.2);
    fh_assert_same(&host, &untouched);
    lilv_state_free(preset);
    ++loaded;
  }
  assert_true(loaded >= 4);
  lilv_nodes_free(presets);
  lilv_node_free(preset_class);
  fh_host_close(&untouched);
  fh_host_close(&host);
}

static const void*
give(const LV2_State_Handle handle,
     const uint32_t         key,
     size_t* const          size,
     uint32_t* const        type,
     uint32_t* const        flags)
{
  (void)key;
  const FhValue* const value = (const FhValue*)handle;
  *size = value->size;
  *type = value->type;
  *flags = LV2_STATE_IS_POD;
  return &value->head;
}

static void
test_bad_values(void** const state)
{
  (void)state;
  FhHost host;
  FhHost untouched;
  fh_open_learnt(&host);
  fh_open_steady(&untouched);
  const LV2_State_Interface* const interface =
    (const LV2_State_Interface*)lilv_instance_get_extension_data(host.instance, LV2_STATE__interface);
  const LV2_Handle handle = lilv_instance_get_handle(host.instance);

  const FhValue good = fh_value_of(&host);
  assert_true(good.size > sizeof(LV2_Atom_Vector_Body));
  assert_int_equal(
    interface->restore(lilv_instance_get_handle(untouched.instance), give, (void*)&good, 0, NULL), LV2_STATE_SUCCESS);

  FhValue bad[8] = {good, good, good, good, good, good, good, good};
  bad[0].size -= sizeof(float);
  bad[1].size += sizeof(float);
  bad[2].size = 0;
  bad[3].type = fh_map()->map(NULL, LV2_ATOM__Float);
  bad[4].head.child_type = fh_map()->map(NULL, LV2_ATOM__Int);
  bad[5].head.child_size = sizeof(double);
  bad[6].values[5] = NAN;
  bad[7].values[3] = 1e30f;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    assert_int_equal(interface->restore(handle, give, &bad[i], 0, NULL), LV2_STATE_ERR_BAD_TYPE);
    fh_host_run(&host, 0);
    fh_assert_same(&host, &untouched);
  }
  fh_host_close(&untouched);
  fh_host_close(&host);
}

/// A state of an older version holds the first of these values under another key, and still counts as learnt: as many as it had,
/// a field with three looks at eight bands; noise and tracking; what is usual
static const struct {
  const char* key;
  size_t      floats;
} older[] = {{"urn:fronthash:state:learnt1", 121u}, {"urn:fronthash:state:learnt2", 199u}, {"urn:fronthash:state:learnt3", 216u}};
static size_t which;

static const void*
give_older(const LV2_State_Handle handle,
           const uint32_t         key,
           size_t* const          size,
           uint32_t* const        type,
           uint32_t* const        flags)
{
  const FhValue* const value = (const FhValue*)handle;
  if (key != fh_map()->map(NULL, older[which].key)) {
    return NULL;
  }
  *size = sizeof(LV2_Atom_Vector_Body) + older[which].floats * sizeof(float);
  *type = value->type;
  *flags = LV2_STATE_IS_POD;
  return &value->head;
}

static void
test_older_state(void** const state)
{
  (void)state;
  FhHost host;
  fh_open_learnt(&host);
  const FhValue good = fh_value_of(&host);
  for (which = 0; which < sizeof(older) / sizeof(older[0]); ++which) {
    FhHost other;
    fh_open_steady(&other);
    const LV2_State_Interface* interface =
      (const LV2_State_Interface*)lilv_instance_get_extension_data(other.instance, LV2_STATE__interface);
    assert_int_equal(interface->restore(lilv_instance_get_handle(other.instance), give_older, (void*)&good, 0, NULL),
                     LV2_STATE_SUCCESS);
    fh_play(&other, 1.0);
    fh_assert_same(&host, &other);
    assert_true(other.controls[FH_LEARNT] == 100.0f);
    assert_true(fh_value_of(&other).values[FH_LEARNT_1] == 1.0f); // learnt on request
    fh_host_close(&other);
  }
  fh_host_close(&host);
}

/// Values as far out as they are taken add up to more when they are tracked: what comes of them can be restored too
static void
test_far_values(void** const state)
{
  (void)state;
  static const size_t first = offsetof(FhLearnt, ratio) / sizeof(float);
  FhHost host;
  fh_open_learnt(&host);
  const LV2_State_Interface* const interface =
    (const LV2_State_Interface*)lilv_instance_get_extension_data(host.instance, LV2_STATE__interface);
  const LV2_Handle handle = lilv_instance_get_handle(host.instance);
  uint32_t         seed = 44u;
  const FhValue    good = fh_value_of(&host);
  for (int trial = 0; trial < 20; ++trial) {
    FhValue far = good;
    for (size_t i = first; i < sizeof(FhLearnt) / sizeof(float); ++i) {
      far.values[i] = fh_random(&seed) % 2u ? 200.0f : -200.0f;
    }
    host.controls[FH_TRACKING] = (float)(trial % 2);
    assert_int_equal(interface->restore(handle, give, &far, 0, NULL), LV2_STATE_SUCCESS);
    fh_play(&host, 1.0);
    const FhValue again = fh_value_of(&host);
    assert_int_equal(interface->restore(handle, give, (void*)(uintptr_t)&again, 0, NULL), LV2_STATE_SUCCESS);
    fh_play(&host, 0.1);
  }
  fh_host_close(&host);
}

/// Without a URID map there is no state, and nothing worse
static void
test_no_map(void** const state)
{
  (void)state;
  FhHost host;
  fh_host_open_with(&host, &fh_variants[0], 48000.0, NULL);
  const LV2_State_Interface* const interface =
    (const LV2_State_Interface*)lilv_instance_get_extension_data(host.instance, LV2_STATE__interface);
  const LV2_Handle handle = lilv_instance_get_handle(host.instance);
  FhValue            value = {.size = 0};
  assert_int_equal(interface->save(handle, fh_keep, &value, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
  assert_int_equal(interface->restore(handle, give, &value, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
  fh_host_close(&host);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_session),
    cmocka_unit_test(test_restored_sounds_same),
    cmocka_unit_test(test_goes_on),
    cmocka_unit_test(test_presets_keep_learnt),
    cmocka_unit_test(test_bad_values),
    cmocka_unit_test(test_older_state),
    cmocka_unit_test(test_far_values),
    cmocka_unit_test(test_no_map),
  };
  return cmocka_run_group_tests(tests, fh_learnt_open, fh_learnt_close);
}
