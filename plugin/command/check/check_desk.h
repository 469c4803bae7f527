// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check_desk.h
/// Checks of all stands of a show, and what has moved since an earlier soundcheck.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_CHECK_DESK_H
#define FRONTHASH_COMMAND_CHECK_DESK_H

#include "command/check/check.h"
#include "command/measure/excerpt.h"
#include "command/show/desk.h"

#include <stdbool.h>
#include <stddef.h>

/// One microphone channel, checked
typedef struct {
  const char*    name;    ///< Of the stand; NULL without a show
  FhCheckOptions options; ///< What it was checked for
  FhSoundcheck   take;    ///< Without its sound, which is gone
  double         heard;   ///< s listened to
  FhReport       report;
  FhFindings     moved;   ///< Since the earlier soundcheck
} FhChecked;

/// Check a take of some channels of a recording. @return false, having complained: too short, no memory.
bool fh_check_mics(FhChecked* checked, FhRecording* recording, const FhSurvey* survey, const FhChannels* mics);

/// The range of a family, or with NULL of any instrument but the lowest
void fh_check_family(FhCheckOptions* options, const FhFamily* family);

/// Check all stands of a show and print one table, or JSON.
/// @param against Recording of an earlier soundcheck of the same channels, or NULL. @return The exit code.
int fh_check_show(const FhDeskWish* wish, const char* against, double celsius, bool as_json);

/// What has moved from `then` to `now`, into the findings `moved` of each.
/// @param all Receives what has moved for all of them alike
void fh_check_moved(FhChecked* now, const FhChecked* then, size_t count, FhFindings* all);

#endif
