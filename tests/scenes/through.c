// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "through.h"

#include "pa.h"

#include <stdlib.h>
#include <string.h>

#define LONGEST_STEP 64
#define FAULT_STEPS 30 ///< The fault is looked at every 10 ms: none is shown for less than 100 ms

bool
fh_rig_make(FhRig* const rig, const double rate, const uint32_t closes)
{
  const size_t size   = (fh_engine_size(rate, closes) + 63) / 64 * 64;
  void* const  memory = aligned_alloc(64, size);
  rig->engine         = memory ? fh_engine_init(memory, rate, closes) : NULL;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    rig->controls[i] = fh_controls[i].def;
  }
  rig->meters = rig->unlearnt = false;
  return memory != NULL;
}

void
fh_rig_free(FhRig* const rig)
{
  free(rig->engine);
  rig->engine = NULL;
}

static bool
allocate(FhThrough* const through, const FhScene* const scene, const bool meters)
{
  memset(through, 0, sizeof(*through));
  through->step    = (size_t)(scene->rate / FH_GATE_RATE);
  through->frames  = scene->frames;
  const size_t all = scene->frames / through->step + 2;
  bool         ok  = (through->gate = (float*)calloc(all, sizeof(float))) != NULL;
  if (meters) {
    ok = (through->excess = (float*)calloc(all, sizeof(float))) && ok;
    ok = (through->open_at = (float*)calloc(all, sizeof(float))) && ok;
  }
  for (uint32_t c = 0; c < scene->closes; ++c) {
    ok = (through->out[c] = (float*)calloc(scene->frames, sizeof(float))) && ok;
  }
  return ok;
}

/// What the microphones hear in a block, with what comes back from the loudspeakers
static void
take_block(const FhScene* const scene, const FhPa* const pa, const size_t from, const size_t count, float* const to[FH_MAX_MICS])
{
  for (uint32_t m = 0; m < scene->mics; ++m) {
    for (size_t i = 0; i < count; ++i) {
      to[m][i] = scene->solo[m][from + i] + scene->pickup[m][from + i];
    }
    if (pa) {
      fh_pa_add(pa, m, to[m], count);
    }
  }
}

/// Keep what came out of a block, and the gate, where the input was that it belongs to
static void
keep(FhThrough* const through, float* const out[], const float gate, const size_t n, const size_t count)
{
  const size_t late  = through->late;
  const size_t first = late > n ? late - n : 0;
  if (first >= count) {
    return;
  }
  for (uint32_t c = 0; c < FH_MAX_CLOSES && through->out[c]; ++c) {
    memcpy(through->out[c] + n + first - late, out[c] + first, (count - first) * sizeof(float));
  }
  through->gate[(n + first - late) / through->step] = gate;
  through->gate[(n + count - 1 - late) / through->step] = gate;
}

static void
run_block(FhThrough* const through, FhRig* const rig, const FhScene* const scene, FhPa* const pa, const size_t n)
{
  float        room[FH_MAX_MICS][LONGEST_STEP];
  float* const mics[]  = {room[0], room[1], room[2]};
  const size_t count   = scene->frames - n < through->step ? scene->frames - n : through->step;
  const size_t step    = n / through->step;
  const bool   learn   = !rig->unlearnt && n > 0 && (double)n < scene->learn.to * scene->rate; // a rising edge
  float        sound[FH_MAX_CLOSES][LONGEST_STEP];
  float* const out[]   = {sound[0], sound[1]};
  const float* const close[]  = {room[0], room[1]};
  const float* const played[] = {out[0], out[1]};
  take_block(scene, pa, n, count, mics);
  rig->controls[FH_LEARN] = learn ? FH_LEARN_AMBIENT : FH_LEARN_OFF;
  fh_engine_set(rig->engine, rig->controls);
  fh_engine_run(rig->engine, close, room[scene->closes], out, NULL, (uint32_t)count);
  keep(through, out, fh_engine_gate(rig->engine), n, count);
  if (step % FAULT_STEPS == 0 || through->excess) {
    fh_engine_meters(rig->engine, rig->controls);
  }
  if (step % FAULT_STEPS == 0 && (double)n > 0.5 * scene->rate && rig->controls[FH_FAULT] > 0.0f) {
    through->fault_s += (double)FAULT_STEPS / FH_GATE_RATE;
  }
  if (through->excess && through->open_at) {
    through->excess[step]  = rig->controls[FH_EXCESS];
    through->open_at[step] = rig->controls[FH_OPEN_AT];
  }
  if (pa) {
    fh_pa_play(pa, played, scene->closes, count);
  }
}

bool
fh_through_run(FhThrough* const through, FhRig* const rig, const FhScene* const scene)
{
  const bool loop = scene->request.condition == FH_PA;
  FhPa       pa   = {0};
  bool       ok   = allocate(through, scene, rig->meters) && through->step <= LONGEST_STEP;
  ok              = ok && (!loop || (fh_pa_make(&pa, scene) && fh_pa_longest_block(&pa) >= through->step));
  fh_engine_set(rig->engine, rig->controls);
  fh_engine_meters(rig->engine, rig->controls); // which brings the latency
  through->late = (size_t)rig->controls[FH_LATENCY];
  for (size_t n = 0; ok && n < scene->frames; n += through->step) {
    run_block(through, rig, scene, loop ? &pa : NULL, n);
  }
  fh_pa_free(&pa);
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
