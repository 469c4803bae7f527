// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file instance.h
/// The plugin linked in, at 8 kHz, for fuzz targets that drive it. One thread.

#ifndef FRONTHASH_TESTS_FUZZ_INSTANCE_H
#define FRONTHASH_TESTS_FUZZ_INSTANCE_H

#include "ports.h"

#include "../noise.h"
#include "fuzz.h"

#include <lv2/core/lv2.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include <math.h>
#include <string.h>

#define RATE 8000.0
#define KEPT_MAX 8192

/// One value of a state, as stored
typedef struct {
  uint32_t key, type;
  size_t   size;
  uint8_t  data[KEPT_MAX];
} Kept;

typedef struct {
  const LV2_Descriptor*      plugin;
  LV2_Handle                 handle;
  const LV2_State_Interface* state;
  float                      controls[FH_CONTROL_COUNT];
} Instance;

static inline LV2_URID
instance_map(const LV2_URID_Map_Handle handle, const char* const text)
{
  (void)handle;
  static char     known[32][96];
  static uint32_t count;
  for (uint32_t i = 0; i < count; ++i) {
    if (!strcmp(known[i], text)) {
      return i + 1;
    }
  }
  fh_promise(count < 32, "few texts to map");
  snprintf(known[count], sizeof(known[0]), "%s", text);
  return ++count;
}

static inline Instance*
instance_new(void)
{
  static LV2_URID_Map       map     = {NULL, instance_map};
  static const LV2_Feature  feature = {LV2_URID__map, &map};
  const LV2_Feature* const  features[] = {&feature, NULL};
  Instance* const           self       = (Instance*)calloc(1, sizeof(Instance));
  self->plugin                         = lv2_descriptor(0);
  self->handle                         = self->plugin->instantiate(self->plugin, RATE, "", features);
  self->state = (const LV2_State_Interface*)self->plugin->extension_data(LV2_STATE__interface);
  for (uint32_t i = 0; i < FH_CONTROL_COUNT; ++i) {
    self->controls[i] = fh_controls[i].def;
    self->plugin->connect_port(self->handle, fh_first_control(&fh_variants[0]) + i, &self->controls[i]);
  }
  self->plugin->activate(self->handle);
  return self;
}

static inline void
instance_free(Instance* const self)
{
  self->plugin->cleanup(self->handle);
  free(self);
}

static inline void
instance_run(Instance* const self, float* const close, float* const ambient, float* const out, const uint32_t frames)
{
  float* const audio[] = {close, ambient, out};
  for (uint32_t i = 0; i < 3; ++i) {
    self->plugin->connect_port(self->handle, i, audio[i]);
  }
  self->plugin->run(self->handle, frames);
}

/// A field on both microphones
static inline void
instance_noise(float* const close, float* const ambient, const uint32_t frames, uint32_t* const seed)
{
  for (uint32_t i = 0; i < frames; ++i) {
    ambient[i] = (float)(0.1 * fh_noise(seed));
    close[i]   = (float)(0.25 * (double)ambient[i] + 0.005 * fh_noise(seed));
  }
}

/// Every control output is a number in its range, and what sounds is finite
static inline void
instance_check(const Instance* const self, const float* const out, const uint32_t frames)
{
  for (uint32_t i = 0; i < frames; ++i) {
    fh_promise(isfinite(out[i]) != 0, "output is finite");
  }
  for (uint32_t i = 0; i < FH_CONTROL_COUNT; ++i) {
    const FhPortInfo* const port = &fh_controls[i];
    fh_promise(port->flow == FH_INPUT || (self->controls[i] >= port->min && self->controls[i] <= port->max),
               "meters stay in their ranges");
  }
}

static inline LV2_State_Status
instance_store(const LV2_State_Handle handle,
               const uint32_t         key,
               const void* const      value,
               const size_t           size,
               const uint32_t         type,
               const uint32_t         flags)
{
  Kept* const kept = (Kept*)handle;
  (void)flags;
  fh_promise(size <= KEPT_MAX, "what is saved is small");
  if (kept->size == 0) {
    kept->key  = key;
    kept->type = type;
    kept->size = size;
    memcpy(kept->data, value, size);
  }
  return LV2_STATE_SUCCESS;
}

static inline const void*
instance_retrieve(const LV2_State_Handle handle,
                  const uint32_t         key,
                  size_t* const          size,
                  uint32_t* const        type,
                  uint32_t* const        flags)
{
  const Kept* const kept = (const Kept*)handle;
  if (key != kept->key) {
    return NULL;
  }
  *size  = kept->size;
  *type  = kept->type;
  *flags = LV2_STATE_IS_POD;
  return kept->data;
}

static inline void
instance_save(Instance* const self, Kept* const kept)
{
  kept->size = 0;
  fh_promise(self->state->save(self->handle, instance_store, kept, 0, NULL) == LV2_STATE_SUCCESS, "saving works");
}

static inline LV2_State_Status
instance_restore(Instance* const self, const Kept* const kept)
{
  return self->state->restore(self->handle, instance_retrieve, (LV2_State_Handle)(uintptr_t)kept, 0, NULL);
}

#endif
