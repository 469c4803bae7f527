// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file past.h
/// What the microphones heard lately, moment by moment, to learn from the part of it that was field alone.
///
/// A soloist raises the close microphone in some bands, by more than a field strays, and for as long as a note lasts. What the
/// field does by itself is told by the lower ratios of the stretch, and by those of its loudest moments, in which a soloist
/// stands out least; the rest is compared with that. All of it takes the same time whatever was heard. Thread: audio.

#ifndef FRONTHASH_DSP_PAST_H
#define FRONTHASH_DSP_PAST_H

#include "dsp/engine.h"
#include "dsp/quantiles.h"
#include "dsp/tuning.h"

#include <stdbool.h>

/// How the level difference is looked at
enum {
  FH_PATH_NOTE,   ///< Averages of 20 ms
  FH_PATH_PHRASE, ///< 80 ms: the smallest spread
  FH_PATHS
};

typedef struct {
  fh_v8 now[FH_MOMENTS][FH_PATHS]; ///< Close over held ambient per band, dB
  float ambient[FH_MOMENTS];       ///< Level of the ambient microphone, dB
  bool  tone[FH_MOMENTS];          ///< The close microphones hear something periodic
  int   count;                     ///< Moments heard, at most FH_MOMENTS
  int   next;                      ///< Place of the next
  int   every;                     ///< Hops from one to the next
  int   wait;                      ///< Hops until then
} FhPast;

/// What was found of the field
typedef struct {
  int         heard, field;     ///< Moments in all, and of field alone
  FhQuantiles ratio[FH_PATHS];  ///< As in detector.h
  FhQuantiles key_rest, common; ///< Likewise
} FhFound;

/// Begin to take moments. @param every Hops from one to the next
static inline void
fh_past_begin(FhPast* const past, const int every)
{
  past->count = past->next = 0;
  past->every = past->wait = every;
}

/// Take a hop
/// @param now Close over held ambient per band and look, dB @param ambient Mean square @param tone The close is periodic
static inline void
fh_past_hop(FhPast* const past, const fh_v8 now[FH_PATHS], const float ambient, const bool tone, const bool heard)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    past->now[past->next][p] = now[p];
  }
  past->ambient[past->next] = fh_db(ambient + FH_QUIET);
  past->tone[past->next]    = tone;
  past->wait -= heard ? 1 : 0;
  const bool due = past->wait <= 0;
  past->wait     = due ? past->every : past->wait;
  past->next     = !due ? past->next : past->next + 1 < FH_MOMENTS ? past->next + 1 : 0;
  past->count += due && past->count < FH_MOMENTS ? 1 : 0;
}

/// Find the moments of field alone and what they say
/// @param usable 1 for each band there is, else 0 @param key Weight of each band by the key filter
void fh_past_find(const FhPast* past, fh_v8 usable, fh_v8 key, FhFound* field);

#endif
