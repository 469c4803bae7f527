// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check_print.h
/// The report of a soundcheck: as text, for scripts, as a picture.

#ifndef FRONTHASH_COMMAND_CHECK_PRINT_H
#define FRONTHASH_COMMAND_CHECK_PRINT_H

#include "command/base/json.h"
#include "command/check/check.h"

#include <stdio.h>

/// What to do first, then the figures, then the table of notes or players
void fh_check_print(FILE* file, const FhSoundcheck* take, const FhReport* report);

/// The same into an open object
void fh_check_put_report(FhJson* json, const FhSoundcheck* take, const FhReport* report);

void fh_check_put_findings(FhJson* json, const char* key, const FhFindings* findings);

/// Draw level per note or player as a PNG into `path`. @return 0 or an errno value.
int fh_check_picture(const char* path, const char* title, const FhSoundcheck* take, const FhReport* report);

#endif
