// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "lv2/state.h"

#include <lv2/atom/atom.h>

#include <math.h>
#include <stddef.h>
#include <string.h>

#define FH_LEARNT_FLOATS (sizeof(FhLearnt) / sizeof(float))

_Static_assert(sizeof(FhLearnt) % sizeof(float) == 0, "FhLearnt is all floats");

/// The value of FH_KEY_LEARNT, an atom:Vector without its header
typedef struct {
  LV2_Atom_Vector_Body head;
  float                values[FH_LEARNT_FLOATS];
} FhLearntValue;

/// What each version has saved, newest first
static const struct {
  const char* key;
  size_t      floats;
} layouts[FH_LEARNT_KEYS] = {
  {FH_KEY_LEARNT, FH_LEARNT_FLOATS}, {FH_KEY_LEARNT_3, FH_LEARNT_3}, {FH_KEY_LEARNT_2, FH_LEARNT_2}, {FH_KEY_LEARNT_1, FH_LEARNT_1}};

void
fh_state_init(FhStateBox* const box, LV2_URID_Map* const map, const FhLearnt* const learnt)
{
  box->map = map;
  if (map) {
    for (int i = 0; i < FH_LEARNT_KEYS; ++i) {
      box->learnt_key[i] = map->map(map->handle, layouts[i].key);
    }
    box->vector_type = map->map(map->handle, LV2_ATOM__Vector);
    box->float_type = map->map(map->handle, LV2_ATOM__Float);
  }

  fh_mailbox_init(&box->to_run);
  fh_mailbox_init(&box->to_save);
  *fh_mailbox_draft(&box->to_save) = (FhLetter){*learnt, 0u, false};
  fh_mailbox_post(&box->to_save);
}

LV2_State_Status
fh_state_save(FhStateBox* const box, const LV2_State_Store_Function store, const LV2_State_Handle handle)
{
  if (!box->map) {
    return LV2_STATE_ERR_NO_FEATURE;
  }

  fh_mailbox_fetch(&box->to_save);
  const FhLetter* const snapshot = fh_mailbox_letter(&box->to_save);
  const bool            is_stale = snapshot->restores != box->restored.restores && !box->restored.absent;
  const FhLearnt* const learnt = is_stale ? &box->restored.learnt : &snapshot->learnt;
  if (!(learnt->known > 0.0f || learnt->seen_s > 0.0f)) {
    return LV2_STATE_SUCCESS;
  }

  FhLearntValue value = {{sizeof(float), box->float_type}, {0.0f}};
  memcpy(value.values, learnt, sizeof(*learnt));
  if (!is_stale) {
    const float phase = atomic_load_explicit(&box->phase, memory_order_relaxed);
    memcpy(value.values + offsetof(FhLearnt, phase) / sizeof(float), &phase, sizeof(phase));
  }
  for (size_t i = 0; i < FH_LEARNT_FLOATS; ++i) { // what is saved can be restored
    value.values[i] = fminf(fmaxf(value.values[i], -FH_LEARNT_MOST), FH_LEARNT_MOST);
  }
  return store(
    handle, box->learnt_key[0], &value, sizeof(value), box->vector_type, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE);
}

/// Take a value a host gave us if it is the right vector and makes sense
static bool
read_learnt(const FhStateBox* const box,
            const void* const       found,
            const size_t            size,
            const LV2_URID          type,
            const size_t            floats,
            FhLearnt* const         learnt)
{
  FhLearntValue value;
  if (type != box->vector_type || size != offsetof(FhLearntValue, values) + floats * sizeof(float)) {
    return false;
  }
  memset(&value, 0, sizeof(value));
  memcpy(&value, found, size);
  if (value.head.child_size != sizeof(float) || value.head.child_type != box->float_type) {
    return false;
  }
  memcpy(learnt, value.values, sizeof(*learnt));
  fh_learnt_from_older(learnt, floats);
  return fh_learnt_is_sane(learnt);
}

LV2_State_Status
fh_state_restore(FhStateBox* const box, const LV2_State_Retrieve_Function retrieve, const LV2_State_Handle handle)
{
  if (!box->map) {
    return LV2_STATE_ERR_NO_FEATURE;
  }

  size_t            size = 0;
  LV2_URID          type = 0;
  uint32_t          flags = 0;
  const void*       found = NULL;
  int               which = 0;
  while (!found && which < FH_LEARNT_KEYS) {
    found = retrieve(handle, box->learnt_key[which++], &size, &type, &flags);
  }

  // An absent key after a present one that run() has not seen yet must not lose the present one
  FhLetter letter = box->restored;
  if (!found) {
    fh_mailbox_fetch(&box->to_save);
    letter.absent = letter.absent || fh_mailbox_letter(&box->to_save)->restores == letter.restores;
  } else {
    if (!read_learnt(box, found, size, type, layouts[which - 1].floats, &letter.learnt)) {
      return LV2_STATE_ERR_BAD_TYPE;
    }
    letter.absent = false;
  }
  ++letter.restores;
  box->restored = letter;
  *fh_mailbox_draft(&box->to_run) = letter;
  fh_mailbox_post(&box->to_run);
  return LV2_STATE_SUCCESS;
}

bool
fh_state_apply(FhStateBox* const box, FhEngine* const engine)
{
  if (!fh_mailbox_fetch(&box->to_run)) {
    return false;
  }
  const FhLetter* const letter = fh_mailbox_letter(&box->to_run);
  if (!letter->absent) {
    fh_engine_set_learnt(engine, &letter->learnt);
  }
  box->applied = letter->restores;
  return true;
}

void
fh_state_advance(FhStateBox* const box, const FhEngine* const engine)
{
  atomic_store_explicit(&box->phase, fh_engine_phase(engine), memory_order_relaxed);
}

void
fh_state_publish(FhStateBox* const box, const FhEngine* const engine)
{
  FhLetter* const letter = fh_mailbox_draft(&box->to_save);
  letter->restores       = box->applied;
  letter->absent         = false;
  fh_engine_get_learnt(engine, &letter->learnt);
  fh_mailbox_post(&box->to_save);
}
