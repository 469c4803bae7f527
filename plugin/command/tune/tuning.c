// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/tuning.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TAIL 0.1 // s at the start of a band stretch, which begins 0.25 s after the soloist, that do not count

static int
by_value(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

double
fh_passed_by(double* const values, const size_t count, const double part)
{
  if (!count) {
    return (double)NAN;
  }
  qsort(values, count, sizeof(double), by_value);
  return values[(size_t)((1.0 - part) * (double)(count - 1) + 0.5)];
}

void
fh_tuning_choose(FhTuning* const t, const FhControl control, const double value, const double round_to,
                 const char* const why, ...)
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

/// Was the last thing learnt with the like of these settings? It depends on three of them and on nothing else that is tuned
static bool
knows(const FhTuning* const t, const float settings[FH_CONTROL_COUNT])
{
  return t->learnt && settings[FH_AMBIENT_DELAY] == t->learnt_with[FH_AMBIENT_DELAY] &&
         settings[FH_LOW_CUT] == t->learnt_with[FH_LOW_CUT] && settings[FH_HIGH_CUT] == t->learnt_with[FH_HIGH_CUT];
}

bool
fh_tuning_learn(FhTuning* const t, const float settings[FH_CONTROL_COUNT])
{
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    t->host->v[i] = fh_controls[i].flow == FH_INPUT ? settings[i] : t->host->v[i];
  }
  if (knows(t, settings)) {
    fh_host_restore(t->host, t->learnt);
    return true;
  }
  const FhStretch field   = {FH_TUNE_SETTLE, fh_take_seconds(&t->field)};
  const FhStretch soloist = {FH_TUNE_SETTLE, fh_take_seconds(&t->soloist)};
  if (!fh_take_learn(t->host, &t->field, FH_LEARN_AMBIENT, &field, "band") ||
      !fh_take_learn(t->host, &t->soloist, FH_LEARN_SOLO, &soloist, "solo")) {
    return false;
  }
  lilv_state_free(t->learnt);
  t->learnt      = fh_host_state(t->host);
  t->tried_count = 0;
  memcpy(t->learnt_with, settings, sizeof(t->learnt_with));
  return true;
}

/// The soloist sounds in this frame: seen in the levels alone, whatever the settings
static bool
sounds(const FhTuning* const t, const double seconds)
{
  const size_t i = (size_t)(seconds * FH_LEVEL_RATE);
  return i < t->levels->count && fh_stretches_hold(&t->division->solo, seconds, 0.0) &&
         (double)t->levels->difference[i] > t->division->rest_top + 1.0;
}

/// Frames of a run in which the soloist sounds, and in which the band plays alone
typedef struct {
  size_t solo, band;
} Counts;

static Counts
count_frames(const FhTuning* const t, const FhRun* const run)
{
  Counts c = {0, 0};
  for (size_t i = 0; i < run->frame_count; ++i) {
    const bool solo = sounds(t, run->frames[i].seconds);
    c.solo += solo;
    c.band += !solo && fh_stretches_hold(&t->division->band, run->frames[i].seconds, TAIL);
  }
  return c;
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
  size_t        at[2]  = {0, 0}; // missed and wrong in the first half
  const Counts  all    = count_frames(t, run);
  for (size_t i = 0; over && band && i < run->frame_count; ++i) {
    const FhFrame* const f = &run->frames[i];
    const bool open        = fh_state_is_open(fh_frame_state(f));
    if (sounds(t, f->seconds)) {
      over[n++] = (double)(f->v[FH_EXCESS] - f->v[FH_OPEN_AT]);
      missed += !open;
      at[0] += !open && 2 * n <= all.solo;
    } else if (fh_stretches_hold(&t->division->band, f->seconds, TAIL)) {
      ++rest;
      wrong += open;
      at[1] += open && 2 * rest <= all.band;
    }
  }
  for (int half = 0; half < 2; ++half) {
    e->half[half] = 200.0 * (double)(half ? missed - at[0] : at[0]) / fmax((double)n, 1.0) +
                    400.0 * (double)(half ? wrong - at[1] : at[1]) / fmax((double)rest, 1.0);
  }
  e->soft       = fh_passed_by(over, n, 0.9);
  e->softest    = fh_passed_by(over, n, 0.98);
  e->missed     = n ? 100.0 * (double)missed / (double)n : 0.0;
  e->false_open = rest ? 100.0 * (double)wrong / (double)rest : 0.0;
  for (int k = 0; over && band && k < FH_BANDS; ++k) {
    size_t m = 0;
    for (size_t i = 0; i < run->frame_count; ++i) {
      if (sounds(t, run->frames[i].seconds)) {
        band[m++] = (double)run->frames[i].v[FH_BAND_EXCESS_1 + 2 * k];
      }
    }
    e->band_soft[k] = fh_passed_by(band, m, 0.75);
  }
  free(over);
  free(band);
}

bool
fh_tuning_try(FhTuning* const t, const float settings[FH_CONTROL_COUNT], FhEvidence* const e, FhRun* const kept)
{
  for (size_t i = 0; i < t->tried_count && !kept; ++i) {
    if (!memcmp(t->tried[i].settings, settings, sizeof(t->tried[i].settings))) {
      *e = t->tried[i].evidence;
      return true;
    }
  }
  const bool known = knows(t, settings);
  FhRun      run   = {0};
  if (!fh_tuning_learn(t, settings) || !fh_take_run(t->host, t->take, &run)) {
    return false;
  }
  fh_tuning_gather(t, &run, e);
  if (known && t->tried_count < FH_TRIED) {
    FhTried* const tried = &t->tried[t->tried_count++];
    tried->evidence      = *e;
    memcpy(tried->settings, settings, sizeof(tried->settings));
  }
  if (kept) {
    *kept = run;
  } else {
    fh_run_free(&run);
  }
  return true;
}

double
fh_tuning_cost(const FhEvidence* const e)
{
  return e->missed + 2.0 * e->false_open;
}

void
fh_tuning_compare(const FhTuning* const t, const FhEvidence* const e, double* const gain, double* const spread)
{
  const double halves[] = {t->before.half[0] - e->half[0], t->before.half[1] - e->half[1]};
  *gain                 = 0.5 * (halves[0] + halves[1]);
  *spread               = 0.5 * fabs(halves[0] - halves[1]);
}

bool
fh_tuning_changes(const FhTuning* const t)
{
  return memcmp(t->settings, t->start, sizeof(t->start)) != 0;
}

void
fh_tuning_free(FhTuning* const t)
{
  fh_take_free(&t->field);
  fh_take_free(&t->soloist);
  lilv_state_free(t->learnt);
}
