// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/verdict.h"

#include "ports.h"

#include <math.h>

/// Is a value over a limit that was not reached before only if it is clearly over it?
static bool
reaches(const double value, const double limit, const bool reached)
{
  return value >= limit + (reached ? 0.0 : FH_VERDICT_STAYS);
}

FhVerdict
fh_verdict(const FhStanding* const s)
{
  const bool first = s->before == FH_VERDICT_UNKNOWN;
  if (s->again) {
    return FH_VERDICT_LEARN;
  }
  if (isnan(s->separation)) {
    return FH_VERDICT_UNKNOWN;
  }
  if (!reaches(s->separation, FH_SEPARATION_THIN, first || s->before >= FH_VERDICT_THIN || s->before == FH_VERDICT_LEARN)) {
    // The soloist stands out of the field in the close microphone, and yet not against the ambient one
    return s->rise >= FH_SEPARATION_GOOD ? FH_VERDICT_AMBIENT : FH_VERDICT_MOVE;
  }
  const bool good = first || s->before == FH_VERDICT_GOOD;
  return reaches(s->separation, FH_SEPARATION_GOOD, good) ? FH_VERDICT_GOOD : FH_VERDICT_THIN;
}

const char*
fh_verdict_word(const FhVerdict verdict)
{
  static const char* const words[] = {"Not heard yet", "Learn again", "Turn the ambient mic", "Move the microphone", "Thin", "Good"};
  _Static_assert(sizeof(words) / sizeof(words[0]) == FH_VERDICT_COUNT, "a word for each verdict");
  return words[verdict];
}

const char*
fh_verdict_phrase(const FhVerdict verdict)
{
  return verdict == FH_VERDICT_THIN ? "Thin separation" : verdict == FH_VERDICT_GOOD ? "Good separation" : fh_verdict_word(verdict);
}

const char*
fh_verdict_advice(const FhVerdict verdict)
{
  static const char* const words[] = {
    "Let the soloist play a few notes while the band plays",
    "What was heard was not the field alone: learn while the band plays and the soloist rests",
    "It hears the soloist, too: turn it away, or take it farther from the soloist",
    "The field is nearly as loud as the soloist here: go closer, or turn the mic's back to the field",
    "Soft notes may be lost: a hand closer helps more than any setting",
    "The soloist stands clear of the field",
  };
  _Static_assert(sizeof(words) / sizeof(words[0]) == FH_VERDICT_COUNT, "advice for each verdict");
  return words[verdict];
}

const char*
fh_verdict_name(const FhVerdict verdict)
{
  static const char* const names[] = {"unknown", "learn", "ambient", "move", "thin", "good"};
  _Static_assert(sizeof(names) / sizeof(names[0]) == FH_VERDICT_COUNT, "a name for each verdict");
  return names[verdict];
}

bool
fh_verdict_asks(const FhVerdict verdict)
{
  return verdict == FH_VERDICT_LEARN || verdict == FH_VERDICT_AMBIENT || verdict == FH_VERDICT_MOVE;
}

bool
fh_learn_is_due(const float result)
{
  const long came = lrintf(result);
  return came == FH_RESULT_AGAIN || came == FH_RESULT_SOLO;
}
