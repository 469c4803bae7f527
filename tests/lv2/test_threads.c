// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Hosts save and restore from one thread while run() goes on in another. Built with the thread sanitiser where the
// compiler has it, with the glue linked in, as it does not see into a loaded bundle that was built without.

#include "dsp/engine.h"
#include "ports.h"

#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define MAX_FLOATS 1024
#define LEARNT_BYTES (sizeof(LV2_Atom_Vector_Body) + FH_LEARNT_1 * sizeof(float)) ///< But for what run() moves on
#define ROUNDS 3000

typedef struct {
  LV2_Atom_Vector_Body head;
  float                values[MAX_FLOATS];
} Value;

/// What the host keeps for the one key of the plugin
typedef struct {
  Value    value;
  size_t   size;
  uint32_t type;
} Kept;

static LV2_URID
map_uri(const LV2_URID_Map_Handle handle, const char* const uri)
{
  (void)handle;
  return !strcmp(uri, LV2_ATOM__Vector) ? 1u : !strcmp(uri, LV2_ATOM__Float) ? 2u : 3u;
}

static LV2_State_Status
store(const LV2_State_Handle handle,
      const uint32_t         key,
      const void* const      value,
      const size_t           size,
      const uint32_t         type,
      const uint32_t         flags)
{
  (void)key;
  (void)flags;
  Kept* const kept = (Kept*)handle;
  if (size > sizeof(kept->value)) {
    return LV2_STATE_ERR_NO_SPACE;
  }
  memcpy(&kept->value, value, size);
  kept->size = size;
  kept->type = type;
  return LV2_STATE_SUCCESS;
}

static const void*
retrieve(const LV2_State_Handle handle,
         const uint32_t         key,
         size_t* const          size,
         uint32_t* const        type,
         uint32_t* const        flags)
{
  (void)key;
  const Kept* const kept = (const Kept*)handle;
  *size = kept->size;
  *type = kept->type;
  *flags = LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE;
  return kept->size ? &kept->value : NULL;
}

typedef struct {
  const LV2_Descriptor* descriptor;
  LV2_Handle            instance;
  atomic_bool           is_stopped;
  atomic_uint           runs;
} Running;

static void*
run_on(void* const data)
{
  Running* const running = (Running*)data;
  while (!atomic_load(&running->is_stopped)) {
    running->descriptor->run(running->instance, 16);
    atomic_fetch_add(&running->runs, 1u);
  }
  return NULL;
}

/// Restore `number` in place of every value but the first, which says that something was learnt
static void
restore_number(const LV2_State_Interface* const state, const LV2_Handle instance, Kept* const kept, const float number)
{
  const size_t count = (kept->size - sizeof(LV2_Atom_Vector_Body)) / sizeof(float);
  kept->value.values[0] = 1.0f;
  for (size_t i = 1; i < count; ++i) {
    kept->value.values[i] = number;
  }
  assert_int_equal(state->restore(instance, retrieve, kept, 0, NULL), LV2_STATE_SUCCESS);
}

/// The right size of the value, found by trying: a plugin that learnt nothing yet shows none
static void
find_size(const LV2_State_Interface* const state, const LV2_Handle instance, Kept* const kept)
{
  *kept = (Kept){.value = {.head = {sizeof(float), 2u}, .values = {1.0f}}, .type = 1u};
  for (size_t count = 1; count <= MAX_FLOATS; ++count) {
    kept->size = sizeof(LV2_Atom_Vector_Body) + count * sizeof(float);
    if (state->restore(instance, retrieve, kept, 0, NULL) == LV2_STATE_SUCCESS) {
      return;
    }
  }
  fail_msg("no size of state is accepted");
}

static void
test_restore_while_running(void** const unused)
{
  (void)unused;
  LV2_URID_Map             map = {NULL, map_uri};
  const LV2_Feature        feature = {LV2_URID__map, &map};
  const LV2_Feature* const features[] = {&feature, NULL};

  Running running = {.descriptor = lv2_descriptor(0)};
  running.instance = running.descriptor->instantiate(running.descriptor, 48000.0, "", features);
  assert_non_null(running.instance);
  float close[16] = {0.1f};
  float out[16];
  running.descriptor->connect_port(running.instance, 0, close);
  running.descriptor->connect_port(running.instance, 2, out);
  running.descriptor->activate(running.instance);
  const LV2_State_Interface* const state =
    (const LV2_State_Interface*)running.descriptor->extension_data(LV2_STATE__interface);
  Kept given;
  find_size(state, running.instance, &given);

  pthread_t thread;
  assert_int_equal(pthread_create(&thread, NULL, run_on, &running), 0);
  for (unsigned round = 0; round < ROUNDS; ++round) {
    const float number = (float)(round % 90u);
    restore_number(state, running.instance, &given, number);
    if (round % 7u == 0) {
      Kept absent = {.size = 0}; // A factory preset in between must not undo it
      assert_int_equal(state->restore(running.instance, retrieve, &absent, 0, NULL), LV2_STATE_SUCCESS);
    }
    const unsigned before = atomic_load(&running.runs);
    while (round % 3u == 0 && atomic_load(&running.runs) < before + 2u) {
    }
    Kept saved = {.size = 0};
    assert_int_equal(state->save(running.instance, store, &saved, 0, NULL), LV2_STATE_SUCCESS);
    assert_int_equal(saved.size, given.size);
    assert_memory_equal(&saved.value, &given.value, LEARNT_BYTES); // Whole, and never an older one
  }
  atomic_store(&running.is_stopped, true);
  pthread_join(thread, NULL);
  running.descriptor->cleanup(running.instance);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_restore_while_running),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
