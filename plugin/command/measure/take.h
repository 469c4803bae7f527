// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file take.h
/// A recorded take: the microphones of one channel.

#ifndef FRONTHASH_COMMAND_TAKE_H
#define FRONTHASH_COMMAND_TAKE_H

#include "command/base/audio.h"
#include "ports.h"

#include <stdbool.h>

/// Microphones of one channel: one or two close ones, then the ambient
typedef struct {
  FhAudio          sound;
  const FhVariant* variant; ///< Solo for two channels, pair for three
} FhTake;

/// Read a take from one file, or with `ambient` (may be NULL) from two. Pair: fh_take_free.
/// @return false, having complained.
bool fh_take_read(FhTake* take, const char* path, const char* ambient);

void fh_take_free(FhTake* take);

/// Seconds in a take
double fh_take_seconds(const FhTake* take);

#endif
