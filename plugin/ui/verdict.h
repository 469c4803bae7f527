// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file verdict.h
/// Is the separation enough? The one answer, for the window and for plan, check, tune and render. Pure, any thread.
///
/// Separation is the level in the close microphone while the soloist plays over what the field alone would make there, by
/// what the ambient microphone hears: the plugin's excess. With a soloist r dB over the pickup it is 10 lg(1 + 10^(r/10)).
///
/// The limits are what the plugin was measured to need (docs/quality.md, "How much separation it needs"): at 12 dB it
/// misses 1 % of the soloist and no scene misses over 2 %; at 6 dB it misses 3 to 4 %, and single scenes 5 %; under that it begins to
/// open falsely, and what is let through is mostly field.

#ifndef FRONTHASH_UI_VERDICT_H
#define FRONTHASH_UI_VERDICT_H

#include <stdbool.h>

typedef enum {
  FH_VERDICT_UNKNOWN, ///< No solo heard yet
  FH_VERDICT_LEARN,   ///< What was learnt does not fit: no microphone needs to move
  FH_VERDICT_AMBIENT, ///< The ambient microphone hears the soloist: turn it away
  FH_VERDICT_MOVE,    ///< Move the close microphone
  FH_VERDICT_THIN,
  FH_VERDICT_GOOD,
  FH_VERDICT_COUNT
} FhVerdict;

#define FH_SEPARATION_GOOD 12.0 ///< dB
#define FH_SEPARATION_THIN 6.0  ///< dB

/// dB beyond a limit before a better verdict follows a worse one, so that it does not flicker
#define FH_VERDICT_STAYS 1.0

/// What is known of a soloist's standing
typedef struct {
  double    separation; ///< dB; NAN: nobody was heard
  double    rise;       ///< Of the close level when the soloist sets in over the field, dB; NAN: unknown
  FhVerdict before;     ///< The verdict that stands; FH_VERDICT_UNKNOWN: none
  bool      again;      ///< The plugin itself says that another Learn of the field is due
} FhStanding;

FhVerdict fh_verdict(const FhStanding* standing);

/// One or two words; the same as a phrase that can stand by itself; a sentence on what it means and what to do; a name for scripts
const char* fh_verdict_word(FhVerdict verdict);
const char* fh_verdict_phrase(FhVerdict verdict);
const char* fh_verdict_advice(FhVerdict verdict);
const char* fh_verdict_name(FhVerdict verdict);

/// Does what came of the last Learn of the field ask for another? @param result FH_LEARN_RESULT
bool fh_learn_is_due(float result);

/// Is there something to do?
bool fh_verdict_asks(FhVerdict verdict);

#endif
