// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "truth.h"

#include "truth_split.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WITHIN 1e-3 // 30 dB
#define REST_AFTER 300
#define REST_BEFORE 20
#define PAUSE 200

/// Sum of ten ticks round a tick
static double
around(const float* const energy, const size_t tick, const size_t ticks)
{
  const size_t from = tick < 5 ? 0 : tick - 5;
  const size_t to   = tick + 5 < ticks ? tick + 5 : ticks;
  double       sum  = 0.0;
  for (size_t t = from; t < to; ++t) {
    sum += (double)energy[t];
  }
  return sum;
}

static int
by_size(const void* const a, const void* const b)
{
  const double x = *(const double*)a, y = *(const double*)b;
  return (x > y) - (x < y);
}

/// 95th percentile of the 10 ms energies within the phrases
static double
percentile(const FhScene* const scene, const double* const solo, const size_t ticks)
{
  double* const values = (double*)calloc(ticks + 1, sizeof(double));
  size_t        count  = 0;
  for (size_t i = 0; values && i < scene->phrase_count; ++i) {
    for (size_t t = (size_t)(scene->phrases[i].from * 1e3); t < ticks && (double)t < scene->phrases[i].to * 1e3; ++t) {
      values[count++] = solo[t];
    }
  }
  double found = 0.0;
  if (count) {
    qsort(values, count, sizeof(double), by_size);
    found = values[(size_t)(0.95 * (double)(count - 1))];
  }
  free(values);
  return found;
}

static void
mark_active(FhTruth* const truth, const FhBandEnergy* const energy, const double* const solo, const double least)
{
  for (size_t t = truth->first; t < truth->ticks; ++t) {
    bool above = false;
    for (int b = 0; b < FH_BANDS && least > 0.0 && solo[t] >= least; ++b) {
      above = above || around(energy->solo[b], t, truth->ticks) >= around(energy->pickup[b], t, truth->ticks);
    }
    truth->activity[t] = above ? FH_ACTIVE : FH_BETWEEN;
  }
}

static void
mark_resting(FhTruth* const truth, const double* const solo, const double* const pickup)
{
  size_t next = truth->ticks + REST_BEFORE + 1; // next active tick, going backward
  for (size_t t = truth->ticks; t-- > truth->first;) {
    if (truth->activity[t] == FH_ACTIVE) {
      next = t;
    } else if (next - t > REST_BEFORE && solo[t] * 10.0 <= pickup[t]) {
      truth->activity[t] = FH_RESTING;
    }
  }
  size_t since = REST_AFTER + 1;
  for (size_t t = truth->first; t < truth->ticks; ++t) {
    since = truth->activity[t] == FH_ACTIVE ? 0 : since + 1;
    if (truth->activity[t] == FH_RESTING && since <= REST_AFTER) {
      truth->activity[t] = FH_BETWEEN;
    }
  }
}

/// Mean square over `count` frames up to and with `at`, over the close microphones
static double
recent(const float* const x[], const uint32_t closes, const size_t at, const size_t count)
{
  double sum = 0.0;
  for (uint32_t c = 0; c < closes; ++c) {
    for (size_t n = at + 1 > count ? at + 1 - count : 0; n <= at; ++n) {
      sum += (double)x[c][n] * (double)x[c][n];
    }
  }
  return sum / (double)count;
}

static bool
find_onset(const FhTruth* const truth, const size_t run, size_t* const onset)
{
  enum { STEP = 4, ROOM = 2048 };
  const float* const solo[]   = {truth->solo[0], truth->solo[1]};
  const float* const pickup[] = {truth->pickup[0], truth->pickup[1]};
  const size_t       from     = (run > 20 ? run - 20 : 0) * truth->tick;
  const size_t       step     = STEP * truth->tick / 48 + (truth->tick < 48);
  const size_t       ahead    = 50 * truth->tick / step;
  double             power[2 * ROOM];
  size_t             count = 0;
  for (size_t n = from; n < truth->frames && count < 2 * ROOM && n < from + 120 * truth->tick; n += step) {
    power[count++] = recent(solo, truth->closes, n, 2 * truth->tick);
  }
  for (size_t i = 0; i < count && i * step < 70 * truth->tick; ++i) {
    double top = 0.0;
    for (size_t k = i; k < count && k <= i + ahead; ++k) {
      top = power[k] > top ? power[k] : top;
    }
    if (power[i] * 100.0 >= top && power[i] >= recent(pickup, truth->closes, from + i * step, 20 * truth->tick)) {
      *onset = from + i * step;
      return true;
    }
  }
  return false;
}

static void
find_edges(FhTruth* const truth)
{
  size_t since = PAUSE;
  for (size_t t = truth->first; t < truth->ticks; ++t) {
    const bool active = truth->activity[t] == FH_ACTIVE;
    if (active && since >= PAUSE && truth->onset_count < FH_MAX_ONSETS) {
      truth->onset_count += find_onset(truth, t, &truth->onsets[truth->onset_count]);
    }
    since = active ? 0 : since + 1;
    if (since == PAUSE && t >= truth->first + PAUSE && truth->end_count < FH_MAX_ONSETS) {
      truth->ends[truth->end_count++] = t - PAUSE;
    }
  }
}

static bool
allocate(FhTruth* const truth, FhBandEnergy* const energy)
{
  bool ok = (truth->activity = (unsigned char*)calloc(truth->ticks, 1)) != NULL;
  ok      = (truth->solo_db = (float*)calloc(truth->ticks, sizeof(float))) && ok;
  ok      = (truth->pickup_db = (float*)calloc(truth->ticks, sizeof(float))) && ok;
  for (uint32_t c = 0; c < truth->closes; ++c) {
    ok = (truth->solo[c] = (float*)calloc(truth->frames, sizeof(float))) && ok;
    ok = (truth->pickup[c] = (float*)calloc(truth->frames, sizeof(float))) && ok;
    ok = (truth->ideal[c] = (float*)calloc(truth->frames, sizeof(float))) && ok;
  }
  for (int b = 0; b < FH_BANDS; ++b) {
    ok = (energy->solo[b] = (float*)calloc(truth->ticks, sizeof(float))) && ok;
    ok = (energy->pickup[b] = (float*)calloc(truth->ticks, sizeof(float))) && ok;
  }
  return ok;
}

bool
fh_truth_make(FhTruth* const truth, const FhScene* const scene)
{
  FhBandEnergy energy;
  memset(truth, 0, sizeof(*truth));
  truth->tick   = (size_t)(scene->rate / 1000.0);
  truth->ticks  = scene->frames / truth->tick;
  truth->first  = (size_t)(scene->learn.to * scene->rate) / truth->tick;
  truth->frames = truth->ticks * truth->tick;
  truth->closes = scene->closes;

  double* const solo   = (double*)calloc(truth->ticks, sizeof(double));
  double* const pickup = (double*)calloc(truth->ticks, sizeof(double));
  const bool    ok     = allocate(truth, &energy) && solo && pickup;
  if (ok) {
    fh_truth_split(truth, scene, &energy);
    for (size_t t = 0; t < truth->ticks; ++t) {
      for (int b = 0; b < FH_BANDS; ++b) {
        solo[t] += around(energy.solo[b], t, truth->ticks);
        pickup[t] += around(energy.pickup[b], t, truth->ticks);
      }
      const double frames = 10.0 * (double)truth->tick * truth->closes;
      truth->solo_db[t]   = (float)(10.0 * log10(solo[t] / frames + 1e-20));
      truth->pickup_db[t] = (float)(10.0 * log10(pickup[t] / frames + 1e-20));
    }
    mark_active(truth, &energy, solo, WITHIN * percentile(scene, solo, truth->ticks));
    mark_resting(truth, solo, pickup);
    find_edges(truth);
  }
  for (int b = 0; b < FH_BANDS; ++b) {
    free(energy.solo[b]);
    free(energy.pickup[b]);
  }
  free(solo);
  free(pickup);
  return ok;
}

void
fh_truth_free(FhTruth* const truth)
{
  for (uint32_t c = 0; c < FH_MAX_CLOSES; ++c) {
    free(truth->solo[c]);
    free(truth->pickup[c]);
    free(truth->ideal[c]);
  }
  free(truth->activity);
  free(truth->solo_db);
  free(truth->pickup_db);
}
