// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tuning_choices.h
/// Chooses control values for one soloist from a rehearsal take: what each is chosen by, and which of them are kept.

#ifndef FRONTHASH_COMMAND_TUNING_CHOICES_H
#define FRONTHASH_COMMAND_TUNING_CHOICES_H

#include "command/tune/tuning.h"

/// Choose all values, starting from those in `host`, and leave the host with them and with what was learnt.
/// Pair: fh_tuning_free. @return false, having complained.
bool fh_tune(FhTuning* tuning, FhHost* host, const FhTake* take, const FhLevels* levels, const FhDivision* division);

#endif
