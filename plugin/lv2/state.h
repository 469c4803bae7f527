// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file state.h
/// Saves and restores what was learnt, while run() goes on in another thread.
///
/// Two mailboxes: restore() posts to run(), and run() posts a snapshot to save() after a block with news of it. The host calls
/// save() and restore() one at a time, so each box has one sender and one receiver. A host may also save right
/// after restoring, before any run(): both sides count the restores, and save() prefers the restored letter
/// until a snapshot comes that knows of it.

#ifndef FRONTHASH_LV2_STATE_H
#define FRONTHASH_LV2_STATE_H

#include "dsp/engine.h"
#include "lv2/mailbox.h"

#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include <stdbool.h>
#include <stdint.h>

/// The key of FhLearnt as a vector of floats. The number at the end grows with any change of that layout.
#define FH_KEY_LEARNT "urn:fronthash:state:learnt4"
#define FH_KEY_LEARNT_3 "urn:fronthash:state:learnt3" ///< The first FH_LEARNT_3 floats of it: still read, as the next two
#define FH_KEY_LEARNT_2 "urn:fronthash:state:learnt2"
#define FH_KEY_LEARNT_1 "urn:fronthash:state:learnt1"
#define FH_LEARNT_KEYS 4

typedef struct {
  LV2_URID_Map* map; ///< NULL if the host has none: then nothing can be saved or restored
  LV2_URID      learnt_key[FH_LEARNT_KEYS]; ///< Newest first
  LV2_URID      vector_type, float_type;

  FhMailbox to_run;   ///< restore() to run()
  FhMailbox to_save;  ///< run() to save()
  FhLetter  restored; ///< Last restored. Owned by save() and restore()
  uint32_t  applied;  ///< Restores applied so far. Owned by run()

  _Atomic float phase; ///< Of the engine now: what else is saved may be some 20 ms older
} FhStateBox;

/// Prepare for one instance; `map` may be NULL, `learnt` is the engine's start. Thread: instantiation.
void fh_state_init(FhStateBox* box, LV2_URID_Map* map, const FhLearnt* learnt);

/// Write what was learnt or found to the host, or nothing if nothing was. Thread: any one, beside run().
/// @return An error if the host has no URID map, or what the host returned.
LV2_State_Status fh_state_save(FhStateBox* box, LV2_State_Store_Function store, LV2_State_Handle handle);

/// Read what was learnt and stage it for run(); an absent key keeps what there is. Thread: any one, beside run().
/// @return BAD_TYPE if the value is no vector of the right number of sane floats (then nothing changes);
/// NO_FEATURE if the host has no URID map.
LV2_State_Status fh_state_restore(FhStateBox* box, LV2_State_Retrieve_Function retrieve, LV2_State_Handle handle);

/// Give the engine what was restored since the last call; true if a restore happened. Thread: audio.
bool fh_state_apply(FhStateBox* box, FhEngine* engine);

/// Publish how far the engine is. Thread: audio.
void fh_state_advance(FhStateBox* box, const FhEngine* engine);

/// Publish what the engine has learnt. Thread: audio.
void fh_state_publish(FhStateBox* box, const FhEngine* engine);

#endif
