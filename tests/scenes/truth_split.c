// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "truth_split.h"

#include "../dsp/plain_split.h"

#include <math.h>

enum { LANE_SOLO, LANE_PICKUP };

/// Solo and pickup side by side: plain_split() for both at once, to the same bits, in half the time
typedef double Pair __attribute__((vector_size(2 * sizeof(double))));

typedef struct {
  Pair b0, b1, b2, a1, a2, s1, s2;
} PairSection;

typedef struct {
  PairSection section[FH_BANDS][PLAIN_SECTIONS];
} PairSplit;

static Pair
both(const double x)
{
  return (Pair){x, x};
}

static void
pair_split_init(PairSplit* const split, const double rate)
{
  PlainSplit plain;
  plain_split_init(&plain, rate);
  for (int b = 0; b < FH_BANDS; ++b) {
    for (int i = 0; i < PLAIN_SECTIONS; ++i) {
      const PlainSection* const s = &plain.section[b][i];
      split->section[b][i]        = (PairSection){both(s->b0), both(s->b1), both(s->b2), both(s->a1), both(s->a2), both(0.0), both(0.0)};
    }
  }
}

static void
pair_split(PairSplit* const split, const Pair x, Pair out[FH_BANDS])
{
  for (int b = 0; b < FH_BANDS; ++b) {
    Pair v = x;
    for (int i = 0; i < PLAIN_SECTIONS; ++i) {
      PairSection* const s = &split->section[b][i];
      const Pair         y = s->b0 * v + s->s1;
      s->s1                = s->b1 * v - s->a1 * y + s->s2;
      s->s2                = s->b2 * v - s->a2 * y;
      v                    = y;
    }
    out[b] = v;
  }
}

static void
split_close(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy, const uint32_t c)
{
  PairSplit split;
  float power[2][FH_BANDS] = {{0.0f}, {0.0f}};
  float move[FH_BANDS];
  pair_split_init(&split, scene->rate);
  for (int b = 0; b < FH_BANDS; ++b) {
    move[b] = (float)(1.0 - exp(-1.0 / ((b < 2 ? 0.020 : 0.010) * scene->rate)));
  }
  for (size_t n = 0; n < truth->frames; ++n) {
    const size_t tick = n / truth->tick;
    Pair         out[FH_BANDS];
    float        solo = 0.0f, pickup = 0.0f, ideal = 0.0f;
    pair_split(&split, (Pair){(double)scene->solo[c][n], (double)scene->pickup[c][n]}, out);
    for (int b = 0; b < FH_BANDS; ++b) {
      const float s = (float)out[b][LANE_SOLO];
      const float p = (float)out[b][LANE_PICKUP];
      power[LANE_SOLO][b] += move[b] * (s * s - power[LANE_SOLO][b]);
      power[LANE_PICKUP][b] += move[b] * (p * p - power[LANE_PICKUP][b]);
      energy->solo[b][tick] += s * s;
      energy->pickup[b][tick] += p * p;
      solo += s;
      pickup += p;
      ideal += (s + p) * power[LANE_SOLO][b] / (power[LANE_SOLO][b] + power[LANE_PICKUP][b] + 1e-20f);
    }
    truth->solo[c][n]   = solo;
    truth->pickup[c][n] = pickup;
    truth->ideal[c][n]  = ideal;
  }
}

void
fh_truth_split(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy)
{
  for (uint32_t c = 0; c < truth->closes; ++c) {
    split_close(truth, scene, energy, c);
  }
}
