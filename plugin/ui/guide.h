// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file guide.h
/// Through a Learn in words: what to do now, a count-down, what is heard, how well it went, and what comes next. Each
/// step can be cut short by pressing again, and nothing waits for it. Thread: UI.

#ifndef FRONTHASH_UI_GUIDE_H
#define FRONTHASH_UI_GUIDE_H

#include "ports.h"
#include "ui/verdict.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum {
  FH_GUIDE_REST,   ///< Nothing to say
  FH_GUIDE_COUNT,  ///< Learning starts in a moment
  FH_GUIDE_LISTEN, ///< Learning
  FH_GUIDE_RESULT, ///< It is over: how it went
  FH_GUIDE_SOLO,   ///< The field is learnt: now the soloist is to play
  FH_GUIDE_VERDICT ///< The soloist was heard
} FhGuideStep;

/// How a Learn of the field went
typedef enum {
  FH_WENT_NOWHERE, ///< Too little was heard: what was known stays
  FH_WENT_SOLO,    ///< The soloist played nearly all the time: what was known stays
  FH_WENT_PART,    ///< Learnt from the part in which the soloist rested
  FH_WENT_SHORT,   ///< It counts, but little was heard
  FH_WENT_WILD,    ///< The field rises far over its prediction, or there was more than field in it
  FH_WENT_WELL
} FhWent;

typedef struct {
  FhGuideStep step;
  int         learn;   ///< The FhLearn it is about
  double      until;   ///< End of the step, where it ends by time, s
  double      since;   ///< When learning was seen to begin, s
  double      heard_s; ///< Field heard so far, s
  FhWent      went;
  float       spread;  ///< How far the field alone hardly ever rises over its prediction, dB
} FhGuide;

/// Less than this of the field is short: the time over which its level is usually averaged in measurements of steady
/// noise is longer still; ours is a compromise with a band's patience
#define FH_HEARD_WELL 8.0

/// Over this the field is wild, dB: made-up fields without a soloist, of 11 instruments, learnt to 5.3 to 6.7, and to 8.8 with wind in
/// the close microphone (build/tests/scenes/fh-scene, seeds 1 to 4)
#define FH_SPREAD_WELL 8.0f

/// Judge a Learn of the field from its end: seconds heard, what is known now, and the level it opens at over the margin
FhWent fh_went(double heard_s, const float v[FH_CONTROL_COUNT]);

/// Begin to count down, or with FH_LEARN_OFF leave off
void fh_guide_count(FhGuide* guide, FhLearn learn, double now);

/// Follow the ports. @return the FhLearn that is to start now, or FH_LEARN_OFF
FhLearn fh_guide_tick(FhGuide* guide, const float v[FH_CONTROL_COUNT], double now);

/// What to say. @return false if there is nothing: then what is known may be said
bool fh_guide_text(const FhGuide* guide, const float v[FH_CONTROL_COUNT], FhVerdict verdict, double now, char* text, size_t size);

#endif
