// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tuning.h
/// Chooses control values for one soloist from a rehearsal take, by running the plugin on it.

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

/// Choose all values, starting from those in `host`, and leave the host with them and with what was learnt.
/// Pair: fh_tuning_free. @return false, having complained.
bool fh_tune(FhTuning* tuning, FhHost* host, const FhTake* take, const FhLevels* levels, const FhDivision* division);

/// Is any value another than the one it began from?
bool fh_tuning_changes(const FhTuning* tuning);

/// Figures of a run over the same take with whatever settings
void fh_tuning_gather(const FhTuning* tuning, const FhRun* run, FhEvidence* evidence);

void fh_tuning_free(FhTuning* tuning);

#endif
