// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file truth.h
/// What a perfect decision would know about a scene, worked out from its stems.
///
/// All stems are first passed through the plugin's own band split with every gain at 1 (an all-pass), so that a
/// comparison with the plugin's output sees only what its gains did. Time runs in ticks of 1 ms. Thread: any.

#ifndef FRONTHASH_SCENES_TRUTH_H
#define FRONTHASH_SCENES_TRUTH_H

#include "scene.h"

#include "dsp/engine.h"

#define FH_MAX_ONSETS 64

typedef enum {
  FH_BETWEEN, ///< Neither: tails, and what is too close to call
  FH_ACTIVE,  ///< The soloist sounds: mean square over 10 ms (centred) within 30 dB of its own 95th percentile over the
              ///< phrases, and in at least one of the eight bands as strong as the pickup (the 0 dB local criterion
              ///< of the ideal binary mask, D. Wang 2005)
  FH_RESTING, ///< More than 300 ms after the last active tick, more than 20 ms before the next, and the solo's
              ///< remains 10 dB below the pickup
} FhActivity;

typedef struct {
  size_t         tick;                   ///< Frames in 1 ms
  size_t         first, ticks;           ///< Scored: ticks first..ticks
  size_t         frames;                 ///< ticks * tick
  uint32_t       closes;
  float*         solo[FH_MAX_CLOSES];    ///< Through the open split
  float*         pickup[FH_MAX_CLOSES];
  float*         ideal[FH_MAX_CLOSES];   ///< The take with ideal band gains S / (S + P)
  float*         solo_db;                ///< Mean square over 10 ms per tick, dBFS
  float*         pickup_db;
  unsigned char* activity;               ///< FhActivity per tick
  size_t         onset_count;
  size_t         onsets[FH_MAX_ONSETS];  ///< Frame of every start after at least 200 ms without activity: the first
                                         ///< frame where the solo's mean square over the last 2 ms is within 20 dB
                                         ///< of its greatest in the next 50 ms and not below the pickup's over 20 ms
  size_t         end_count;
  size_t         ends[FH_MAX_ONSETS];    ///< Last active tick before at least 200 ms without activity
} FhTruth;

/// Work out the truth. @return false when memory is out. Free with fh_truth_free().
bool fh_truth_make(FhTruth* truth, const FhScene* scene);
void fh_truth_free(FhTruth* truth);

#endif
