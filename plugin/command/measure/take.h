// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file take.h
/// A recorded take: the microphones of one channel.

#ifndef FRONTHASH_COMMAND_TAKE_H
#define FRONTHASH_COMMAND_TAKE_H

#include "command/base/audio.h"
#include "command/base/options.h"
#include "ports.h"

#include <stdbool.h>

/// Channels of a recording, from 0
typedef struct {
  size_t   count;
  uint32_t at[FH_RECORDING_CHANNELS];
} FhChannels;

/// Read "3,9" or "1-8,12", numbered from 1. @return false, having complained: not that, beyond 64, one twice.
bool fh_channels_parse(FhChannels* channels, const char* option, const char* text);

/// Microphones of one channel: one or two close ones, then the ambient
typedef struct {
  FhAudio          sound;
  double           from;    ///< s into the recording at which it begins; 0 for one of several parts
  const FhVariant* variant; ///< Solo for two channels, pair for three
} FhTake;

/// Open the recording of one take, from one file, or with `ambient` (may be NULL) from two, and say which channels are its
/// microphones: close ones first, the ambient last.
/// @param chosen The value of --channels, or NULL: all of them, which then must be two or three.
/// @return false, having complained.
bool fh_take_open(FhRecording* recording, FhChannels* mics, const char* path, const char* ambient, const char* chosen);

#define FH_TAKE_JOIN 0.02 ///< s over which one part of a take fades into the next

/// Read stretches of a recording as one take, each faded into the next. Pair: fh_take_free. @return false, having complained.
/// @param parts NULL: all of it.
bool fh_take_load(FhTake* take, FhRecording* recording, const FhChannels* mics, const FhStretches* parts);

/// Read a take from one file, or with `ambient` (may be NULL) from two. Pair: fh_take_free.
/// @return false, having complained.
bool fh_take_read(FhTake* take, const char* path, const char* ambient);

void fh_take_free(FhTake* take);

/// Seconds in a take
double fh_take_seconds(const FhTake* take);

#endif
