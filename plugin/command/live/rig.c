// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/rig.h"

#include "command/base/complain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LEARN_SECONDS 15.5 ///< A Learn ends by itself before this
#define TELL_SECONDS 0.01  ///< Between two looks at the meters; screen, page and OSC look ten times a second
#define PRESS_SECONDS 0.3  ///< How long clear and the way back are held: over any block of the sound server

const char*
fh_rig_soloist_name(const FhRigStand* const stand, const size_t soloist)
{
  return soloist < stand->stand->soloist_count ? stand->stand->soloist[soloist].name : "";
}

float
fh_rig_value(const FhRigStand* const stand, const FhControl control)
{
  return fh_controls[control].flow == FH_INPUT ? atomic_load_explicit(&stand->wanted[control], memory_order_relaxed)
                                               : atomic_load_explicit(&stand->told[control], memory_order_relaxed);
}

static void
want(FhRigStand* const stand, const FhControl control, const float value)
{
  atomic_store_explicit(&stand->wanted[control], value, memory_order_relaxed);
  atomic_fetch_add_explicit(&stand->wishes, 1u, memory_order_release);
}

void
fh_rig_set(FhRigStand* const stand, const FhControl control, const float value, const double now)
{
  const FhPortInfo* const info = &fh_controls[control];
  if (info->flow != FH_INPUT || !isfinite(value)) {
    return;
  }
  const bool  whole   = info->kind == FH_KIND_TOGGLE || info->kind == FH_KIND_CHOICE;
  const float clamped = fminf(fmaxf(whole ? roundf(value) : value, info->min), info->max);
  want(stand, control, clamped);
  if (control == FH_LEARN || control == FH_CLEAR) {
    stand->pressed_at  = now;
    stand->learn_begun = false;
  } else if (fh_is_setting((int)control)) {
    stand->manners[stand->soloist].now[control] = clamped;
  }
  stand->news = true;
}

void
fh_rig_come(FhRigStand* const stand, const size_t soloist)
{
  if (soloist >= stand->soloist_count) {
    return;
  }
  stand->soloist = soloist;
  stand->news    = true;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    if (fh_is_setting(i)) {
      want(stand, (FhControl)i, stand->manners[soloist].now[i]);
    }
  }
}

void
fh_rig_tick(FhRig* const rig, const double now)
{
  for (size_t i = 0; i < rig->count; ++i) {
    FhRigStand* const stand = &rig->stand[i];
    const int         learn = (int)fh_rig_value(stand, FH_LEARN);
    const double      since = now - stand->pressed_at;
    const bool        whole = fh_rig_value(stand, FH_LEARNT) >= fh_controls[FH_LEARNT].max;
    stand->learn_begun      = stand->learn_begun || (learn && !whole);
    const bool done         = learn == FH_LEARN_BACK ? since > PRESS_SECONDS : since > LEARN_SECONDS || (stand->learn_begun && whole);
    if (learn && done) {
      want(stand, FH_LEARN, FH_LEARN_OFF);
      stand->news = true;
    }
    if (fh_rig_value(stand, FH_CLEAR) > 0.0f && since > PRESS_SECONDS) {
      want(stand, FH_CLEAR, 0.0f);
      stand->news = true;
    }
  }
}

void
fh_rig_run(FhRigStand* const stand, const float* const in[], float* const out[], const uint32_t frames)
{
  float* const   v      = stand->host->v;
  const uint32_t wishes = atomic_load_explicit(&stand->wishes, memory_order_acquire);
  if (wishes != stand->heard) {
    stand->heard = wishes;
    for (int n = 0; n < FH_INPUT_COUNT; ++n) {
      v[fh_inputs[n]] = atomic_load_explicit(&stand->wanted[fh_inputs[n]], memory_order_relaxed);
    }
  }
  fh_host_run(stand->host, in, out, frames);
  stand->untold += frames;
  if (stand->untold >= TELL_SECONDS * stand->host->rate) {
    stand->untold = 0;
    for (int n = 0; n < FH_OUTPUT_COUNT; ++n) {
      atomic_store_explicit(&stand->told[fh_outputs[n]], v[fh_outputs[n]], memory_order_relaxed);
    }
  }
}

/// Read the presets of all who come, the first last: where nothing was saved, what its preset knows of the field counts
static bool
read_presets(FhRigStand* const stand)
{
  FhHost* const host = stand->host;
  for (size_t i = stand->soloist_count; i-- > 0;) {
    for (int n = 0; n < FH_INPUT_COUNT; ++n) {
      host->v[fh_inputs[n]] = fh_controls[fh_inputs[n]].def;
    }
    if (i < stand->stand->soloist_count && !fh_host_come(host, "live", stand->stand, &stand->stand->soloist[i])) {
      return false;
    }
    memcpy(stand->manners[i].preset, host->v, sizeof(stand->manners[i].preset));
    memcpy(stand->manners[i].now, host->v, sizeof(stand->manners[i].now));
  }
  return true;
}

static bool
start_stand(FhRigStand* const to, const FhStand* const stand, const double rate, const char* const bundle)
{
  to->stand         = stand;
  to->soloist_count = stand->soloist_count ? stand->soloist_count : 1;
  to->host          = fh_host_new(bundle, &fh_variants[fh_stand_closes(stand) == 2 ? 1 : 0], rate);
  if (!to->host || !read_presets(to)) {
    return false;
  }
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    want(to, (FhControl)i, fh_controls[i].def);
    atomic_store_explicit(&to->told[i], fh_controls[i].def, memory_order_relaxed);
  }
  fh_rig_come(to, 0);
  return true;
}

FhRig*
fh_rig_new(const FhShow* const show, const char* const bundle)
{
  FhRig* const rig = (FhRig*)calloc(1, sizeof(FhRig));
  if (!rig || !(rig->stand = (FhRigStand*)calloc(show->stand_count, sizeof(FhRigStand)))) {
    free(rig);
    fh_complain("not enough memory; close other programs");
    return NULL;
  }
  rig->show  = show;
  rig->count = show->stand_count;
  for (size_t i = 0; i < rig->count; ++i) {
    if (!start_stand(&rig->stand[i], &show->stand[i], show->rate, bundle)) {
      fh_rig_free(rig);
      return NULL;
    }
  }
  return rig;
}

void
fh_rig_free(FhRig* const rig)
{
  if (rig) {
    for (size_t i = 0; i < rig->count; ++i) {
      fh_host_free(rig->stand[i].host);
    }
    free(rig->stand);
    free(rig);
  }
}
