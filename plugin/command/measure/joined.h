// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file joined.h
/// Pieces of a take put together to one. Thread: any.

#ifndef FRONTHASH_COMMAND_JOINED_H
#define FRONTHASH_COMMAND_JOINED_H

#include "command/measure/stretches.h"

/// Join stretches of a take, the longest first up to `longest` s, in their order, faded into one another. Pair:
/// fh_take_free. @return false, having complained.
bool fh_take_join(FhTake* joined, const FhTake* take, const FhStretches* stretches, double longest);

#endif
