// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file rehearsal.h
/// Soundchecks as they are recorded on a field, with soloist and field kept apart, before anything is spoilt.
///
/// Built on the made-up scenes: their stage, band, weather and instruments. Thread: any, one rehearsal each.

#ifndef FRONTHASH_TEST_REHEARSAL_H
#define FRONTHASH_TEST_REHEARSAL_H

#include "command/check/check.h"

#include "../../scenes/scene.h"

typedef enum {
  FH_FORM_SCALE, ///< The soloist plays a scale, then the band plays alone: what the field guide asks for
  FH_FORM_MUSIC, ///< Ten seconds of band alone, then the soloist plays phrases over it
  FH_FORM_TURNS, ///< Each player of a group alone, in turn
  FH_FORM_BARS,  ///< A run over the bars, nobody else plays
  FH_FORMS
} FhForm;

extern const char* const fh_form_names[FH_FORMS];

/// What is asked for, and where those who play and the microphones stand otherwise than usual
typedef struct {
  const FhSceneSpec* spec;
  FhForm             form;
  uint64_t           seed;
  bool               sampled;
  FhFont             font;
  size_t             closes;     ///< Of FH_FORM_BARS: one microphone over the middle, or two under the bars; 0: two
  double             over;       ///< Of FH_FORM_BARS: microphone to the nearest bars, m; 0: usual
  int                odd;        ///< Bar, note or player that is louder or softer, from 0
  double             odd_db;     ///< By so much
  const char*        cache_dir;  ///< As FhSceneRequest
} FhRehearsalRequest;

typedef struct {
  FhRehearsalRequest request;
  FhCheckKind        kind;
  size_t             closes;
  size_t             frames;
  double             rate;
  double             alone_to;          ///< s; until there the soloist plays without the band
  double             ambient_metres;    ///< From the soloist
  double             input[2];          ///< Gain of close and ambient inputs, full scale over 94 dB of sound pressure
  float*             solo[FH_MICS];
  float*             field[FH_MICS];    ///< Band, crowd, breeze
} FhRehearsal;

#define FH_REHEARSAL_RATIO 12.0 ///< Of scales and music: the soloist over the field while both sound, dB
#define FH_REHEARSAL_RATE 48000.0

/// @return False with a line on stderr. Pair: fh_rehearsal_free.
bool fh_rehearse(FhRehearsal* rehearsal, const FhRehearsalRequest* request);
void fh_rehearsal_free(FhRehearsal* rehearsal);

/// What it is checked with: kind, players, range and partials
FhCheckOptions fh_rehearsal_options(const FhRehearsal* rehearsal);

#endif
