// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file spoil.h
/// Known faults, put into a rehearsal at one of three strengths.

#ifndef FRONTHASH_TEST_SPOIL_H
#define FRONTHASH_TEST_SPOIL_H

#include "rehearsal.h"

/// In the order in which sound passes them: places, microphones, inputs, plugs
#define FH_SPOILS(X)                                                                                                   \
  X(FAR) X(AMBIENT_NEAR) X(OFF_AXIS) X(NEAR) X(RETURN) X(UNEVEN) X(BAR_LOUD) X(BAR_SOFT) X(NOTE_LOUD) X(NOTE_SOFT)     \
  X(PLAYER_LOUD) X(PLAYER_SOFT) X(WIND_CLOSE) X(WIND_AMBIENT) X(PLOSIVE) X(HANDLING) X(HUM) X(HISS) X(DROPOUTS)        \
  X(POPS) X(DRIFT) X(OVERDRIVEN) X(CLIPPED) X(FAINT_CLOSE) X(FAINT_AMBIENT) X(INVERTED) X(LATE) X(EARLY)               \
  X(DEAD_AMBIENT) X(DEAD_CLOSE) X(COPIED) X(SWAPPED)

typedef enum {
#define FH_X(NAME) FH_SPOIL_##NAME,
  FH_SPOILS(FH_X)
#undef FH_X
  FH_SPOIL_COUNT,
  FH_SPOIL_NONE = FH_SPOIL_COUNT
} FhSpoil;

typedef enum { FH_LIGHT, FH_MEDIUM, FH_STRONG, FH_STRENGTHS } FhStrength;

typedef struct {
  const char* name;
  const char* codes;  ///< Of findings that name it with its remedy, separated by blanks
  const char* also;   ///< Of findings that follow from it and may stand beside it
  unsigned    forms;  ///< Bits of FhForm in which it can be told
  int         rank;   ///< Of two faults the one of the lower rank is mended first; alike: either
  double      amount[FH_STRENGTHS];
  const char* unit;   ///< What the amounts are
} FhSpoilKind;

extern const FhSpoilKind fh_spoils[FH_SPOIL_COUNT];

/// One fault of a take
typedef struct {
  FhSpoil    what;
  FhStrength strength;
} FhFault;

/// A spoilt take, all in one piece of memory
typedef struct {
  FhSoundcheck take;
  float*       memory;
} FhSpoilt;

/// What must be known before the rehearsal is built: bars, notes, players
void fh_spoil_request(FhRehearsalRequest* request, const FhFault* faults, size_t count);

/// Put the faults in and mix. @param seed Of chances: when, how long. Aborts without memory. Pair: fh_spoilt_free.
FhSpoilt fh_spoil(const FhRehearsal* rehearsal, const FhFault* faults, size_t count, uint64_t seed);
void     fh_spoilt_free(FhSpoilt* spoilt);

#endif
