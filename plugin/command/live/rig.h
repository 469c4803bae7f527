// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file rig.h
/// A show as it runs: one engine a stand, and the controls of each. It knows no sound server, screen or network; these three work
/// on it.
///
/// Two threads meet here, and nothing waits: what the main thread wants and what the audio thread tells are single values, each
/// of which is whole and stands for itself. A block copies them only where there is something new to hear or to tell: at 64 frames
/// with sixteen stands, copying all of them was one part in thirty of the rig's time. Thread: main, where a function does not say audio.

#ifndef FRONTHASH_COMMAND_RIG_H
#define FRONTHASH_COMMAND_RIG_H

#include "command/run/host.h"
#include "command/show/show.h"
#include "ports.h"

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_RIG_INPUTS 3  ///< Audio inputs of an engine, at most: close microphones, then the ambient
#define FH_RIG_OUTPUTS 2 ///< Audio outputs, at most

/// The manners of one who comes to a stand: the control inputs, but for those which belong to the stand or to the moment
typedef struct {
  float preset[FH_CONTROL_COUNT]; ///< As the preset has them
  float now[FH_CONTROL_COUNT];    ///< As they were changed
} FhManners;

/// A stand with its engine
typedef struct {
  const FhStand* stand;
  FhHost*        host;          ///< Its control ports belong to the audio thread once that runs
  size_t         soloist_count; ///< At least 1: without a name where the show names nobody
  size_t         soloist;       ///< Who is there, from 0
  FhManners      manners[FH_SHOW_SOLOISTS];
  _Atomic float  wanted[FH_CONTROL_COUNT];
  _Atomic float  told[FH_CONTROL_COUNT];
  _Atomic uint32_t wishes;      ///< Counts what has been wanted
  uint32_t       heard;         ///< So many of these are in the ports. Thread: audio
  uint32_t       untold;        ///< Frames run since the meters were last told. Thread: audio
  double         pressed_at;    ///< When learn or clear was pressed, s
  bool           learn_begun;   ///< Its progress was seen below the end
  bool           news;          ///< Something is to be saved soon
} FhRigStand;

typedef struct {
  const FhShow* show;
  size_t        count;
  FhRigStand*   stand;
} FhRig;

/// Start an engine for each stand, with its first soloist and what that one's preset knows of the field. Pair: fh_rig_free.
/// @param show Is kept, not copied. @param bundle As for fh_host_new.
/// @return NULL, having complained.
FhRig* fh_rig_new(const FhShow* show, const char* bundle);

void fh_rig_free(FhRig* rig);

/// Name of a soloist, or of the one who is there; empty where the show names nobody
const char* fh_rig_soloist_name(const FhRigStand* stand, size_t soloist);

/// Value of a control: an input as it is wanted, an output as it was last told
float fh_rig_value(const FhRigStand* stand, FhControl control);

/// Set a control input, clamped to its range. `learn` and `clear` are pressed, and let go by themselves.
void fh_rig_set(FhRigStand* stand, FhControl control, float value, double now);

/// Another soloist comes: the manners change, what was learnt of the field stays.
/// @param soloist From 0; beyond the last nothing happens
void fh_rig_come(FhRigStand* stand, size_t soloist);

/// Let go what is pressed and done. Call some ten times a second. @param now s
void fh_rig_tick(FhRig* rig, double now);

/// Run one block of one engine. Thread: audio.
/// @param in Close microphones, then the ambient
void fh_rig_run(FhRigStand* stand, const float* const in[], float* const out[], uint32_t frames);

#endif
