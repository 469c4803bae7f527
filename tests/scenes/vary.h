// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file vary.h
/// Scenes to train on that leave the usual: other places and patterns of the microphones, another field, other sounds in the
/// hands of the players, other music. `vary` numbers the draw. What is drawn is from memory: anything that could be met on a
/// field, and some that could not. Thread: any.

#ifndef FRONTHASH_SCENES_VARY_H
#define FRONTHASH_SCENES_VARY_H

#include "stage.h"

void fh_vary_stage(uint64_t vary, FhStage* stage);
void fh_vary_song(uint64_t vary, FhSong* song);

typedef struct {
  int    sound;     ///< For FhPart; 0: the instrument's own
  int    low, high; ///< Playing range, MIDI note numbers
  double level;     ///< dB beside the usual
} FhVaried;

/// What a player plays; the usual where `vary` is 0. @param who Any number of one's own. @param soloist Soloists leave the usual more often
FhVaried fh_vary_player(uint64_t vary, uint64_t who, bool soloist, const FhInstrument* instrument);

/// The synthesiser's instrument, made another by a sound's number
FhInstrument fh_vary_instrument(int sound, const FhInstrument* instrument);

#endif
