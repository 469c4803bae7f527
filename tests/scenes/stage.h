// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file stage.h
/// Who stands where: band, soloists and microphones; and the stems each microphone hears, before any mixing.
/// Thread: any.

#ifndef FRONTHASH_SCENES_STAGE_H
#define FRONTHASH_SCENES_STAGE_H

#include "acoustics.h"
#include "scene.h"

typedef struct {
  FhField  field;
  uint32_t closes;
  FhMic    mics[FH_MAX_MICS]; ///< The ambient microphone is the last of closes + 1
  double   ambient_distance;  ///< m toward the band
  bool     ambient_omni;
  double   nearness;   ///< Of the soloists to their microphone, of the usual distance
  double   stretch[2]; ///< Of the band's places across the field and away from the soloist, of the usual
} FhStage;

/// Set up microphones and field for a request: the ambient microphone 2 to 4 m toward the band, cardioid or omni
/// by the seed, or where the condition wants it
void fh_stage_set(FhStage* stage, const FhSceneRequest* request);

/// Render the band (26 players, 8 to 35 m away, 30 m wide) into one buffer per microphone, adding
bool fh_stage_add_band(const FhStage*, const FhSceneRequest*, const FhSong*, float* const to[], size_t frames);

/// Render all soloists' phrases, adding
bool fh_stage_add_solo(const FhStage*,
                       const FhSceneRequest*,
                       const FhSong*,
                       const FhStretch* phrases,
                       size_t           phrase_count,
                       float* const     to[],
                       size_t           frames);

/// Render what one soloist, or one half of the bars, plays, adding. @param cents Detuning of this player
bool fh_stage_add_player(const FhStage*,
                         const FhSceneRequest*,
                         int              player,
                         const FhPart*    part,
                         double           cents,
                         float* const     to[],
                         size_t           frames);

/// Render single drum line hits 1.5 m behind the soloist, one every 1 to 3 s from `from` on, adding
bool fh_stage_add_hits(const FhStage*, const FhSceneRequest*, double from, float* const to[], size_t frames);

#endif
