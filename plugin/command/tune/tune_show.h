// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tune_show.h
/// The tuning of all stands of a show.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_TUNE_SHOW_H
#define FRONTHASH_COMMAND_TUNE_SHOW_H

#include "command/tune/tune_session.h"

/// Tune all stands of a show, print one table or JSON, and name the presets in the show file. A stand that cannot be tuned is
/// complained of, and the others go on. @return false, having complained.
bool fh_tune_show(const FhTuneOptions* options);

#endif
