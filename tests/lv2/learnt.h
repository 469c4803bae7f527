// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file learnt.h
/// Solo plugins that have learnt something, and what they store of it.

#ifndef FRONTHASH_TESTS_LEARNT_H
#define FRONTHASH_TESTS_LEARNT_H

#include "host.h"

#include <lv2/atom/atom.h>
#include <lv2/state/state.h>

#include <stddef.h>
#include <stdint.h>

#define FH_LEARN_SECONDS 15.5 ///< Learning ends by itself after 15 s

/// A value as the plugin stores it
typedef struct {
  LV2_Atom_Vector_Body head;
  float                values[1024];
  size_t               size; ///< Bytes of head and values; 0 if nothing was stored
  uint32_t             type;
} FhValue;

/// Group fixtures that open the bundle and make a take to play
int fh_learnt_open(void** state);
int fh_learnt_close(void** state);

/// Open a plugin that does not change what it learnt: tracking is off
void fh_open_steady(FhHost* host);

/// The same, and let it learn the field
void fh_open_learnt(FhHost* host);

/// Play the start of the take, in which the soloist rests
void fh_play(const FhHost* host, double seconds);

/// An LV2_State_Store_Function that keeps the value in the FhValue `handle`
LV2_State_Status fh_keep(LV2_State_Handle handle,
                         uint32_t         key,
                         const void*      value,
                         size_t           size,
                         uint32_t         type,
                         uint32_t         flags);

/// What a plugin would store
FhValue fh_value_of(const FhHost* host);

/// Assert that two plugins have learnt the same, bit by bit; levels that are always there apart
void fh_assert_same(const FhHost* a, const FhHost* b);

/// Save as a host does, and restore with the ports of the state
LilvState* fh_save(const FhHost* host);
void       fh_restore(FhHost* host, const LilvState* saved);

#endif
