// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A group on one microphone: players play alone in turn, and who is too soft or too loud there

#include "command/base/quantity.h"
#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_PLAYERS_MAX 16
#define FH_BLIP 10       // frames of 10 ms; shorter sounds are no turn
#define FH_PAUSE 1.0     // s of rest between turns where nobody said how many there are
#define FH_SHORT_PAUSE 0.3
#define FH_NEAR_LOUD 20.0 // dB
#define FH_UNEVEN 3.0    // dB from the others

/// A stretch of playing, frames of activity
typedef struct {
  size_t from, to;
} FhTurn;

/// Stretches of playing, blips left out. @return How many; `turns` holds `most`.
static size_t
find_stretches(const FhActivity* const a, FhTurn* const turns, const size_t most)
{
  size_t count = 0;
  for (size_t i = 0; i < a->count && count < most; ++i) {
    if (a->active[i]) {
      const size_t from = i;
      while (i < a->count && a->active[i]) {
        ++i;
      }
      if (i - from >= FH_BLIP) {
        turns[count++] = (FhTurn){from, i};
      }
    }
  }
  return count;
}

static void
join(FhTurn* const turns, size_t* const count, const size_t at)
{
  turns[at].to = turns[at + 1].to;
  for (size_t i = at + 1; i + 1 < *count; ++i) {
    turns[i] = turns[i + 1];
  }
  --*count;
}

/// Join over the shortest pauses until as many turns are left as there are players, or only real pauses
static void
join_turns(FhTurn* const turns, size_t* const count, const FhActivity* const a, const double rate, const int players)
{
  while (*count > 1) {
    size_t shortest = 0;
    for (size_t i = 1; i + 1 < *count; ++i) {
      if (turns[i + 1].from - turns[i].to < turns[shortest + 1].from - turns[shortest].to) {
        shortest = i;
      }
    }
    const double pause = (double)((turns[shortest + 1].from - turns[shortest].to) * a->hop) / rate;
    const bool   stop  = players ? *count <= (size_t)players && pause >= FH_SHORT_PAUSE : pause >= FH_PAUSE;
    if (stop) {
      return;
    }
    join(turns, count, shortest);
  }
}

/// Mean power of what lies near the loud moments of a turn: breaths and fading ends do not count
static FhPlace
measure_turn(const FhActivity* const a, const FhTurn* const turn, const int number)
{
  double loudest = -200.0;
  double sum     = 0.0;
  double n       = 0.0;
  for (size_t i = turn->from; i < turn->to; ++i) {
    loudest = fmax(loudest, a->close[i]);
  }
  for (size_t i = turn->from; i < turn->to; ++i) {
    if (a->close[i] > loudest - FH_NEAR_LOUD) {
      sum += pow(10.0, a->close[i] / 10.0);
      n += 1.0;
    }
  }
  const double level = fh_decibels(sum / fmax(n, 1.0));
  return (FhPlace){.note = number, .strokes = 1, .level = {level}, .total = level};
}

/// What most players reach; of two, the louder
static double
usual_level(const FhReport* const report)
{
  double levels[FH_PLAYERS_MAX];
  for (size_t i = 0; i < report->count; ++i) {
    levels[i] = report->places[i].total;
  }
  return fh_percentile(levels, report->count, report->count == 2 ? 1.0 : 0.5);
}

static void
judge_player(FhReport* const report, const size_t at, const double usual, const FhCheckOptions* const o)
{
  FhPlace* const place = &report->places[at];
  const double   off   = place->total - usual;
  place->expected      = usual;
  place->fault         = fabs(off) >= FH_UNEVEN;
  if (!place->fault) {
    return;
  }
  const double factor = pow(10.0, off / 20.0);
  char         where[96];
  if (o->mic_distance > 0.0) {
    char lengths[2][40];
    snprintf(where, sizeof(where), "from %s to about %s",
             fh_format_length(lengths[0], sizeof(lengths[0]), o->mic_distance),
             fh_format_length(lengths[1], sizeof(lengths[1]), o->mic_distance * factor));
  } else {
    snprintf(where, sizeof(where), "to %.1f times the distance", factor);
  }
  fh_find(&report->findings, true, off < 0.0 ? "player_soft" : "player_loud", off, "dB",
          "Player %d is %.1f dB %s the others: step %s, %s.", place->note, fabs(off), off < 0.0 ? "under" : "over",
          off < 0.0 ? "in" : "back", where);
}

static void
check_turns(const FhSoundcheck* const   take,
            const FhActivity* const     activity,
            const FhCheckOptions* const options,
            FhTurn* const               turns,
            FhReport* const             report)
{
  size_t count = find_stretches(activity, turns, activity->count);
  join_turns(turns, &count, activity, take->rate, options->players);
  if (count < 2 || count > FH_PLAYERS_MAX || (options->players && count != (size_t)options->players)) {
    fh_find(&report->findings, true, "turns", (double)count, "turns",
            "%zu turn%s heard: let each player play alone, one after the other, with two seconds of rest between.",
            count,
            count == 1 ? " was" : "s were");
    return;
  }
  for (size_t i = 0; i < count; ++i) {
    report->places[report->count++] = measure_turn(activity, &turns[i], (int)i + 1);
  }
  double loud = -200.0, soft = 200.0;
  for (size_t i = 0; i < count; ++i) {
    loud = fmax(loud, report->places[i].total);
    soft = fmin(soft, report->places[i].total);
  }
  fh_find(&report->findings, false, "spread", loud - soft, "dB",
          "%zu players, from %.1f to %.1f dBFS: a spread of %.1f dB.",
          count, soft, loud, loud - soft);
  const double usual = usual_level(report);
  const bool blown = fh_found_at(&report->findings, "wind", fh_mic_name(take, 0)); // then it is the wind that is measured
  for (size_t i = 0; i < count && !blown; ++i) {
    judge_player(report, i, usual, options);
  }
}

bool
fh_check_group(const FhSoundcheck* const   take,
               const FhActivity* const     activity,
               const FhCheckOptions* const options,
               FhReport* const             report)
{
  FhTurn* const turns = malloc(activity->count * sizeof(*turns));
  if (!turns) {
    return false;
  }
  check_turns(take, activity, options, turns, report);
  free(turns);
  return true;
}
