// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file excerpt.h
/// What to listen to in a recording that is longer than a soundcheck: where a microphone stands out most over the ambient one, and
/// where the band plays most without it. In a recording of several soloists, nothing of what is another's alone.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_EXCERPT_H
#define FRONTHASH_COMMAND_EXCERPT_H

#include "command/base/options.h"
#include "command/measure/take.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_LISTEN 240.0 ///< s: of what is longer, no more than this is listened to

/// Power of each channel over the whole recording, in cells that grow with its length; zero it before first use
typedef struct {
  double   seconds;  ///< Of a cell
  size_t   count;    ///< Cells; 0: the recording is short enough to be heard whole
  uint32_t channels;
  float*   power;    ///< 250 to 4000 Hz, mean square; cell by cell, all channels of each
  bool*    apart;    ///< Cells that fh_survey_leave leaves out
} FhSurvey;

/// Go through a recording once, if it is longer than FH_LISTEN or has several soloists. Pair: fh_survey_free.
/// @return false, having complained.
bool fh_survey_make(FhSurvey* survey, FhRecording* recording, bool several);

void fh_survey_free(FhSurvey* survey);

/// Leave out what belongs to other soloists: where one of them plays and this one does not
/// @param all Microphones of each soloist, close ones first
void fh_survey_leave(FhSurvey* survey, const FhChannels* all, size_t count, const FhChannels* own);

/// Choose what to listen to for some microphones.
/// @param asked Stretches that must be in it, in any order; NULL: none
void fh_survey_choose(const FhSurvey* survey, const FhRecording* recording, const FhChannels* mics, const FhStretches* asked,
                      FhStretches* parts);

/// Where a time of the recording is in a take of those parts; 0 where it is in none
double fh_parts_time(const FhStretches* parts, double seconds);

#endif
