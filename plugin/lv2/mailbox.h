// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file mailbox.h
/// Hands the latest learnt data from one thread to another, without waiting on either side.
///
/// The one pattern of this folder for talking between threads. A box has three slots: the sender owns one, the
/// receiver owns one, and one lies in the middle. To post, the sender fills its own slot and swaps it with the middle one,
/// marked fresh; to fetch, the receiver swaps its own slot with the middle one if that is fresh. The swap is one atomic
/// exchange, so no slot ever has two owners and neither side can see half a copy. An older letter that was never
/// fetched is overwritten: only the latest counts.
/// Threads: one sender and one receiver, which may be different threads; nothing here waits or allocates.

#ifndef FRONTHASH_LV2_MAILBOX_H
#define FRONTHASH_LV2_MAILBOX_H

#include "dsp/engine.h"

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#define FH_FRESH 4u ///< Set beside the index of the middle slot while nobody has fetched it

typedef struct {
  FhLearnt learnt;
  uint32_t restores; ///< How many restores the sender knew of, see state.h
  bool     absent;   ///< A restore that carried nothing learnt: keep what there is
} FhLetter;

typedef struct {
  FhLetter    slots[3];
  unsigned    sender;   ///< Slot owned by the sender
  unsigned    receiver; ///< Slot owned by the receiver
  atomic_uint middle;   ///< Slot owned by nobody, perhaps with FH_FRESH
} FhMailbox;

/// Start with nothing to fetch. Thread: instantiation.
static inline void
fh_mailbox_init(FhMailbox* const box)
{
  box->sender = 0u;
  box->receiver = 1u;
  atomic_init(&box->middle, 2u);
}

/// The letter to fill before it is posted; holds any old letter. Thread: the sender's.
static inline FhLetter*
fh_mailbox_draft(FhMailbox* const box)
{
  return &box->slots[box->sender];
}

/// Send the draft. Thread: the sender's.
static inline void
fh_mailbox_post(FhMailbox* const box)
{
  box->sender = atomic_exchange_explicit(&box->middle, box->sender | FH_FRESH, memory_order_acq_rel) & ~FH_FRESH;
}

/// Take the latest letter into the receiver's slot; false if nothing new came. Thread: the receiver's.
static inline bool
fh_mailbox_fetch(FhMailbox* const box)
{
  if (!(atomic_load_explicit(&box->middle, memory_order_relaxed) & FH_FRESH)) {
    return false;
  }
  box->receiver = atomic_exchange_explicit(&box->middle, box->receiver, memory_order_acq_rel) & ~FH_FRESH;
  return true;
}

/// The letter fetched last. Thread: the receiver's.
static inline const FhLetter*
fh_mailbox_letter(const FhMailbox* const box)
{
  return &box->slots[box->receiver];
}

#endif
