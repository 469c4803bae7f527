// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "learnt.h"
#include "take.h"

#include "dsp/engine.h"

#include <lv2/state/state.h>

#include <stdlib.h>
#include <string.h>

#define RATE 8000.0

static FhTake take;

int
fh_learnt_open(void** const state)
{
  take = fh_take_field(RATE, FH_LEARN_SECONDS, 31u);
  return fh_bundle_open(state);
}

int
fh_learnt_close(void** const state)
{
  fh_take_free(&take);
  return fh_bundle_close(state);
}

void
fh_play(const FhHost* const host, const double seconds)
{
  float* const       out = fh_samples(take.frames);
  const float* const ins[2] = {take.close[0], take.ambient};
  float* const       outs[1] = {out};
  fh_host_render(host, ins, outs, (uint32_t)(seconds * RATE), 256);
  free(out);
}

void
fh_open_steady(FhHost* const host)
{
  fh_host_open(host, &fh_variants[0], RATE);
  host->controls[FH_TRACKING] = 0.0f;
}

void
fh_open_learnt(FhHost* const host)
{
  fh_open_steady(host);
  fh_host_run(host, 0);
  host->controls[FH_LEARN] = FH_LEARN_AMBIENT;
  fh_play(host, FH_LEARN_SECONDS);
  host->controls[FH_LEARN] = FH_LEARN_OFF;
  fh_host_run(host, 0);
}

LV2_State_Status
fh_keep(const LV2_State_Handle handle,
        const uint32_t         key,
        const void* const      value,
        const size_t           size,
        const uint32_t         type,
        const uint32_t         flags)
{
  FhValue* const kept = (FhValue*)handle;
  assert_true(size <= offsetof(FhValue, size));
  assert_int_equal(key, fh_map()->map(NULL, "urn:fronthash:state:learnt4"));
  assert_int_equal(flags, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE);
  memcpy(&kept->head, value, size);
  kept->size = size;
  kept->type = type;
  return LV2_STATE_SUCCESS;
}

FhValue
fh_value_of(const FhHost* const host)
{
  const LV2_State_Interface* const interface =
    (const LV2_State_Interface*)lilv_instance_get_extension_data(host->instance, LV2_STATE__interface);
  FhValue value = {.size = 0};
  assert_int_equal(
    interface->save(lilv_instance_get_handle(host->instance), fh_keep, &value, 0, NULL), LV2_STATE_SUCCESS);
  return value;
}

void
fh_assert_same(const FhHost* const a, const FhHost* const b)
{
  const FhValue first = fh_value_of(a);
  const FhValue second = fh_value_of(b);
  assert_int_equal(first.size, second.size);
  assert_memory_equal(&first, &second, offsetof(FhValue, values) + FH_LEARNT_1 * sizeof(float));
}

LilvState*
fh_save(const FhHost* const host)
{
  LilvState* const saved = lilv_state_new_from_instance(
    host->plugin, host->instance, fh_map(), NULL, NULL, NULL, NULL, NULL, NULL, LV2_STATE_IS_POD, NULL);
  assert_non_null(saved);
  return saved;
}

static void
set_port(const char* const symbol, void* const data, const void* const value, const uint32_t size, const uint32_t type)
{
  FhHost* const host = (FhHost*)data;
  assert_int_equal(size, sizeof(float));
  assert_int_equal(type, fh_map()->map(NULL, LV2_ATOM__Float));
  for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
    if (!strcmp(fh_controls[i].symbol, symbol)) {
      memcpy(&host->controls[i], value, sizeof(float));
      return;
    }
  }
  fail_msg("no port %s", symbol);
}

void
fh_restore(FhHost* const host, const LilvState* const saved)
{
  lilv_state_restore(saved, host->instance, set_port, host, 0, NULL);
}
