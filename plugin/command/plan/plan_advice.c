// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Advice by trying: each change is made on a copy of the plan and the figures computed anew

#include "command/base/quantity.h"
#include "command/plan/plan.h"

#include <math.h>
#include <string.h>

typedef enum { FH_CLOSER, FH_TURN, FH_NARROWER, FH_AMBIENT, FH_FEWER, FH_SPEAKER, FH_BAND_BACK } FhChangeKind;

/// One change, in order of what it costs: a hand's movement first, a new drill last
typedef struct {
  FhChangeKind kind;
  double       amount; ///< Factor, degrees, metres or rank, by kind
} FhChange;

static const FhChange changes[] = {
  {FH_CLOSER, 0.75},   {FH_CLOSER, 0.5},     {FH_CLOSER, 0.35}, {FH_CLOSER, 0.25}, {FH_TURN, 45},
  {FH_TURN, 90},       {FH_AMBIENT, 1.5},    {FH_AMBIENT, 2},   {FH_AMBIENT, 3},   {FH_NARROWER, 0.5},
  {FH_NARROWER, 0.37}, {FH_NARROWER, 0.25},  {FH_FEWER, 0.5},   {FH_SPEAKER, 1.5}, {FH_SPEAKER, 2},
  {FH_BAND_BACK, 3},   {FH_BAND_BACK, 6},    {FH_BAND_BACK, 12},
};
#define FH_CHANGES (sizeof(changes) / sizeof(changes[0]))
#define FH_CREW (FH_CHANGES - 3) // those that leave the band where it is

/// Try the pattern whose a is the largest not above `a`. @return False if the plan's is as narrow already.
static bool
narrow(FhPlan* const plan, const double a)
{
  if (plan->mic_pattern->a <= a) {
    return false;
  }
  for (size_t i = 0; i < fh_pattern_count; ++i) {
    if (fh_patterns[i].a <= a) {
      plan->mic_pattern = &fh_patterns[i];
      return true;
    }
  }
  return false;
}

/// @return False where the change makes no sense for this plan
static bool
apply(const FhChange* const change, FhPlan* const plan)
{
  switch (change->kind) {
  case FH_CLOSER: {
    const double nearer = fmax(plan->mic_distance * change->amount, plan->family->mic_nearest);
    const bool   moves  = nearer < 0.95 * plan->mic_distance;
    plan->mic_distance  = moves ? nearer : plan->mic_distance;
    return moves;
  }
  case FH_TURN:
    if (fabs(plan->mic_aim) >= change->amount) {
      return false;
    }
    plan->mic_aim = change->amount;
    return true;
  case FH_AMBIENT:
    if (plan->ambient_distance * change->amount > 0.75 * plan->band_distance) {
      return false; // among the players it hears one of them, not the band
    }
    plan->ambient_distance *= change->amount;
    return true;
  case FH_NARROWER:
    return narrow(plan, change->amount);
  case FH_FEWER:
    if (plan->open_mics < 2.0) {
      return false;
    }
    plan->open_mics = ceil(plan->open_mics * change->amount);
    return true;
  case FH_SPEAKER:
    plan->speaker_mic *= change->amount;
    return true;
  case FH_BAND_BACK:
    plan->band_distance += change->amount;
    return true;
  }
  return false;
}

static void
describe(const FhChange* const change, const FhPlan* const after, char* const text, const size_t size)
{
  char length[64];
  switch (change->kind) {
  case FH_CLOSER:
    snprintf(text, size, "move the close microphone to %s",
             fh_format_length(length, sizeof(length), after->mic_distance));
    break;
  case FH_TURN:
    snprintf(text, size, "turn soloist and close microphone so that it aims %.0f degrees away from the band",
             after->mic_aim);
    break;
  case FH_AMBIENT:
    snprintf(text, size, "move the ambient microphone to %s from the soloist",
             fh_format_length(length, sizeof(length), after->ambient_distance));
    break;
  case FH_NARROWER:
    snprintf(text, size, "use a %s microphone for the close one", after->mic_pattern->name);
    break;
  case FH_FEWER:
    snprintf(text, size, "open no more than %.0f microphones at a time", after->open_mics);
    break;
  case FH_SPEAKER:
    snprintf(text, size, "set the loudspeaker %s from the microphone",
             fh_format_length(length, sizeof(length), after->speaker_mic));
    break;
  case FH_BAND_BACK:
    snprintf(text, size, "set the band back to %s",
             fh_format_length(length, sizeof(length), after->band_distance));
    break;
  }
}

static bool
works(const FhPlanFigures* const figures)
{
  return figures->verdict == FH_VERDICT_GOOD && figures->pag >= figures->nag;
}

/// Make the changes of `set` on a copy of the plan. @return False where one of them makes no sense.
static bool
try_changes(const FhPlan* const plan, const size_t* const set, const size_t count, FhAdvice* const advice)
{
  FhPlan trial = *plan;
  for (size_t i = 0; i < count; ++i) {
    if (!apply(&changes[set[i]], &trial)) {
      return false;
    }
    describe(&changes[set[i]], &trial, advice->text[i], sizeof(advice->text[i]));
  }
  fh_plan_compute(&trial, &advice->after);
  advice->count  = count;
  advice->solves = works(&advice->after);
  return true;
}

/// Try all sets of `size` (1 to 3) of the first `limit` changes, one of a kind, in order of the dearest of each set
static bool
try_sets(const FhPlan* const plan, const size_t limit, const size_t size, FhAdvice* const advice)
{
  for (size_t dear = 0; dear < limit; ++dear) {
    for (size_t middle = 0; middle < (size > 1 ? dear : 1); ++middle) {
      for (size_t cheap = 0; cheap < (size > 2 ? middle : 1); ++cheap) {
        const size_t set[]  = {cheap, middle, dear};
        const bool   kinds  = (size < 2 || changes[middle].kind != changes[dear].kind) &&
                           (size < 3 || changes[cheap].kind != changes[middle].kind);
        if (kinds && try_changes(plan, set + 3 - size, size, advice) && advice->solves) {
          return true;
        }
      }
    }
  }
  return false;
}

/// Does one change alone bring at least a dB of separation, or half a dB of gain, where the plan falls short?
static bool
helps(const FhPlan* const plan, const FhPlanFigures* const before, const size_t index)
{
  FhAdvice one;
  if (!try_changes(plan, &index, 1, &one)) {
    return false;
  }
  const bool clearer = one.after.bleed > before->bleed + 1.0 || one.after.separation > before->separation + 1.0;
  return (before->excess < FH_SEPARATION_GOOD && clearer && one.after.excess > before->excess) ||
         (before->pag < before->nag && one.after.pag > before->pag + 0.5);
}

/// Where a set solves, take out what it does not need, the dearest first, and of the rest use the smallest that still
/// does it
static void
drop_needless(const FhPlan* const plan, size_t set[FH_ADVICE_STEPS], size_t count, FhAdvice* const advice)
{
  for (size_t i = count; advice->solves && i-- > 0;) {
    size_t   trial[FH_ADVICE_STEPS];
    FhAdvice less = {0};
    for (size_t j = 0; j + 1 < count; ++j) {
      trial[j] = set[j + (j >= i)];
    }
    if (try_changes(plan, trial, count - 1, &less) && less.solves) {
      memcpy(set, trial, --count * sizeof(*set));
      *advice = less;
      continue;
    }
    while (set[i] && changes[set[i] - 1].kind == changes[set[i]].kind) {
      --set[i];
      if (!try_changes(plan, set, count, &less) || !less.solves) {
        ++set[i];
        break;
      }
      *advice = less;
    }
  }
}

/// Largest change of each kind that helps, all together
static void
try_everything(const FhPlan* const plan, const FhPlanFigures* const before, FhAdvice* const advice)
{
  size_t set[FH_ADVICE_STEPS];
  size_t count = 0;
  for (size_t i = 0; i < FH_CHANGES; ++i) {
    if (helps(plan, before, i)) {
      const bool larger = count && changes[set[count - 1]].kind == changes[i].kind;
      if (larger) {
        set[count - 1] = i;
      } else if (count < FH_ADVICE_STEPS) {
        set[count++] = i;
      }
    }
  }
  try_changes(plan, set, count, advice);
  drop_needless(plan, set, count, advice);
}

void
fh_plan_advise(const FhPlan* const plan, FhAdvice* const advice)
{
  FhPlanFigures before;
  fh_plan_compute(plan, &before);
  memset(advice, 0, sizeof(*advice));
  advice->after  = before;
  advice->solves = works(&before);
  if (advice->solves) {
    return;
  }
  // Moving the band is a new drill: it comes after everything the crew can do by itself
  if (try_sets(plan, FH_CREW, 1, advice) || try_sets(plan, FH_CREW, 2, advice) || try_sets(plan, FH_CREW, 3, advice) ||
      try_sets(plan, FH_CHANGES, 1, advice) || try_sets(plan, FH_CHANGES, 2, advice)) {
    return;
  }
  try_everything(plan, &before, advice);
}
