// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file soundcheck_rows.h
/// The takes that the check is judged by: each fault at three strengths, pairs of faults, clean ones of every family.

#ifndef FRONTHASH_TEST_SOUNDCHECK_ROWS_H
#define FRONTHASH_TEST_SOUNDCHECK_ROWS_H

#include "spoil.h"

#define FH_FAULTS_MOST 2

/// One take
typedef struct {
  FhRehearsalRequest request;
  FhFault            faults[FH_FAULTS_MOST];
  size_t             count;
} FhRow;

typedef struct {
  FhRow* list;
  size_t count, room;
} FhRows;

typedef struct {
  uint64_t    seed;  ///< Of half of the takes; the other half has the next one
  bool        few;   ///< Synthesised, medium strength, one form of each fault, few families
  bool        medium; ///< Medium strength alone
  bool        each;  ///< Each fault at medium strength with every instrument, in music and font of `seed` alone
  const char* only;  ///< Faults whose name contains this, and nothing else; NULL: all
} FhRowOptions;

/// Takes that share a rehearsal follow each other. Aborts without memory; free `list`.
FhRows fh_rows(const FhRowOptions* options);

#endif
