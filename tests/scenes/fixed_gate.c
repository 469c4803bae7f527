// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "fixed_gate.h"

#include <math.h>
#include <stdlib.h>

#define ATTACK_MS 1.0

/// Sums of each tick, so that one try costs one pass over the ticks
typedef struct {
  size_t  ticks, first;
  double* power; ///< Take
  double* cross; ///< Take times solo
  double* solo;
} Ticks;

static bool
make_ticks(Ticks* const k, const FhTruth* const truth)
{
  k->ticks = truth->ticks;
  k->first = truth->first;
  k->power = (double*)calloc(truth->ticks, sizeof(double));
  k->cross = (double*)calloc(truth->ticks, sizeof(double));
  k->solo  = (double*)calloc(truth->ticks, sizeof(double));
  for (uint32_t c = 0; k->power && k->cross && k->solo && c < truth->closes; ++c) {
    for (size_t n = 0; n < truth->frames; ++n) {
      const size_t t = n / truth->tick;
      const double s = (double)truth->solo[c][n];
      const double x = s + (double)truth->pickup[c][n];
      k->power[t] += x * x;
      k->cross[t] += x * s;
      k->solo[t] += s * s;
    }
  }
  return k->power && k->cross && k->solo;
}

static void
free_ticks(Ticks* const k)
{
  free(k->power);
  free(k->cross);
  free(k->solo);
}

static double
db_to_power(const double db)
{
  return pow(10.0, db / 10.0);
}

static double
try_gate(const Ticks* const k, const FhFixedGate* const g, const double frames)
{
  const double open    = db_to_power(g->threshold) * frames;
  const double shut    = open * db_to_power(-g->hysteresis);
  const double floor   = sqrt(db_to_power(-g->range));
  const double average = exp(-1.0 / g->average);
  const double attack  = exp(-1.0 / ATTACK_MS);
  const double release = exp(-1.0 / g->release);
  double       level = 0.0, gain = floor, held = 1e9, es = 0.0, ee = 0.0, ss = 0.0;
  bool         is_open = false;
  for (size_t t = 0; t < k->ticks; ++t) {
    level = average * level + (1.0 - average) * k->power[t];
    if (level >= (is_open ? shut : open)) {
      is_open = true;
      held    = 0.0;
    } else if (++held > g->hold) {
      is_open = false;
    }
    const double aim = is_open ? 1.0 : floor;
    gain             = aim + (aim > gain ? attack : release) * (gain - aim);
    if (t >= k->first) {
      es += gain * k->cross[t];
      ee += gain * gain * k->power[t];
      ss += k->solo[t];
    }
  }
  const double target = ss > 0.0 ? es * es / ss : 0.0;
  return 10.0 * log10(fmax(target, 1e-30) / fmax(ee - target, 1e-12 * ee + 1e-30));
}

/// Try all values of one setting, the others standing still. @return whether one was better
static bool
improve(const Ticks* const k,
        FhFixedGate* const gate,
        double* const      setting,
        const double*      values,
        const size_t       count,
        const double       frames,
        double* const      best)
{
  double keep   = *setting;
  bool   better = false;
  for (size_t i = 0; i < count; ++i) {
    *setting           = values[i];
    const double score = try_gate(k, gate, frames);
    if (score > *best + 1e-6) {
      *best  = score;
      keep   = values[i];
      better = true;
    }
  }
  *setting = keep;
  return better;
}

static double
search(const Ticks* const k, FhFixedGate* const g, const double frames)
{
  static const double hysteresis[] = {0, 2, 4, 6, 9, 12};
  static const double hold[]       = {0, 10, 20, 50, 100, 150, 250, 400};
  static const double release[]    = {5, 10, 20, 40, 80, 150, 300};
  static const double range[]      = {3, 6, 9, 12, 15, 20, 30, 40, 60};
  static const double average[]    = {1, 2, 5, 10, 20, 40};
  double              thresholds[71];
  for (int i = 0; i < 71; ++i) {
    thresholds[i] = -70.0 + i;
  }
  double best = -1e9;
  for (int round = 0; round < 8; ++round) {
    bool better = improve(k, g, &g->threshold, thresholds, 71, frames, &best);
    better      = improve(k, g, &g->hysteresis, hysteresis, 6, frames, &best) || better;
    better      = improve(k, g, &g->hold, hold, 8, frames, &best) || better;
    better      = improve(k, g, &g->release, release, 7, frames, &best) || better;
    better      = improve(k, g, &g->range, range, 9, frames, &best) || better;
    better      = improve(k, g, &g->average, average, 6, frames, &best) || better;
    if (!better) {
      break;
    }
  }
  return best;
}

double
fh_fixed_gate_best(const FhTruth* const truth, FhFixedGate* const best)
{
  static const FhFixedGate starts[] = {{0, 3, 100, 80, 40, 10}, {0, 0, 20, 20, 12, 5}};
  const double             frames   = (double)truth->tick * truth->closes;
  double                   top      = -1e9;
  Ticks                    k;
  if (make_ticks(&k, truth)) {
    for (size_t i = 0; i < sizeof(starts) / sizeof(starts[0]); ++i) {
      FhFixedGate  gate  = starts[i];
      const double score = search(&k, &gate, frames);
      if (score > top) {
        top = score;
        if (best) {
          *best = gate;
        }
      }
    }
  }
  free_ticks(&k);
  return top;
}

double
fh_fixed_gate_score(const FhTruth* const truth, const FhFixedGate* const gate)
{
  Ticks        k;
  const double score = make_ticks(&k, truth) ? try_gate(&k, gate, (double)truth->tick * truth->closes) : -1e9;
  free_ticks(&k);
  return score;
}
