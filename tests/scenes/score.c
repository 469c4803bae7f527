// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "score.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define OPEN 0.501187f  // -6 dB
#define READY 0.707946f // -3 dB

double
fh_si_sdr(const float* const estimate[], const float* const reference[], const uint32_t channels, const size_t from, const size_t to)
{
  double es = 0.0, ss = 0.0, ee = 0.0;
  for (uint32_t c = 0; c < channels; ++c) {
    for (size_t n = from; n < to; ++n) {
      const double e = (double)estimate[c][n], s = (double)reference[c][n];
      es += e * s;
      ss += s * s;
      ee += e * e;
    }
  }
  const double target = ss > 0.0 ? es * es / ss : 0.0;
  const double rest   = ee - target;
  return 10.0 * log10(fmax(target, 1e-12 * ee + 1e-30) / fmax(rest, 1e-12 * ee + 1e-30));
}

static float
gate_at(const FhThrough* const through, const size_t frame)
{
  return through->gate[frame / through->step];
}

static void
score_shares(FhScore* const score, const FhTruth* const truth, const FhThrough* const through)
{
  size_t active = 0, missed = 0, resting = 0, wrong = 0, openings = 0;
  bool   was = gate_at(through, truth->first * truth->tick) > OPEN;
  for (size_t t = truth->first; t < truth->ticks; ++t) {
    const bool open = gate_at(through, t * truth->tick + truth->tick / 2) > OPEN;
    active += truth->activity[t] == FH_ACTIVE;
    missed += truth->activity[t] == FH_ACTIVE && !open;
    resting += truth->activity[t] == FH_RESTING;
    wrong += truth->activity[t] == FH_RESTING && open;
    openings += truth->activity[t] == FH_RESTING && open && !was;
    was = open;
  }
  score->active_s                         = (double)active / 1e3;
  score->rest_s                           = (double)resting / 1e3;
  score->value[FH_MEASURE_MISSED]     = active ? 100.0 * (double)missed / (double)active : (double)NAN;
  score->value[FH_MEASURE_FALSE_OPEN] = resting ? 100.0 * (double)wrong / (double)resting : (double)NAN;
  score->value[FH_MEASURE_FALSE_RATE] = resting ? (double)openings / (score->rest_s / 60.0) : (double)NAN;
}

static double
count_chatter(const FhTruth* const truth, const FhThrough* const through)
{
  const size_t shortest = 50 * truth->tick / through->step;
  size_t       count = 0, since = 0;
  bool         open  = false;
  for (size_t i = truth->first * truth->tick / through->step; i < truth->frames / through->step; ++i) {
    const bool now = through->gate[i] > OPEN;
    if (now && !open) {
      since = i;
    } else if (!now && open && since > 0 && i - since < shortest) {
      ++count;
    }
    open = now;
  }
  return (double)count;
}

static int
by_size(const void* const a, const void* const b)
{
  const double x = *(const double*)a, y = *(const double*)b;
  return (x > y) - (x < y);
}

static void
score_onsets(FhScore* const score, const FhTruth* const truth, const FhThrough* const through)
{
  const size_t first = 50 * truth->tick;
  const size_t most  = 500 * truth->tick;
  double       sum   = 0.0;
  score->onset_count = truth->onset_count;
  for (size_t i = 0; i < truth->onset_count; ++i) {
    const size_t at = truth->onsets[i];
    size_t       n  = at;
    while (n < truth->frames && n - at < most && gate_at(through, n) < READY) {
      ++n;
    }
    score->onset_ms[i] = (double)(n - at) / (double)truth->tick;
    double with = 0.0, without = 1e-30;
    for (uint32_t c = 0; c < truth->closes; ++c) {
      for (n = at; n < truth->frames && n < at + first; ++n) {
        const double e = (double)truth->solo[c][n] * (double)truth->solo[c][n];
        with += e * (double)gate_at(through, n) * (double)gate_at(through, n);
        without += e;
      }
    }
    sum += fmax(10.0 * log10(fmax(with / without, 1e-12)), -90.0);
  }
  if (truth->onset_count) {
    double sorted[FH_MAX_ONSETS];
    memcpy(sorted, score->onset_ms, truth->onset_count * sizeof(double));
    qsort(sorted, truth->onset_count, sizeof(double), by_size);
    score->value[FH_MEASURE_ONSET_MS] = 0.5 * (sorted[truth->onset_count / 2] + sorted[(truth->onset_count - 1) / 2]);
    score->value[FH_MEASURE_ONSET_WORST] = sorted[truth->onset_count - 1];
    score->value[FH_MEASURE_ONSET_DB]    = sum / (double)truth->onset_count;
  }
}

static double
tail_cut(const FhTruth* const truth, const FhThrough* const through)
{
  double sum = 0.0;
  for (size_t i = 0; i < truth->end_count; ++i) {
    size_t t = truth->ends[i];
    while (t > truth->first && truth->ends[i] - t < 500 && gate_at(through, t * truth->tick) <= OPEN) {
      --t;
    }
    sum += (double)(truth->ends[i] - t);
  }
  return truth->end_count ? sum / (double)truth->end_count : (double)NAN;
}

static void
score_powers(FhScore* const score, const FhTruth* const truth, const FhThrough* const through)
{
  double pickup = 0.0, left = 0.0, cross = 0.0, solo = 0.0;
  for (uint32_t c = 0; c < truth->closes; ++c) {
    for (size_t n = truth->first * truth->tick; n < truth->frames; ++n) {
      const unsigned char now = truth->activity[n / truth->tick];
      const double        o   = (double)through->out[c][n];
      if (now == FH_RESTING) {
        pickup += (double)truth->pickup[c][n] * (double)truth->pickup[c][n];
        left += o * o;
      } else if (now == FH_ACTIVE) {
        cross += o * (double)truth->solo[c][n];
        solo += (double)truth->solo[c][n] * (double)truth->solo[c][n];
      }
    }
  }
  score->value[FH_MEASURE_REMOVED] = pickup > 0.0 ? 10.0 * log10(pickup / fmax(left, 1e-12 * pickup)) : (double)NAN;
  score->value[FH_MEASURE_LEVEL]   = solo > 0.0 ? 20.0 * log10(fmax(cross / solo, 1e-6)) : (double)NAN;
}

static void
score_distortion(FhScore* const score, const FhTruth* const truth, const FhThrough* const through)
{
  const size_t from                = truth->first * truth->tick;
  float*       take[FH_MAX_CLOSES] = {NULL};
  const float* solo[FH_MAX_CLOSES] = {NULL};
  const float* out[FH_MAX_CLOSES]  = {NULL};
  const float* best[FH_MAX_CLOSES] = {NULL};
  const float* in[FH_MAX_CLOSES]   = {NULL};
  bool         ok                  = score->active_s > 0.0;
  for (uint32_t c = 0; c < truth->closes; ++c) {
    in[c] = take[c] = (float*)malloc(truth->frames * sizeof(float));
    ok              = ok && take[c];
    for (size_t n = 0; ok && n < truth->frames; ++n) {
      take[c][n] = truth->solo[c][n] + truth->pickup[c][n];
    }
    solo[c] = truth->solo[c];
    out[c]  = through->out[c];
    best[c] = truth->ideal[c];
  }
  if (ok) {
    score->value[FH_MEASURE_BEFORE]    = fh_si_sdr(in, solo, truth->closes, from, truth->frames);
    score->value[FH_MEASURE_AFTER]     = fh_si_sdr(out, solo, truth->closes, from, truth->frames);
    score->value[FH_MEASURE_IDEAL_REF] = fh_si_sdr(best, solo, truth->closes, from, truth->frames);
    score->value[FH_MEASURE_GAINED]    = score->value[FH_MEASURE_AFTER] - score->value[FH_MEASURE_BEFORE];
  }
  for (uint32_t c = 0; c < truth->closes; ++c) {
    free(take[c]);
  }
}

void
fh_score_make(FhScore* const score, const FhTruth* const truth, const FhThrough* const through)
{
  for (int m = 0; m < FH_MEASURE_COUNT; ++m) {
    score->value[m] = (double)NAN;
  }
  score->fault_s = through->fault_s;
  score_shares(score, truth, through);
  score->value[FH_MEASURE_CHATTER] = count_chatter(truth, through);
  score_onsets(score, truth, through);
  score->value[FH_MEASURE_TAIL] = tail_cut(truth, through);
  score_powers(score, truth, through);
  score_distortion(score, truth, through);
}
