// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tune_print.h
/// What came of one tuning, on standard output: as text, for scripts.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_TUNE_PRINT_H
#define FRONTHASH_COMMAND_TUNE_PRINT_H

#include "command/base/json.h"
#include "command/tune/tune_session.h"

void fh_tune_print(const FhTuneSession* session);
void fh_tune_print_json(const FhTuneSession* session);

/// Its choices and figures, into an open object
void fh_tune_put(FhJson* json, const FhTuneSession* session);

#endif
