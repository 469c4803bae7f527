// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file plugin.c
/// The three LV2 plugins: ports in, engine, ports out. All signal work is in dsp/.

#include "dsp/engine.h"
#include "lv2/fpenv.h"
#include "lv2/state.h"
#include "ports.h"

#include <lv2/core/lv2.h>
#include <lv2/log/log.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FH_ALIGN 64u
#define FH_MAX_AUDIO (sizeof(fh_variants[0].symbols) / sizeof(fh_variants[0].symbols[0]))
#define FH_SETTLE_SECONDS 0.1 ///< How long after a restore a host may still be setting the preset's ports

/// A control that acts when it is pressed, and the guard against presses nobody made
typedef struct {
  float seen;       ///< Value of the port in the last run()
  bool  is_ignored; ///< Not passed on until it was off once
} FhButton;

/// Everything of one instance; the engine follows in the same piece of memory
typedef struct {
  const FhVariant* variant;
  FhEngine*        engine;
  FhStateBox       state;

  float*       audio[FH_MAX_AUDIO];
  const float* inputs[FH_INPUT_COUNT];   ///< In the order of fh_inputs; the default where there is no port
  float*       outputs[FH_OUTPUT_COUNT]; ///< In the order of fh_outputs; `nowhere` where there is no port
  float        nowhere;

  uint32_t given[FH_INPUT_COUNT];   ///< Bits of what the control inputs held in the last run()
  float    meters[FH_OUTPUT_COUNT]; ///< Values of the control outputs
  uint32_t news;                    ///< fh_engine_news() when they were made
  uint32_t learnt_news;             ///< fh_engine_learnt_news() when the snapshot was made

  FhButton learn, clear;
  bool     is_running; ///< run() was called since activate()
  uint32_t settle;     ///< Frames a restore takes to settle
  uint32_t settling;   ///< Frames left of that
} FhPlugin;

static size_t
round_up(const size_t size)
{
  return (size + FH_ALIGN - 1u) / FH_ALIGN * FH_ALIGN;
}

static void
connect_port(const LV2_Handle instance, const uint32_t port, void* const data)
{
  FhPlugin* const self = (FhPlugin*)instance;
  const uint32_t  first = fh_first_control(self->variant);
  if (port < first) {
    self->audio[port] = (float*)data;
    return;
  }
  for (unsigned i = 0; i < FH_INPUT_COUNT; ++i) {
    if (fh_inputs[i] == port - first) {
      self->inputs[i] = data ? (const float*)data : &fh_controls[port - first].def;
    }
  }
  for (unsigned i = 0; i < FH_OUTPUT_COUNT; ++i) {
    if (fh_outputs[i] == port - first) {
      self->outputs[i] = data ? (float*)data : &self->nowhere;
    }
  }
}

/// What a host offers under a URI, or NULL
static void*
feature(const LV2_Feature* const* const features, const char* const uri)
{
  for (size_t i = 0; features && features[i]; ++i) {
    if (!strcmp(features[i]->URI, uri)) {
      return features[i]->data;
    }
  }
  return NULL;
}

/// Tell the host's log, if it has one, at what rates this plugin runs
static void
log_rate(LV2_URID_Map* const map, const LV2_Log_Log* const log, const char* const uri, const double rate)
{
  if (log) {
    const LV2_URID error = map ? map->map(map->handle, LV2_LOG__Error) : 0u;
    log->printf(log->handle,
                error,
                "%s cannot run at %g Hz: set the session to %g to %g Hz\n",
                uri,
                rate,
                FH_LEAST_RATE,
                FH_MOST_RATE);
  }
}

static LV2_Handle
instantiate(const LV2_Descriptor* const     descriptor,
            const double                    rate,
            const char* const               bundle,
            const LV2_Feature* const* const features)
{
  (void)bundle;

  LV2_URID_Map* const map = (LV2_URID_Map*)feature(features, LV2_URID__map);
  if (!(rate >= FH_LEAST_RATE && rate <= FH_MOST_RATE)) {
    log_rate(map, (const LV2_Log_Log*)feature(features, LV2_LOG__log), descriptor->URI, rate);
    return NULL;
  }

  const FhVariant* variant = fh_variants;
  while (strcmp(variant->uri, descriptor->URI) != 0) {
    ++variant; // The descriptors below are made from the same table
  }

  const size_t    size = round_up(sizeof(FhPlugin)) + round_up(fh_engine_size(rate, variant->closes));
  FhPlugin* const self = (FhPlugin*)aligned_alloc(FH_ALIGN, size);
  if (!self) {
    return NULL;
  }
  memset(self, 0, sizeof(*self));
  self->variant = variant;
  self->settle = (uint32_t)(FH_SETTLE_SECONDS * rate);
  self->engine = fh_engine_init((char*)self + round_up(sizeof(FhPlugin)), rate, variant->closes);

  for (uint32_t i = 0; i < FH_CONTROL_COUNT; ++i) {
    connect_port(self, fh_first_control(variant) + i, NULL);
  }

  FhLearnt learnt;
  fh_engine_get_learnt(self->engine, &learnt);
  fh_state_init(&self->state, map, &learnt);
  return self;
}

static void
activate(const LV2_Handle instance)
{
  FhPlugin* const self = (FhPlugin*)instance;
  fh_engine_reset(self->engine);
  self->is_running = false;
  self->settling = 0u;
  self->learn = self->clear = (FhButton){0.0f, false};
}

/// Pass a button on, unless it changes at a time when only the host can have pressed it
static float
press(FhButton* const button, const float now, const bool is_host)
{
  if (is_host && now != button->seen) {
    button->is_ignored = true;
  }
  if (!(now > 0.0f)) {
    button->is_ignored = false;
  }
  button->seen = now;
  return button->is_ignored ? 0.0f : now;
}

/// Read the control ports into the engine where they have changed. An unconnected port counts as its default.
static void
set_controls(FhPlugin* const self, const bool is_restored, const uint32_t frames)
{
  uint32_t changed = 0;
#pragma GCC unroll 7
  for (unsigned i = 0; i < FH_INPUT_COUNT; ++i) {
    uint32_t now;
    memcpy(&now, self->inputs[i], sizeof(now));
    changed |= now ^ self->given[i];
    self->given[i] = now;
  }

  // A saved session or user preset may hold `learn` or `clear` as it was when saved. Hosts restore the state and set
  // the ports of one preset at about the same time, in either order.
  if (is_restored && self->is_running) {
    self->settling = self->settle;
  }
  const bool is_host = !self->is_running || self->settling > 0u;
  self->settling -= frames < self->settling ? frames : self->settling;
  if (!changed && !is_host && !is_restored) {
    return;
  }
  float controls[FH_CONTROL_COUNT];
  for (unsigned i = 0; i < FH_INPUT_COUNT; ++i) {
    memcpy(&controls[fh_inputs[i]], &self->given[i], sizeof(float));
  }
  controls[FH_LEARN] = press(&self->learn, controls[FH_LEARN], is_host);
  controls[FH_CLEAR] = press(&self->clear, controls[FH_CLEAR], is_host);
  fh_engine_set(self->engine, controls);
}

/// Make meters and a snapshot for save() where there is something new
static void
take_news(FhPlugin* const self, const bool is_restored)
{
  const uint32_t news = fh_engine_news(self->engine);
  if (news != self->news || is_restored) {
    float controls[FH_CONTROL_COUNT] = {0.0f};
    self->news = news;
    fh_engine_meters(self->engine, controls);
    for (unsigned i = 0; i < FH_OUTPUT_COUNT; ++i) {
      self->meters[i] = controls[fh_outputs[i]];
    }
  }
  const uint32_t learnt_news = fh_engine_learnt_news(self->engine);
  if (learnt_news != self->learnt_news || is_restored) {
    self->learnt_news = learnt_news;
    fh_state_publish(&self->state, self->engine);
  }
}

static void
write_meters(const FhPlugin* const self)
{
#pragma GCC unroll 7
  for (unsigned i = 0; i < FH_OUTPUT_COUNT; ++i) {
    *self->outputs[i] = self->meters[i];
  }
}

static void
run(const LV2_Handle instance, const uint32_t frames)
{
  FhPlugin* const     self = (FhPlugin*)instance;
  const uint32_t      closes = self->variant->closes;
  float* const* const ins = self->audio;
  float* const* const outs = ins + closes + 1u;
  float* const        thru = self->variant->outs > closes ? outs[closes] : NULL;
  const FhFpState     fp = fh_fp_enter();

  const bool is_restored = fh_state_apply(&self->state, self->engine);
  set_controls(self, is_restored, frames);
  fh_engine_run(self->engine, (const float* const*)ins, ins[closes], outs, thru, frames);
  fh_state_advance(&self->state, self->engine);
  take_news(self, is_restored);
  write_meters(self);

  self->is_running = true;
  fh_fp_leave(fp);
}

static void
cleanup(const LV2_Handle instance)
{
  free(instance);
}

static LV2_State_Status
save(const LV2_Handle                instance,
     const LV2_State_Store_Function  store,
     const LV2_State_Handle          handle,
     const uint32_t                  flags,
     const LV2_Feature* const* const features)
{
  (void)flags;
  (void)features;
  return fh_state_save(&((FhPlugin*)instance)->state, store, handle);
}

static LV2_State_Status
restore(const LV2_Handle                  instance,
        const LV2_State_Retrieve_Function retrieve,
        const LV2_State_Handle            handle,
        const uint32_t                    flags,
        const LV2_Feature* const* const   features)
{
  (void)flags;
  (void)features;
  return fh_state_restore(&((FhPlugin*)instance)->state, retrieve, handle);
}

static const void*
extension_data(const char* const uri)
{
  static const LV2_State_Interface state = {save, restore};
  return strcmp(uri, LV2_STATE__interface) == 0 ? &state : NULL;
}

#define FH_DESCRIPTOR(uri) {uri, instantiate, connect_port, activate, run, NULL, cleanup, extension_data}

static const LV2_Descriptor descriptors[FH_VARIANT_COUNT] = {
  FH_DESCRIPTOR(FH_URI_SOLO),
  FH_DESCRIPTOR(FH_URI_PAIR),
  FH_DESCRIPTOR(FH_URI_TRACK),
};

LV2_SYMBOL_EXPORT const LV2_Descriptor*
lv2_descriptor(const uint32_t index)
{
  return index < FH_VARIANT_COUNT ? &descriptors[index] : NULL;
}
