// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "tuning.h"

#include "note_shape.h"
#include "progress.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LEARN_SECONDS 15.0 // what the plugin learns from at most
#define SETTLE 0.5         // s of a joined take run before learning
#define TAIL 0.9           // s after the soloist has stopped in which an open gate is no false opening
#define STEPS 22           // rough number of runs, for the progress bar

static int
by_value(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

/// Value passed by the given part of the values; reorders them
static double
passed_by(double* const values, const size_t count, const double part)
{
  if (!count) {
    return (double)NAN;
  }
  qsort(values, count, sizeof(double), by_value);
  return values[(size_t)((1.0 - part) * (double)(count - 1) + 0.5)];
}

/// Note a choice; the control takes the value, within its range and rounded to what a person would set
static void
choose(FhTuning* const t, const FhControl control, const double value, const double round_to, const char* const why, ...)
  __attribute__((format(printf, 5, 6)));

static void
choose(FhTuning* const t, const FhControl control, const double value, const double round_to, const char* const why, ...)
{
  const FhPortInfo* const info   = &fh_controls[control];
  FhChoice*               choice = NULL;
  for (size_t i = 0; i < t->count; ++i) {
    choice = t->choice[i].control == control ? &t->choice[i] : choice;
  }
  if (!choice) {
    choice = &t->choice[t->count++];
  }
  const double rounded = round(value / round_to) * round_to;
  choice->control      = control;
  choice->value        = fminf(fmaxf((float)rounded, info->min), info->max);
  t->settings[control] = choice->value;
  va_list args;
  va_start(args, why);
  vsnprintf(choice->why, sizeof(choice->why), why, args);
  va_end(args);
}

/// Set the host's inputs and let it learn field and soloist
static bool
learn(const FhTuning* const t, const float settings[FH_CONTROL_COUNT])
{
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    t->host->v[i] = fh_controls[i].flow == FH_INPUT ? settings[i] : t->host->v[i];
  }
  const FhStretch field   = {SETTLE, fh_take_seconds(&t->field)};
  const FhStretch soloist = {SETTLE, fh_take_seconds(&t->soloist)};
  return fh_take_learn(t->host, &t->field, FH_LEARN_AMBIENT, &field, "band") &&
         fh_take_learn(t->host, &t->soloist, FH_LEARN_SOLO, &soloist, "solo");
}

/// The soloist sounds in this frame: seen in the levels alone, whatever the settings
static bool
sounds(const FhTuning* const t, const double seconds)
{
  const size_t i = (size_t)(seconds * FH_LEVEL_RATE);
  return i < t->levels->count && fh_stretches_hold(&t->division->solo, seconds, 0.0) &&
         (double)t->levels->difference[i] > t->division->rest_top + 1.0;
}

void
fh_tuning_gather(const FhTuning* const t, const FhRun* const run, FhEvidence* const e)
{
  double* const over   = (double*)malloc((run->frame_count + 1) * sizeof(double));
  double* const band   = (double*)malloc((run->frame_count + 1) * sizeof(double));
  size_t        n      = 0;
  size_t        missed = 0;
  size_t        rest   = 0;
  size_t        wrong  = 0;
  for (size_t i = 0; over && band && i < run->frame_count; ++i) {
    const FhFrame* const f = &run->frames[i];
    const bool open        = fh_state_is_open(fh_frame_state(f));
    if (sounds(t, f->seconds)) {
      over[n++] = (double)(f->v[FH_EXCESS] - f->v[FH_OPEN_AT]);
      missed += !open;
    } else if (fh_stretches_hold(&t->division->band, f->seconds, TAIL)) {
      ++rest;
      wrong += open;
    }
  }
  e->open_at    = run->frame_count ? (double)run->frames[0].v[FH_OPEN_AT] : (double)NAN;
  e->soft       = passed_by(over, n, 0.9);
  e->softest    = passed_by(over, n, 0.98);
  e->missed     = n ? 100.0 * (double)missed / (double)n : 0.0;
  e->false_open = rest ? 100.0 * (double)wrong / (double)rest : 0.0;
  for (int k = 0; over && band && k < FH_BANDS; ++k) {
    size_t m = 0;
    for (size_t i = 0; i < run->frame_count; ++i) {
      if (sounds(t, run->frames[i].seconds)) {
        band[m++] = (double)run->frames[i].v[FH_BAND_EXCESS_1 + 2 * k];
      }
    }
    e->band_soft[k] = passed_by(band, m, 0.75);
  }
  free(over);
  free(band);
}

/// Learn and run with settings
static bool
try_settings(FhTuning* const t, const float settings[FH_CONTROL_COUNT], FhEvidence* const e, FhRun* const kept)
{
  FhRun run = {0};
  if (!learn(t, settings) || !fh_take_run(t->host, t->take, &run)) {
    return false;
  }
  fh_tuning_gather(t, &run, e);
  if (kept) {
    *kept = run;
  } else {
    fh_run_free(&run);
  }
  return true;
}

static bool
tune_delay(FhTuning* const t)
{
  double       agreement = 0.0;
  const double lag       = fh_field_delay(t->take, &t->division->band, &agreement);
  if (lag < 0.7 || agreement < 0.3) {
    choose(t, FH_AMBIENT_DELAY, 0.0, 0.1, "the field's swells reach the close microphone %.1f ms %s (levels agree by %.2f)",
           fabs(lag), lag < 0.0 ? "earlier: nothing to delay" : "later: too little, or too unsure, to delay", agreement);
    return true;
  }
  float      trial[FH_CONTROL_COUNT];
  FhEvidence with;
  memcpy(trial, t->settings, sizeof(trial));
  trial[FH_AMBIENT_DELAY] = (float)fmin(lag, (double)fh_controls[FH_AMBIENT_DELAY].max);
  if (!try_settings(t, trial, &with, NULL)) {
    return false;
  }
  const double gained = t->before.open_at - with.open_at;
  if (gained > 0.1) {
    choose(t, FH_AMBIENT_DELAY, lag, 0.1,
           "the field reaches the close microphone that much later (levels agree by %.2f); opens %.1f dB lower for it",
           agreement, gained);
  } else {
    choose(t, FH_AMBIENT_DELAY, 0.0, 0.1, "the field comes %.1f ms later, but delaying the ambient gains only %.1f dB", lag,
           gained);
  }
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

static bool
tune_key(FhTuning* const t, FhProgress* const progress)
{
  double whole = (double)NAN;
  double best  = -1e9;
  size_t which = 0;
  for (size_t i = 0; i < KEYS; ++i) {
    float      trial[FH_CONTROL_COUNT];
    FhEvidence e;
    memcpy(trial, t->settings, sizeof(trial));
    trial[FH_LOW_CUT]  = keys[i].low;
    trial[FH_HIGH_CUT] = keys[i].high;
    if (!try_settings(t, trial, &e, NULL)) {
      return false;
    }
    fh_progress_show(progress, (double)(3 + i) / STEPS);
    const double worth = e.soft - 0.05 * e.missed - 0.5 * e.false_open;
    whole              = i ? whole : worth;
    if (worth > best + 0.1) {
      best  = worth;
      which = i;
    }
  }
  const bool   narrowed = which && best > whole + 1.0; // less is within the luck of one take
  const float  low      = keys[narrowed ? which : 0].low;
  const float  high     = keys[narrowed ? which : 0].high;
  if (narrowed) {
    choose(t, FH_LOW_CUT, (double)low, 1.0, "deciding by %g to %g Hz lifts soft notes %.1f dB higher over the field",
           (double)low, (double)high, best - whole);
    choose(t, FH_HIGH_CUT, (double)high, 1.0, "see key low cut");
  } else {
    choose(t, FH_LOW_CUT, (double)low, 1.0, "no part of the spectrum tells the soloist better than the whole (%.1f dB at most)",
           fmax(0.0, best - whole));
    choose(t, FH_HIGH_CUT, (double)high, 1.0, "see key low cut");
  }
  return true;
}

/// Margin and hysteresis from how far soft notes stand over what the field passes once in a thousand
static bool
tune_margin(FhTuning* const t)
{
  FhEvidence e;
  if (!try_settings(t, t->settings, &e, NULL)) {
    return false;
  }
  const double reach   = e.soft + (double)t->settings[FH_OPEN_MARGIN];
  const double deepest = e.softest + (double)t->settings[FH_OPEN_MARGIN];
  const double margin  = fmin(fmax(reach / 3.0, 1.0), 6.0);
  choose(t, FH_OPEN_MARGIN, margin, 0.5, "nine tenths of the solo stand %.1f dB above what the field passes once in a "
         "thousand; a third of that", reach);
  const double hysteresis = fmin(fmax(margin - deepest, 2.0), 6.0);
  choose(t, FH_HYSTERESIS, hysteresis, 0.5, "98 %% of the sounding time stay above %.1f dB, %s", deepest,
         deepest >= margin ? "over the margin already" : "down to there the gate stays open");
  return true;
}

/// Hold from the gaps that open up within the soloist's stretches
static bool
tune_hold(FhTuning* const t)
{
  float      trial[FH_CONTROL_COUNT];
  FhEvidence e;
  FhRun      run = {0};
  memcpy(trial, t->settings, sizeof(trial));
  trial[FH_HOLD] = 0.0f;
  if (!try_settings(t, trial, &e, &run)) {
    return false;
  }
  double gaps[1024];
  size_t n     = 0;
  double since = -1.0;
  for (size_t i = 1; i < run.frame_count && n < 1024; ++i) {
    const bool open = fh_state_is_open(fh_frame_state(&run.frames[i]));
    const bool was  = fh_state_is_open(fh_frame_state(&run.frames[i - 1]));
    const double at = run.frames[i].seconds;
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
  fh_run_free(&run);
  const double bridge = n ? 1000.0 * passed_by(gaps, n, 0.1) : 0.0;
  choose(t, FH_HOLD, fmin(fmax(bridge + 20.0, 100.0), 400.0), 10.0,
         n ? "%zu short gaps within the solo, nine tenths of them under %.0f ms" : "%zu short gaps within the solo (%.0f ms)",
         n, bridge);
  return true;
}

/// Attack and release from how fast notes begin and end, duck depth from the separation
static void
tune_shape(FhTuning* const t)
{
  const FhNoteShape shape = fh_note_shape(t->take, &t->division->solo);
  if (shape.begins) {
    choose(t, FH_ATTACK, fmin(fmax(shape.rise / 20.0, 0.5), 2.0), 0.1,
           "notes rise within %.0f ms (median of %zu phrases): a twentieth of that", shape.rise, shape.begins);
  }
  if (shape.ends) {
    const double range = (double)t->settings[FH_RANGE];
    choose(t, FH_RELEASE, fmin(fmax(1000.0 * range / shape.fall, 40.0), 400.0), 5.0,
           "notes fall by %.0f dB a second (median of %zu phrases): the gate falls its %.0f dB with them", shape.fall,
           shape.ends, range);
  }
  choose(t, FH_DUCK_DEPTH, fmin(fmax(34.0 - t->separation, 12.0), 30.0), 1.0,
         "with %.1f dB of separation that brings the field about 34 dB under the soloist", t->separation);
}

/// How bad settings are on this take, %; an opening by the field weighs twice a missed sound
static double
cost(const FhEvidence* const e)
{
  return e->missed + 2.0 * e->false_open;
}

/// Try all that was chosen, then less and less of it, and keep the most that serves this take as well as any
static bool
keep_what_serves(FhTuning* const t)
{
  // In the order in which they are given up: the decision, the gate's shape, the key
  static const FhControl given_up[] = {FH_OPEN_MARGIN, FH_HYSTERESIS, FH_HOLD,    FH_ATTACK, FH_RELEASE,
                                       FH_DUCK_DEPTH,  FH_LOW_CUT,    FH_HIGH_CUT, FH_AMBIENT_DELAY};
  static const size_t steps[] = {0, 3, 6, 9}; // how many of them
  enum { STEP_COUNT = sizeof(steps) / sizeof(steps[0]) };
  float      settings[STEP_COUNT][FH_CONTROL_COUNT];
  FhEvidence evidence[STEP_COUNT];
  size_t     best = 0;
  for (size_t i = 0; i < STEP_COUNT; ++i) {
    memcpy(settings[i], t->settings, sizeof(t->settings));
    for (size_t j = 0; j < steps[i]; ++j) {
      settings[i][given_up[j]] = t->start[given_up[j]];
    }
    if (!try_settings(t, settings[i], &evidence[i], NULL)) {
      return false;
    }
    best = cost(&evidence[i]) < cost(&evidence[best]) - 0.3 ? i : best;
  }
  for (size_t j = 0; j < steps[best]; ++j) {
    choose(t, given_up[j], (double)t->start[given_up[j]], 0.01,
           "as it was: what the figures suggest misses %.1f %% and opens wrongly %.1f %%, this %.1f and %.1f %%",
           evidence[0].missed, evidence[0].false_open, evidence[best].missed, evidence[best].false_open);
  }
  t->after = evidence[best];
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
  if (!fh_take_join(&t->field, take, &division->band, LEARN_SECONDS + SETTLE) ||
      !fh_take_join(&t->soloist, take, &division->solo, LEARN_SECONDS + SETTLE)) {
    return false;
  }
  FhProgress progress = fh_progress_start("tuning");
  bool       ok       = try_settings(t, t->settings, &t->before, NULL) && tune_delay(t);
  fh_progress_show(&progress, 2.0 / STEPS);
  ok = ok && tune_key(t, &progress) && tune_margin(t) && tune_hold(t);
  if (ok) {
    tune_shape(t);
    ok = keep_what_serves(t) && learn(t, t->settings); // anew: while running, tracking has moved what was learnt
  }
  fh_progress_end(&progress);
  return ok;
}

void
fh_tuning_free(FhTuning* const t)
{
  fh_take_free(&t->field);
  fh_take_free(&t->soloist);
}
