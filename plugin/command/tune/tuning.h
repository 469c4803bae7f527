// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tuning.h
/// What choosing control values for one soloist goes by: the plugin, learning from a rehearsal take and run on it with settings, and what
/// they gain.

#ifndef FRONTHASH_COMMAND_TUNING_H
#define FRONTHASH_COMMAND_TUNING_H

#include "command/base/progress.h"
#include "command/measure/stretches.h"
#include "command/run/host.h"
#include "command/run/run.h"

#include <stdbool.h>
#include <stddef.h>

/// One value and the figure behind it
typedef struct {
  FhControl control;
  float     value;
  char      why[200];
} FhChoice;

/// What the plugin makes of a divided take with certain settings
typedef struct {
  double soft;         ///< Excess over opening, passed by nine tenths of the soloist's sounding time, dB
  double softest;      ///< Likewise, 98 %
  double false_open;   ///< Time open while the band plays alone, %
  double missed;       ///< Sounding time of the soloist with the gate not open, %
  double half[2];      ///< Cost, missed plus twice false, %, of the first and the second half of soloist and band
  double band_soft[FH_BANDS]; ///< Excess per band, passed by three quarters of the sounding time, dB
} FhEvidence;

#define FH_TRIED 32 ///< More than a tuning tries with one thing learnt

typedef struct {
  float      settings[FH_CONTROL_COUNT];
  FhEvidence evidence;
} FhTried;

typedef struct {
  FhHost*           host;
  const FhTake*     take;
  const FhLevels*   levels;
  const FhDivision* division;
  FhTake            field;   ///< The band alone, joined
  FhTake            soloist; ///< The soloist, joined
  float             start[FH_CONTROL_COUNT];    ///< Settings tuning began from
  float             settings[FH_CONTROL_COUNT]; ///< Chosen so far
  LilvState*        learnt;                     ///< What the host learnt last
  float             learnt_with[FH_CONTROL_COUNT]; ///< Settings it learnt with
  FhTried           tried[FH_TRIED]; ///< With what was learnt last, brought back
  size_t            tried_count;
  FhEvidence        before;  ///< With the settings tuning began from, learnt
  FhEvidence        after;   ///< With those chosen
  double            gain;    ///< Of cost against `before`, %, and half of what the two halves of the take differ in that
  double            spread;
  double            separation; ///< Of the level differences, median, of soloist and band, dB
  FhProgress        progress;
  int               runs;       ///< Done so far
  size_t            count;
  FhChoice          choice[12]; ///< In the order they were made
} FhTuning;

#define FH_TUNE_SETTLE 0.5 ///< s of a joined take run before learning

/// Value passed by the given part of the values; reorders them. NAN if there are none.
double fh_passed_by(double* values, size_t count, double part);

/// Note a choice; the control takes the value, within its range and rounded to what a person would set.
void fh_tuning_choose(FhTuning* tuning, FhControl control, double value, double round_to, const char* why, ...)
  __attribute__((format(printf, 5, 6)));

/// Learn and run with settings. @param kept Receives the run if not NULL. @return false, having complained.
bool fh_tuning_try(FhTuning* tuning, const float settings[FH_CONTROL_COUNT], FhEvidence* evidence, FhRun* kept);

#define FH_TUNE_LEAST 0.05 ///< Gain that is worth one more value, %

/// What settings gain over those that tuning began from, and half of what the halves of the take differ in that, %
void fh_tuning_compare(const FhTuning* tuning, const FhEvidence* evidence, double* gain, double* spread);

/// How bad settings are on this take, %; an opening by the field weighs twice a missed sound
double fh_tuning_cost(const FhEvidence* evidence);

/// Set the host's inputs and let it learn field and soloist, or bring back what it learnt with the like of them: while
/// it runs, tracking moves that. @return false, having complained.
bool fh_tuning_learn(FhTuning* tuning, const float settings[FH_CONTROL_COUNT]);

/// Is any value another than the one it began from?
bool fh_tuning_changes(const FhTuning* tuning);

/// Figures of a run over the same take with whatever settings
void fh_tuning_gather(const FhTuning* tuning, const FhRun* run, FhEvidence* evidence);

void fh_tuning_free(FhTuning* tuning);

#endif
