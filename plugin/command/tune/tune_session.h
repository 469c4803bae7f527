// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tune_session.h
/// One soloist's tuning, from recording to preset and renders.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_TUNE_SESSION_H
#define FRONTHASH_COMMAND_TUNE_SESSION_H

#include "command/base/temp.h"
#include "command/measure/excerpt.h"
#include "command/run/run.h"
#include "command/show/desk.h"
#include "command/tune/tuning.h"

/// The command line of `fronthash tune`
typedef struct {
  FhDeskWish  desk;
  const char* ambient;
  const char* title;
  const char* output;
  const char* renders;
  const char* preset;
  const char* bundle;
  FhStretches band;
  FhStretches solo;
  bool        replace;
  bool        keep; ///< Write a preset also where no value gains
  bool        json;
} FhTuneOptions;

/// Files beside the preset
enum { FH_TUNE_BEFORE, FH_TUNE_AFTER, FH_TUNE_RUNS };
extern const char* const fh_tune_run_names[FH_TUNE_RUNS];

typedef struct {
  FhTemp sound[FH_TUNE_RUNS];
  FhTemp picture[FH_TUNE_RUNS];
} FhTuneOutputs;

/// All that one tuning holds; zero it before first use but for its options
typedef struct {
  FhTuneOptions options;
  char          label[256];
  char          folder[FH_PATH_MAX];
  FhTake        take;
  FhLevels      levels;
  FhDivision    division;
  FhTuning      tuning;
  FhStandsOut   standing;
  FhHost*       host;
  FhTuneOutputs outputs;
  FhFigures     figures[FH_TUNE_RUNS];
  FhEvidence    evidence[FH_TUNE_RUNS];
  bool          written; ///< Preset and renders; without a gain there are none, and of the figures only the last separation
} FhTuneSession;

/// Tune for some microphones of a recording and write preset and renders. Pair: fh_tune_session_free, also after a failure.
/// @return false, having complained.
bool fh_tune_session(FhTuneSession* session, FhRecording* recording, const FhSurvey* survey, const FhChannels* mics);

void fh_tune_session_free(FhTuneSession* session);

#endif
