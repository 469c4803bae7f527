// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file jobs.h
/// Score many scenes in a few processes.

#ifndef FRONTHASH_SCENES_JOBS_H
#define FRONTHASH_SCENES_JOBS_H

#include "score.h"

#define FH_MAX_SETTINGS 32

typedef struct {
  FhSceneRequest request;
  bool           defaults; ///< Leave out the settings of the plan
  FhScore        score;
  bool           done;
} FhResult;

/// What all jobs share
typedef struct {
  int   processes;
  int   minutes;     ///< Without a soloist, in the conditions that have none; 0: ten
  bool  references; ///< Score the outside references too
  bool  unlearnt;   ///< Do not press learn
  const char* trace_dir; ///< Write what happened when, one text file a scene; NULL: nothing
  int   setting_count;
  int   setting[FH_MAX_SETTINGS]; ///< FhControl
  float value[FH_MAX_SETTINGS];
} FhJobPlan;

/// Room for results that child processes fill; exits the program when memory is out. Lives until the program ends.
FhResult* fh_results_make(size_t count);

/// Score all requests. Requests that share rendered stems should follow each other. @return how many failed
size_t fh_jobs_run(FhResult* results, size_t count, const FhJobPlan* plan);

#endif
