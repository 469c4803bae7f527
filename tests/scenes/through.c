// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "through.h"

#include <stdlib.h>
#include <string.h>

bool
fh_rig_make(FhRig* const rig, const double rate, const uint32_t closes)
{
  const size_t size   = (fh_engine_size(rate, closes) + 63) / 64 * 64;
  void* const  memory = aligned_alloc(64, size);
  rig->engine         = memory ? fh_engine_init(memory, rate, closes) : NULL;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    rig->controls[i] = fh_controls[i].def;
  }
  rig->meters = false;
  return memory != NULL;
}

void
fh_rig_free(FhRig* const rig)
{
  free(rig->engine);
  rig->engine = NULL;
}

bool
fh_through_run(FhThrough* const through, FhRig* const rig, const FhScene* const scene)
{
  memset(through, 0, sizeof(*through));
  through->step   = (size_t)(scene->rate / FH_GATE_RATE);
  through->frames = scene->frames;
  through->gate   = (float*)calloc(scene->frames / through->step + 2, sizeof(float));
  through->excess  = rig->meters ? (float*)calloc(scene->frames / through->step + 2, sizeof(float)) : NULL;
  through->open_at = rig->meters ? (float*)calloc(scene->frames / through->step + 2, sizeof(float)) : NULL;
  bool ok          = through->gate != NULL;
  for (uint32_t c = 0; c < scene->closes; ++c) {
    ok = (through->out[c] = (float*)calloc(scene->frames, sizeof(float))) && ok;
  }
  float* const block[FH_MAX_MICS] = {(float*)calloc(through->step, sizeof(float)), (float*)calloc(through->step, sizeof(float)),
                                     (float*)calloc(through->step, sizeof(float))};
  for (size_t n = 0; ok && n < scene->frames; n += through->step) {
    const size_t count = scene->frames - n < through->step ? scene->frames - n : through->step;
    const double at    = (double)n / scene->rate;
    for (uint32_t m = 0; m < scene->mics; ++m) {
      for (size_t i = 0; i < count; ++i) {
        block[m][i] = scene->solo[m][n + i] + scene->pickup[m][n + i];
      }
    }
    const float* const close[] = {block[0], block[1]};
    float* const       out[]   = {through->out[0] + n, through->out[1] ? through->out[1] + n : NULL};
    rig->controls[FH_LEARN]    = n > 0 && at < scene->learn.to ? FH_LEARN_AMBIENT : FH_LEARN_OFF; // a rising edge
    fh_engine_set(rig->engine, rig->controls);
    fh_engine_run(rig->engine, close, block[scene->closes], out, NULL, (uint32_t)count);
    through->gate[n / through->step] = fh_engine_gate(rig->engine);
    if (through->excess && through->open_at) {
      fh_engine_meters(rig->engine, rig->controls);
      through->excess[n / through->step]  = rig->controls[FH_EXCESS];
      through->open_at[n / through->step] = rig->controls[FH_OPEN_AT];
    }
  }
  for (int m = 0; m < FH_MAX_MICS; ++m) {
    free(block[m]);
  }
  return ok;
}

void
fh_through_free(FhThrough* const through)
{
  free(through->gate);
  free(through->excess);
  free(through->open_at);
  free(through->out[0]);
  free(through->out[1]);
  memset(through, 0, sizeof(*through));
}
