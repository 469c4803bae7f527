// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file run.h
/// A recorded take, run through the plugin, and the figures that come of it.

#ifndef FRONTHASH_COMMAND_RUN_H
#define FRONTHASH_COMMAND_RUN_H

#include "command/base/options.h"
#include "command/measure/standing.h"
#include "command/measure/take.h"
#include "command/run/host.h"
#include "ui/verdict.h"
#include "ui/view.h"

#include <stdbool.h>
#include <stddef.h>

/// What the plugin made of a take
typedef struct {
  FhAudio  out;         ///< Close channels processed; the latency is taken out
  FhFrame* frames;      ///< All controls, once per block
  size_t   frame_count;
  uint32_t block;       ///< Frames of sound per block, about 10 ms
  uint32_t latency;     ///< Frames the plugin declares
} FhRun;

/// What a take came to. A figure that the take cannot give is NAN.
typedef struct {
  double seconds;             ///< Length of the take
  double open_percent;        ///< Time in which the gate lets the microphone through
  double openings_per_minute;
  double removed;             ///< Pickup taken off between phrases, dB: level in less level out while not open
  double ducked;              ///< Level in less level out while open, dB
  double separation;          ///< Of the soloist over the field, dB, by the take alone
  FhVerdict verdict;          ///< On it
  bool   again;               ///< Another Learn was due at the end
  double fault_seconds[FH_FAULT_COUNT];
} FhFigures;

/// Sums over the blocks in one state of the gate
typedef struct {
  double close;   ///< Close microphones as they came, sum of squares
  double out;     ///< Close microphones as they left
  double seconds;
} FhPowers;

/// What the figures are made of, block by block; zero it before first use
typedef struct {
  FhPowers open, rest;
  size_t   blocks;
  size_t   openings;
  bool     was_open;
  bool     sounded;  ///< No longer waiting for the first sound
  bool     hidden;   ///< The output is not the processed sound
  bool     again;    ///< Another Learn was due then
  double   fault_seconds[FH_FAULT_COUNT];
} FhTally;

/// Count one block.
/// @param frame The controls after it. @param in Close microphones, then the ambient. @param out As many processed ones.
void fh_tally_add(FhTally* tally, const FhFrame* frame, uint32_t closes, const float* const in[], const float* const out[],
                  size_t frames, uint32_t rate);

/// All but separation and verdict
FhFigures fh_tally_figures(const FhTally* tally);

/// How the soloist stands over the field in a take, by the measure that check has, too. @return False, having complained.
bool fh_take_standing(const FhTake* take, FhStandsOut* standing);

/// Separation and verdict; none where the plugin found no two microphones to compare in most of the take
void fh_figures_judge(FhFigures* figures, const FhStandsOut* standing);

/// Let the plugin learn from a stretch of the take, then rewind it: what follows runs with what was learnt.
/// @param option Name of the option the stretch came from, for complaints.
/// @return false, having complained: outside the take, too short, nothing to learn from.
bool fh_take_learn(FhHost* host, const FhTake* take, FhLearn what, const FhStretch* stretch, const char* option);

/// Run a whole take from its beginning. Pair: fh_run_free. @return false, having complained.
bool fh_take_run(FhHost* host, const FhTake* take, FhRun* run);

void fh_run_free(FhRun* run);

/// True where a state lets the microphone through
bool fh_state_is_open(FhState state);

/// State at the end of one block
FhState fh_frame_state(const FhFrame* frame);

/// All of them, of a whole take
FhFigures fh_take_figures(const FhTake* take, const FhRun* run, const FhStandsOut* standing);

/// The plugin waits for its first sound and calls that a missing ambient: in a take that begins softly, no fault
void fh_forgive_start(FhFrame* frames, size_t count);

#define FH_FIRST_SOUND 0.5 ///< s from the start within which a take may still be too soft to hear

#endif
