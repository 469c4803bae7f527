// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/tuning_choices.h"

#include "command/measure/field_delay.h"
#include "command/measure/joined.h"
#include "command/tune/note_shape.h"

#include <math.h>
#include <string.h>

#define SAME 0.5 //< Difference of cost that is within the luck of one take, %
#define LEARN_SECONDS 15.0 // what the plugin learns from at most
#define RUNS 25 // about as many runs as a tuning takes, for the progress bar

/// Ambient delay, where the field's swells come later and delaying for it lets the gate open lower
static bool
tune_delay(FhTuning* const t)
{
  double       agreement = 0.0;
  const double lag       = fh_field_delay(t->take, &t->division->band, &agreement);
  if (lag < 0.7 || agreement < 0.3) {
    fh_tuning_choose(t, FH_AMBIENT_DELAY, 0.0, 0.1,
                     "the field's swells reach the close microphone %.1f ms %s (levels agree by %.2f)",
           fabs(lag), lag < 0.0 ? "earlier: nothing to delay" : "later: too little, or too unsure, to delay",
           agreement);
    return true;
  }
  float      trial[FH_CONTROL_COUNT];
  FhEvidence with;
  memcpy(trial, t->settings, sizeof(trial));
  trial[FH_AMBIENT_DELAY] = (float)fmin(lag, (double)fh_controls[FH_AMBIENT_DELAY].max);
  if (!fh_tuning_try(t, trial, &with, NULL)) {
    return false;
  }
  double gain = 0.0, spread = 0.0;
  fh_tuning_compare(t, &with, &gain, &spread);
  const bool serves = gain > fmax(spread, FH_TUNE_LEAST);
  fh_tuning_choose(t, FH_AMBIENT_DELAY, serves ? lag : 0.0, 0.1,
                   "the field's swells reach the close microphone %.1f ms later (levels agree by %.2f); delaying the ambient gains %.2f %%, give "
                   "or take %.2f",
                   lag, agreement, gain, spread);
  return true;
}

/// Key edges worth trying: the crossovers of the bands
static const struct {
  float low, high;
} keys[] = {
  {20, 20000}, {150, 20000}, {300, 20000}, {600, 20000}, {20, 9600}, {20, 4800}, {150, 4800}, {300, 9600}, {300, 4800},
  {600, 9600}, {20, 2400},   {1200, 20000},
};
#define KEYS (sizeof(keys) / sizeof(keys[0]))

/// What a key band is worth: the excess of soft notes in dB, less what it misses and lets through
static bool
try_key(FhTuning* const t, const float low, const float high, double* const worth)
{
  float      trial[FH_CONTROL_COUNT];
  FhEvidence e;
  memcpy(trial, t->settings, sizeof(trial));
  trial[FH_LOW_CUT]  = low;
  trial[FH_HIGH_CUT] = high;
  if (!fh_tuning_try(t, trial, &e, NULL)) {
    return false;
  }
  fh_progress_show(&t->progress, (double)++t->runs / RUNS);
  *worth = e.soft - 0.05 * e.missed - 0.5 * e.false_open;
  return true;
}

/// Key low and high cut, where part of the spectrum tells the soloist clearly better than the whole
static bool
tune_key(FhTuning* const t)
{
  float  low   = t->start[FH_LOW_CUT];
  float  high  = t->start[FH_HIGH_CUT];
  double start = 0.0;
  if (!try_key(t, low, high, &start)) {
    return false;
  }
  double best = start + 2.0; // less is within the luck of one take
  double most = start;
  for (size_t i = 0; i < KEYS; ++i) {
    double worth = 0.0;
    if (!try_key(t, keys[i].low, keys[i].high, &worth)) {
      return false;
    }
    most = fmax(most, worth);
    if (worth > best + 0.1) {
      best = worth;
      low  = keys[i].low;
      high = keys[i].high;
    }
  }
  if (low != t->start[FH_LOW_CUT] || high != t->start[FH_HIGH_CUT]) {
    fh_tuning_choose(t, FH_LOW_CUT, (double)low, 1.0,
                     "deciding by %g to %g Hz lifts soft notes %.1f dB higher over the field",
                     (double)low, (double)high, best - start);
  } else {
    fh_tuning_choose(t, FH_LOW_CUT, (double)low, 1.0,
                     "as it was: no other part of the spectrum tells the soloist much better (%.1f dB at most)",
                     most - start);
  }
  fh_tuning_choose(t, FH_HIGH_CUT, (double)high, 1.0, "see key low cut");
  return true;
}

/// Run the take with each value of one control. Of those that cost hardly more than the cheapest, the one nearest to
/// `wanted` is best.
/// @param found Receives what came of the best. @return its index, or -1 having complained.
static int
search(FhTuning* const      t,
       const FhControl      control,
       const float* const   values,
       const int            count,
       const double         wanted,
       FhEvidence* const    found)
{
  FhEvidence evidence[8];
  double     cheapest = HUGE_VAL;
  int        best     = -1;
  for (int i = 0; i < count; ++i) {
    float trial[FH_CONTROL_COUNT];
    memcpy(trial, t->settings, sizeof(trial));
    trial[control] = values[i];
    if (!fh_tuning_try(t, trial, &evidence[i], NULL)) {
      return -1;
    }
    cheapest = fmin(cheapest, fh_tuning_cost(&evidence[i]));
    fh_progress_show(&t->progress, (double)++t->runs / RUNS);
  }
  for (int i = 0; i < count; ++i) {
    if (fh_tuning_cost(&evidence[i]) <= cheapest + SAME &&
        (best < 0 || fabs((double)values[i] - wanted) < fabs((double)values[best] - wanted))) {
      best = i;
    }
  }
  *found = evidence[best];
  return best;
}

/// Margin and hysteresis by what the take shows: not under the default, as one take shows too little of the field to
/// know how seldom it would open the gate then; where it leaves them free, the default
/// Open margin and hysteresis
static bool
tune_margin(FhTuning* const t)
{
  static const float margins[]  = {1.0f, 1.5f, 2.0f}; // a quarter more of the odds at most, on the word of one take
  static const float hysteres[] = {0.5f, 1.0f, 2.0f, 3.0f};
  FhEvidence         e;
  if (!fh_tuning_try(t, t->settings, &e, NULL)) {
    return false;
  }
  const double reach = e.soft + (double)t->settings[FH_OPEN_MARGIN];
  const int    m     = search(t, FH_OPEN_MARGIN, margins, 3, (double)t->start[FH_OPEN_MARGIN], &e);
  if (m < 0) {
    return false;
  }
  fh_tuning_choose(t, FH_OPEN_MARGIN, (double)margins[m], 0.5,
         "nine tenths of the solo stand %.1f dB %s what the field passes once in a thousand; so it misses %.1f %% and "
         "opens wrongly %.1f %%",
         fabs(reach), reach < 0.0 ? "at most below" : "above", e.missed, e.false_open);
  const int h = search(t, FH_HYSTERESIS, hysteres, 4, (double)t->start[FH_HYSTERESIS], &e);
  if (h < 0) {
    return false;
  }
  fh_tuning_choose(t, FH_HYSTERESIS, (double)hysteres[h], 0.5,
                   "of 0.5 to 3 dB none does better on this take: it misses %.1f %% and opens wrongly %.1f %%",
                   e.missed,
                   e.false_open);
  return true;
}

/// Short gaps that open up within the soloist's stretches: their number and the length that nine tenths do not pass, ms
static size_t
measure_gaps(const FhTuning* const t, const FhRun* const run, double* const length)
{
  double gaps[1024];
  size_t n     = 0;
  double since = -1.0;
  for (size_t i = 1; i < run->frame_count && n < 1024; ++i) {
    const bool   open = fh_state_is_open(fh_frame_state(&run->frames[i]));
    const bool   was  = fh_state_is_open(fh_frame_state(&run->frames[i - 1]));
    const double at   = run->frames[i].seconds;
    if (was && !open) {
      since = at;
    } else if (!was && open && since >= 0.0) {
      const double gap = at - since + 0.05; // the meters hold the last state for that long
      if (gap < 0.6 && fh_stretches_hold(&t->division->solo, since, 0.0) &&
          fh_stretches_hold(&t->division->solo, at, 0.0)) {
        gaps[n++] = gap;
      }
    }
  }
  *length = n ? 1000.0 * fh_passed_by(gaps, n, 0.1) : 0.0;
  return n;
}

/// Hold from the gaps, as far as the field does not keep the gate open for it
static bool
tune_hold(FhTuning* const t)
{
  static const float holds[] = {80.0f, 120.0f, 160.0f, 200.0f, 300.0f};
  float              trial[FH_CONTROL_COUNT];
  FhEvidence         e;
  FhRun              run    = {0};
  double             length = 0.0;
  memcpy(trial, t->settings, sizeof(trial));
  trial[FH_HOLD] = 0.0f;
  if (!fh_tuning_try(t, trial, &e, &run)) {
    return false;
  }
  const size_t n = measure_gaps(t, &run, &length);
  fh_run_free(&run);
  const int best = search(t, FH_HOLD, holds, 5, (double)t->start[FH_HOLD], &e);
  if (best < 0) {
    return false;
  }
  if (n) {
    fh_tuning_choose(t, FH_HOLD, (double)holds[best], 10.0,
           "without it %zu short gaps open within the solo, nine tenths under %.0f ms; so it misses %.1f %%", n, length,
           e.missed);
  } else {
    fh_tuning_choose(t, FH_HOLD, (double)holds[best], 10.0, "no gaps open within the solo; so it misses %.1f %%",
                     e.missed);
  }
  return true;
}

/// Attack and release from how fast notes begin and end, duck depth from the separation
/// Attack and release from how fast notes begin and end, duck depth from the separation
static void
tune_shape(FhTuning* const t)
{
  const FhNoteShape shape = fh_note_shape(t->take, &t->division->solo);
  if (shape.begins) {
    const double start = (double)t->start[FH_ATTACK];
    fh_tuning_choose(t, FH_ATTACK, fmin(fmax(shape.rise / 20.0, 0.5), start), 0.1,
                     "notes rise within %.0f ms (median of %zu phrases): a twentieth of that, but no slower than %g ms",
                     shape.rise, shape.begins, start);
  }
  if (shape.ends) {
    const double range = (double)t->settings[FH_RANGE];
    fh_tuning_choose(t, FH_RELEASE, fmin(fmax(1000.0 * range / shape.fall, 40.0), 400.0), 5.0,
           "notes fall by %.0f dB a second (median of %zu phrases): the gate falls its %.0f dB with them", shape.fall,
           shape.ends, range);
  }
  fh_tuning_choose(t, FH_DUCK_DEPTH, fmin(fmax(40.0 - t->separation, 18.0), 30.0), 1.0,
         "with %.1f dB of separation that brings the field about 40 dB under the soloist", t->separation);
}

/// Try all that was chosen, then less and less of it, and keep what gains most, if that is more than its spread; else the
/// delay alone, which was tried by itself
static bool
keep_what_serves(FhTuning* const t)
{
  // In the order in which they are given up: the decision, the gate's shape, the key
  static const FhControl given_up[] = {FH_OPEN_MARGIN, FH_HYSTERESIS, FH_HOLD,    FH_ATTACK, FH_RELEASE,
                                       FH_DUCK_DEPTH,  FH_LOW_CUT,    FH_HIGH_CUT};
  static const size_t steps[] = {0, 3, 6, 8}; // how many of them
  enum { STEP_COUNT = sizeof(steps) / sizeof(steps[0]) };
  float      settings[STEP_COUNT][FH_CONTROL_COUNT];
  FhEvidence evidence[STEP_COUNT];
  double     gain[STEP_COUNT], spread[STEP_COUNT];
  size_t     best = STEP_COUNT - 1;
  for (size_t i = STEP_COUNT; i-- > 0;) {
    memcpy(settings[i], t->settings, sizeof(t->settings));
    for (size_t j = 0; j < steps[i]; ++j) {
      settings[i][given_up[j]] = t->start[given_up[j]];
    }
    if (!fh_tuning_try(t, settings[i], &evidence[i], NULL)) {
      return false;
    }
    fh_tuning_compare(t, &evidence[i], &gain[i], &spread[i]);
    best = gain[i] > fmax(spread[i], gain[best] + FH_TUNE_LEAST) ? i : best;
  }
  for (size_t j = 0; j < steps[best]; ++j) {
    fh_tuning_choose(t, given_up[j], (double)t->start[given_up[j]], 0.01,
                     "as it was: all that the figures suggest gains %.2f %% on this take, give or take %.2f", gain[0], spread[0]);
  }
  t->after  = evidence[best];
  t->gain   = gain[best];
  t->spread = spread[best];
  return true;
}

bool
fh_tune(FhTuning* const       t,
        FhHost* const         host,
        const FhTake* const   take,
        const FhLevels* const levels,
        const FhDivision* const division)
{
  *t = (FhTuning){.host = host, .take = take, .levels = levels, .division = division};
  memcpy(t->settings, host->v, sizeof(t->settings));
  memcpy(t->start, host->v, sizeof(t->start));
  t->separation = division->play - division->rest;
  if (!fh_take_join(&t->field, take, &division->band, LEARN_SECONDS + FH_TUNE_SETTLE) ||
      !fh_take_join(&t->soloist, take, &division->solo, LEARN_SECONDS + FH_TUNE_SETTLE)) {
    return false;
  }
  t->progress = fh_progress_start("tuning");
  bool ok     = fh_tuning_try(t, t->settings, &t->before, NULL) && tune_delay(t) && tune_key(t) &&
                tune_margin(t) &&
            tune_hold(t);
  if (ok) {
    tune_shape(t);
    ok = keep_what_serves(t) && fh_tuning_learn(t, t->settings);
  }
  fh_progress_end(&t->progress);
  return ok;
}
