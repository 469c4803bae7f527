// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Level per bar of a mallet run: bars that jump out or vanish, the balance of two microphones, and where to move them

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_NEIGHBOURS 4      // bars to each side that say how loud one should be
#define FH_JUMPS 6.0         // dB above them
#define FH_VANISHES 7.0      // dB below
#define FH_AT_END 3.0        // dB more for the outermost bars
#define FH_SPREAD 12.0       // dB between bars near and far from a microphone
#define FH_ONE_MIC 3.0       // dB by which a bar stands out more in one microphone: the microphone, not the bar
#define FH_UNBALANCED 11.0   // dB between the two ends; high bars fade sooner, by up to 8.2 in runs to tune by
#define FH_DIP 5.0           // dB of the middle under or over the ends
#define FH_ENOUGH_BARS 8
#define FH_REACH 3           // bars to each side of the one where microphones are compared
#define FH_LEAST_STROKES 6
#define FH_ALIKE 14.0        // dB between two close microphones that can still be compared by one bar

/// Median of a level over the neighbours of a bar, itself left out
static double
neighbours(const FhReport* const report, const size_t at, const size_t mic)
{
  double       values[2 * FH_NEIGHBOURS];
  size_t       n    = 0;
  const size_t from = at > FH_NEIGHBOURS ? at - FH_NEIGHBOURS : 0;
  for (size_t i = from; i <= at + FH_NEIGHBOURS && i < report->count; ++i) {
    if (i != at) {
      values[n++] = mic == FH_MICS ? report->places[i].total : report->places[i].level[mic];
    }
  }
  return fh_percentile(values, n, 0.5);
}

/// Where on the instrument two microphones can be compared: the bar that is loudest in a close one, its neighbours
/// taken with it, when the other is the ambient; the bar that both close ones hear alike, when they are the two
/// @return The note; 0 where there is none.
static int
best_note(const FhSoundcheck* const take, const FhReport* const gathered, const size_t first, const size_t second)
{
  const bool pair  = second < take->closes;
  int        best  = 0;
  double     least = pair ? FH_ALIKE : 1e9;
  for (size_t i = 0; i < gathered->count; ++i) {
    const double level = neighbours(gathered, i, first);
    const double cost  = pair ? fabs(level - neighbours(gathered, i, second)) : -level;
    best               = cost < least ? gathered->places[i].note : best;
    least              = fmin(least, cost);
  }
  return best;
}

bool
fh_stroke_spans(const FhSoundcheck* const take,
                const FhStrokes* const    strokes,
                const size_t              first,
                const size_t              second,
                FhSpans* const            spans)
{
  FhReport* const gathered = calloc(1, sizeof(*gathered));
  spans->count             = 0;
  spans->moving            = true;
  if (!gathered) {
    return false;
  }
  fh_gather_places(strokes, gathered);
  const int note = best_note(take, gathered, first, second);
  // The strokes nearest to that bar, but no fewer than it takes
  for (int reach = FH_REACH; note && reach < 128 && spans->count < FH_LEAST_STROKES; ++reach) {
    spans->count = 0;
    for (size_t i = 0; i < strokes->count && spans->count < FH_SPANS_MAX; ++i) {
      const FhStroke* const s = &strokes->list[i];
      if (abs(s->note - note) <= reach) {
        // The attack tells most about time: it goes where the window of the correlation is open
        const size_t lead               = (size_t)(0.13 * take->rate);
        const size_t end                = s->start + (size_t)(0.18 * take->rate);
        spans->list[spans->count].start = s->start > lead ? s->start - lead : 0;
        spans->list[spans->count++].end = end < take->frames ? end : take->frames;
      }
    }
  }
  free(gathered);
  return true;
}

/// Mean note of a microphone's sound, weighted by power: where it hears from
static double
centre_of(const FhReport* const report, const size_t mic)
{
  double sum = 0.0, weight = 0.0;
  for (size_t i = 0; i < report->count; ++i) {
    const double power = pow(10.0, report->places[i].level[mic] / 10.0);
    sum += power * report->places[i].note;
    weight += power;
  }
  return weight > 0.0 ? sum / weight : 0.0;
}

/// A bar that stands out in one microphone of two more than in the other
static void
blame_microphone(const FhSoundcheck* const take, const FhReport* const report, const size_t at, const size_t mic,
                 const double over, char* const text, const size_t size)
{
  const FhPlace* const place  = &report->places[at];
  const bool           higher = place->note > centre_of(report, mic);
  if (over > 0.0) {
    snprintf(text, size, "it is the %s, too near that bar: move it away from the bars, or slide it towards the %s end",
             fh_mic_name(take, mic), higher ? "low" : "high");
  } else {
    snprintf(text, size, "it is the %s: something covers that bar, or slide it towards the %s end",
             fh_mic_name(take, mic),
             higher ? "high" : "low");
  }
}

/// Levels of the bars, smoothed, less the straight line through them: high bars fade sooner and read lower, evenly over the range
/// @return How many; `level` holds as many as there are bars, of which the first is bar 2.
static size_t
smooth_levels(const FhReport* const report, double* const level)
{
  const size_t count  = report->count > 4 ? report->count - 4 : 0;
  const double middle = 0.5 * ((double)count - 1.0);
  double       slope = 0.0, square = 0.0;
  for (size_t i = 0; i < count; ++i) {
    double around[5];
    for (size_t k = 0; k < 5; ++k) {
      around[k] = report->places[i + k].total;
    }
    level[i] = fh_percentile(around, 5, 0.5);
    slope += ((double)i - middle) * level[i];
    square += ((double)i - middle) * ((double)i - middle);
  }
  for (size_t i = 0; i < count && square > 0.0; ++i) {
    level[i] -= ((double)i - middle) * slope / square;
  }
  return count;
}

/// Microphones so near that the bars below them drown the others. Of two, each is judged over its own half.
static void
judge_spread(const FhSoundcheck* const take, FhReport* const report)
{
  double       level[FH_PLACES_MAX];
  double       loud = -200.0, soft = 200.0;
  size_t       over  = 0;
  const size_t count = smooth_levels(report, level);
  for (size_t i = 0; i < count; ++i) {
    over = level[i] > loud ? i + 2 : over;
    loud = fmax(loud, level[i]);
    soft = fmin(soft, level[i]);
  }
  // One that is the louder for all, a hole and a bulge in the middle have remedies of their own
  const FhFindings* const f = &report->findings;
  if (loud - soft < FH_SPREAD || fh_found(f, "no_crossover") || fh_found(f, "crossover") || fh_found(f, "hole") ||
      fh_found(f, "bulge")) {
    return;
  }
  fh_forget(&report->findings, "bar_loud"); // which follow from it
  fh_forget(&report->findings, "bar_soft");
  const bool pair = take->closes == 2;
  char name[8];
  fh_find(&report->findings, true, "uneven", loud - soft, "dB",
          "The bars differ by %.0f dB, %s the loudest: the microphone%s too near. Raise %s until the instrument sounds "
          "even, about half its length away for one microphone, a quarter for two.",
          loud - soft, fh_note_name(report->places[over].note, name), pair ? "s are" : " is", pair ? "them" : "it");
}

static void
judge_bar(const FhSoundcheck* const take, FhReport* const report, const size_t at)
{
  FhPlace* const place = &report->places[at];
  place->expected      = neighbours(report, at, FH_MICS);
  const double over    = place->total - place->expected;
  const double first   = place->level[0] - neighbours(report, at, 0);
  const double second  = take->closes == 2 ? place->level[1] - neighbours(report, at, 1) : first;
  // A bar may be loud in one of two microphones only, and the other then hides a part of it
  const bool   in_one  = fmax(first, second) > FH_JUMPS + 1.0 && over > 0.5 * FH_JUMPS;
  const double end     = at < 2 || at + 2 >= report->count ? FH_AT_END : 0.0; // neighbours to one side only
  place->fault         = over > FH_JUMPS + end || over < -FH_VANISHES - end || in_one;
  if (!place->fault) {
    return;
  }
  char name[8];
  char advice[160];
  snprintf(advice, sizeof(advice), "%s",
           over > 0.0 ? "it is the bar or the stroke: damp its resonator, or ask for an even run once more"
                      : "it is the bar or the stroke: look at its cord and resonator, or ask for an even run once "
                        "more");
  if (take->closes == 2) {
    if (fabs(first - second) > FH_ONE_MIC) {
      blame_microphone(take, report, at, fabs(first) > fabs(second) ? 0 : 1, over, advice, sizeof(advice));
    } else {
      snprintf(advice + strlen(advice), sizeof(advice) - strlen(advice), "; both microphones hear it");
    }
  }
  fh_find(&report->findings, true, over > 0.0 ? "bar_loud" : "bar_soft", over, "dB",
          "Bar %s %s: %.1f dB %s its neighbours; %s.",
          fh_note_name(place->note, name), over > 0.0 ? "jumps out" : "vanishes", fabs(over),
          over > 0.0 ? "over" : "under",
          advice);
}

/// Mean level, as power, of the bars from..to
static double
mean_level(const FhReport* const report, const size_t from, const size_t to, const size_t mic)
{
  double sum = 0.0;
  for (size_t i = from; i < to; ++i) {
    sum += mic == FH_MICS ? report->places[i].expected : report->places[i].level[mic];
  }
  return sum / (double)(to - from);
}

/// Bar from which on the microphone of the high end is the louder, by a smoothed difference; 0: none
static int
find_crossover(const FhReport* const report, const size_t low)
{
  for (size_t i = 1; i < report->count; ++i) {
    const double before = neighbours(report, i - 1, low) - neighbours(report, i - 1, 1 - low);
    const double now    = neighbours(report, i, low) - neighbours(report, i, 1 - low);
    if (before > 0.0 && now <= 0.0) {
      return report->places[i].note;
    }
  }
  return 0;
}

static void
judge_crossover(const FhSoundcheck* const take, FhReport* const report, const size_t low)
{
  char      name[8];
  char      middle_name[8];
  const int middle  = report->places[report->count / 2].note;
  report->crossover = find_crossover(report, low);
  if (!report->crossover) {
    const double over   = mean_level(report, 0, report->count, 0) - mean_level(report, 0, report->count, 1);
    const size_t louder = over > 0.0 ? 0 : 1;
    fh_find(&report->findings, true, "no_crossover", fabs(over), "dB",
            "The %s is the louder for every bar, by %.1f dB on the whole: trim its gain, or move the other one nearer.",
            fh_mic_name(take, louder), fabs(over));
    return;
  }
  const int  off  = report->crossover - middle;
  const bool high = off > 0;
  if (abs(off) * 4 > report->places[report->count - 1].note - report->places[0].note) {
    fh_find(&report->findings, true, "crossover", report->crossover, "MIDI",
            "The microphones meet at %s, %d semitones %s the middle of the run (%s): slide the %s, the far one, "
            "towards it.",
            fh_note_name(report->crossover, name), abs(off), high ? "above" : "below",
            fh_note_name(middle, middle_name),
            fh_mic_name(take, high ? 1 - low : low));
  } else {
    fh_find(&report->findings, false, "crossover", report->crossover, "MIDI",
            "The microphones meet at %s: below it the %s is the louder, above it the %s.",
            fh_note_name(report->crossover, name),
            fh_mic_name(take, low), fh_mic_name(take, 1 - low));
  }
}

static void
judge_balance(const FhSoundcheck* const take, FhReport* const report, const size_t low)
{
  const size_t third  = report->count / 3;
  const double left   = mean_level(report, 0, third, FH_MICS);
  const double right  = mean_level(report, report->count - third, report->count, FH_MICS);
  const double middle = mean_level(report, third, report->count - third, FH_MICS);
  const double own    =
    mean_level(report, 0, third, low) - mean_level(report, report->count - third, report->count, 1 - low);
  if (report->crossover && fabs(own) > FH_UNBALANCED) { // without a crossover it has been said
    fh_find(&report->findings, true, "balance", own, "dB",
            "The low end is %.1f dB %s than the high end: move the %s away from the bars, or trim its gain.", fabs(own),
            own > 0.0 ? "louder" : "softer", fh_mic_name(take, own > 0.0 ? low : 1 - low));
  }
  const double over = middle - 0.5 * (left + right); // the ends' mean: levels may slope over the range
  if (over < -FH_DIP) {
    fh_find(&report->findings, true, "hole", over, "dB",
            "The middle is %.1f dB under the ends: slide both microphones towards the middle, or move both away from "
            "the bars.",
            -over);
  } else if (over > FH_DIP) {
    fh_find(&report->findings, true, "bulge", over, "dB",
            "The middle is %.1f dB over the ends: slide the microphones apart.", over);
  }
}

static void
summarise(FhReport* const report, const FhStrokes* const strokes)
{
  double loud = -200.0, soft = 200.0;
  char   names[2][8];
  for (size_t i = 0; i < strokes->count; ++i) {
    const FhStroke* const s = &strokes->list[i];
    const double cents      = 1200.0 * log2(s->hz / (440.0 * pow(2.0, (s->note - 69) / 12.0)));
    report->pitch_error     = fmax(report->pitch_error, fabs(cents));
  }
  for (size_t i = 0; i < report->count; ++i) {
    loud = fmax(loud, report->places[i].total);
    soft = fmin(soft, report->places[i].total);
  }
  fh_find(&report->findings, false, "run", (double)report->count, "bars",
          "%zu strokes on %zu bars from %s to %s, levels from %.0f to %.0f dBFS.", strokes->count, report->count,
          fh_note_name(report->places[0].note, names[0]),
          fh_note_name(report->places[report->count - 1].note, names[1]), soft,
          loud);
}

bool
fh_check_mallets(const FhSoundcheck* const take, const FhStrokes* const strokes, FhReport* const report)
{
  fh_gather_places(strokes, report);
  if (report->count < FH_ENOUGH_BARS) {
    fh_find(&report->findings, true, "too_few_bars", (double)report->count, "bars",
            "Only %zu bar%s heard: play every bar once, evenly, about two strokes a second.", report->count,
            report->count == 1 ? " was" : "s were");
    return true;
  }
  if (!fh_is_run(strokes)) {
    fh_find(&report->findings, true, "no_run", (double)strokes->count, "strokes",
            "%zu strokes were heard, but no run from bar to bar: play every bar once in order, evenly, nobody else "
            "playing.",
            strokes->count);
    report->count = 0;
    return true;
  }
  summarise(report, strokes);
  for (size_t i = 0; i < report->count; ++i) {
    judge_bar(take, report, i);
  }
  if (take->closes == 2) {
    const size_t low = centre_of(report, 0) <= centre_of(report, 1) ? 0 : 1;
    judge_crossover(take, report, low);
    judge_balance(take, report, low);
  }
  judge_spread(take, report);
  return true;
}
