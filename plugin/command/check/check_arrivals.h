// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check_arrivals.h
/// When what the close microphone hears reaches the ambient one: from the soloist directly, from a loudspeaker, through a channel
/// with a delay. Lags are seconds by which the ambient microphone is later. Thread: main.

#ifndef FRONTHASH_COMMAND_CHECK_ARRIVALS_H
#define FRONTHASH_COMMAND_CHECK_ARRIVALS_H

#include "command/measure/activity.h"
#include "command/measure/correlate.h"

#include <stdbool.h>

#define FH_MOST_DELAY 0.1    ///< s to either side that is looked for between microphones
#define FH_NEAREST 0.0002    ///< s: the ambient microphone is at least this far behind the close one, 7 cm
#define FH_TOO_NEAR 0.0029   ///< s: less is too near to the soloist, a metre
#define FH_FARTHEST 0.03     ///< s: and at most this, 10 m

/// Stretches of lags
typedef enum {
  FH_ARRIVES_NEAR,   ///< FH_NEAREST to FH_TOO_NEAR
  FH_ARRIVES_DIRECT, ///< From there to FH_FARTHEST
  FH_ARRIVES_BEFORE, ///< At the ambient microphone first, by FH_NEAREST to FH_FARTHEST
  FH_ARRIVES_FAR,    ///< Farther than FH_FARTHEST, to either side
  FH_ARRIVES_COUNT,
  FH_ARRIVES_NEVER = FH_ARRIVES_COUNT
} FhArrives;

/// The strongest arrival within a stretch of lags
typedef struct {
  FhLag  lag;
  double stands; ///< By how many times it is over the usual correlation
  double field;  ///< What of that the field makes that backs the soloist, by what arrives then while it plays alone
} FhArrival;

typedef struct {
  FhCorrelation* heard;                  ///< Close with ambient microphone while the soloist plays; NULL: they cannot be compared
  FhArrival      list[FH_ARRIVES_COUNT];
  FhArrives      first;                  ///< The one that is the soloist's; FH_ARRIVES_NEVER: none can be told
  bool           clear;                  ///< None of the others comes near it: enough to find fault with it
  bool           field_heard;            ///< There is a field to compare with
  bool           field_in_place;         ///< And it arrives when a field may
} FhArrivals;

/// Of takes with one close microphone. @param spans Where the soloist plays. Pair: fh_arrivals_free. @return False without memory.
bool fh_arrivals_find(const FhSoundcheck* take, const FhActivity* activity, const FhSpans* spans, FhArrivals* arrivals);
void fh_arrivals_free(FhArrivals* arrivals);

#endif
