// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file glance.h
/// A stand at a glance, in words and figures as a person reads them: for the screen and for the page. Thread: main.

#ifndef FRONTHASH_COMMAND_GLANCE_H
#define FRONTHASH_COMMAND_GLANCE_H

#include "command/live/rig.h"

/// How much a stand asks for attention; the colours go by it
typedef enum {
  FH_MOOD_REST,  ///< Closed, or on the way there
  FH_MOOD_OPEN,  ///< The soloist is heard
  FH_MOOD_HAND,  ///< Muted, bypassed or learning: somebody has pressed that
  FH_MOOD_FAULT, ///< Something is wrong
  FH_MOOD_COUNT
} FhMood;

typedef struct {
  float       v[FH_CONTROL_COUNT];
  FhMood      mood;
  const char* state;      ///< One word
  const char* fault;      ///< Empty where there is none
  const char* advice;     ///< What to do about it, or about a Learn that does not hold; else empty
  const char* soloist;    ///< Who is there; empty where the show names nobody
  const char* next;       ///< Who comes next; empty after the last
  const char* previous;   ///< Who was there before; empty before the first
  char        known[32];  ///< What is known of the field, shortly: "12 min", "earlier", "following", "nothing", "doubtful", "45 %"
  bool        blind;      ///< Nothing to compare the close microphone with: excess says nothing
} FhGlance;

/// @param running false: there is no sound server, and what was told last is old
FhGlance fh_glance(const FhRigStand* stand, bool running);

/// What to do about a fault; in a rig there is no side chain, but one ambient channel for all
const char* fh_glance_advice(const FhRigStand* stand, int fault);

/// Words for the moods, as the page calls them
extern const char* const fh_mood_words[FH_MOOD_COUNT];

#endif
