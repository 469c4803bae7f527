// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fault_words.h
/// What a fault is called, and what to do about it, wherever somebody is told of it: the one table. Pure functions, any thread.

#ifndef FRONTHASH_UI_FAULT_WORDS_H
#define FRONTHASH_UI_FAULT_WORDS_H

#include "ports.h"

#include <stdbool.h>

/// Where it is told; the inputs have other names there
typedef enum {
  FH_TOLD_IN_HOST,  ///< Solo and Pair: the channel and its side chain
  FH_TOLD_ON_TRACK, ///< Track: left and right
  FH_TOLD_IN_RIG,   ///< One ambient channel for all stands
  FH_TOLD_OF_TAKE,  ///< Channels of a recording
  FH_TOLD_COUNT
} FhTold;

/// Where the window of a plugin tells it. @param variant NULL is told as Solo
FhTold fh_told_by(const FhVariant* variant);

/// Its name, "?" for what is none
const char* fh_fault_word(int fault);

/// Its key in JSON. @param fault One there is
const char* fh_fault_key(int fault);

/// What becomes of the sound, and what to do. @param muted Then nothing passes, whatever is wrong
const char* fh_fault_advice(int fault, FhTold told, bool muted);

#endif
