// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "truth_split.h"

#include "../dsp/plain_split.h"

#include <math.h>
#include <string.h>

enum { LANE_SOLO, LANE_PICKUP };

/// Solo and pickup side by side: plain_split() for both at once, to the same bits, in half the time
typedef double Pair __attribute__((vector_size(2 * sizeof(double))));

typedef struct {
  Pair b0, b1, b2, a1, a2, s1, s2;
} PairSection;

typedef struct {
  PairSection section[PLAIN_SECTIONS][FH_BANDS];
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
      split->section[i][b]        = (PairSection){both(s->b0), both(s->b1), both(s->b2), both(s->a1), both(s->a2), both(0.0), both(0.0)};
    }
  }
}

/// Split frames in place, which hold the same in every band: section by section, as no band has to wait for another then
static void
pair_split(PairSplit* const split, Pair frames[][FH_BANDS], const size_t count)
{
  for (int i = 0; i < PLAIN_SECTIONS; ++i) {
    PairSection s[FH_BANDS]; // a copy, which nothing else points to
    memcpy(s, split->section[i], sizeof(s));
    for (size_t n = 0; n < count; ++n) {
      for (int b = 0; b < FH_BANDS; ++b) {
        const Pair v = frames[n][b];
        const Pair y = s[b].b0 * v + s[b].s1;
        s[b].s1      = s[b].b1 * v - s[b].a1 * y + s[b].s2;
        s[b].s2      = s[b].b2 * v - s[b].a2 * y;
        frames[n][b] = y;
      }
    }
    memcpy(split->section[i], s, sizeof(s));
  }
}

/// Averages of the bands' powers
typedef struct {
  float move[FH_BANDS];
  float solo[FH_BANDS], pickup[FH_BANDS];
} Powers;

/// Take in a frame of a tick. @return Solo and pickup with ideal gains
static float
take_frame(Powers* const power, FhBandEnergy* const energy, const size_t tick, const Pair bands[FH_BANDS], float* const solo,
           float* const pickup)
{
  float ideal = 0.0f;
  for (int b = 0; b < FH_BANDS; ++b) {
    const float s = (float)bands[b][LANE_SOLO];
    const float p = (float)bands[b][LANE_PICKUP];
    power->solo[b] += power->move[b] * (s * s - power->solo[b]);
    power->pickup[b] += power->move[b] * (p * p - power->pickup[b]);
    energy->solo[b][tick] += s * s;
    energy->pickup[b][tick] += p * p;
    *solo += s;
    *pickup += p;
    ideal += (s + p) * power->solo[b] / (power->solo[b] + power->pickup[b] + 1e-20f);
  }
  return ideal;
}

static void
split_close(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy, const uint32_t c)
{
  enum { MOST = 256 }; // frames of a tick, at up to 256 kHz
  Pair      frames[MOST][FH_BANDS];
  PairSplit   split;
  Powers      power = {{0.0f}, {0.0f}, {0.0f}};
  pair_split_init(&split, scene->rate);
  for (int b = 0; b < FH_BANDS; ++b) {
    power.move[b] = (float)(1.0 - exp(-1.0 / ((b < 2 ? 0.020 : 0.010) * scene->rate)));
  }
  for (size_t tick = 0; tick < truth->ticks; ++tick) {
    const size_t at = tick * truth->tick;
    for (size_t n = 0; n < truth->tick; ++n) {
      const Pair x = {(double)scene->solo[c][at + n], (double)scene->pickup[c][at + n]};
      for (int b = 0; b < FH_BANDS; ++b) {
        frames[n][b] = x;
      }
    }
    pair_split(&split, frames, truth->tick);
    for (size_t n = 0; n < truth->tick; ++n) {
      float solo = 0.0f, pickup = 0.0f;
      truth->ideal[c][at + n]  = take_frame(&power, energy, tick, frames[n], &solo, &pickup);
      truth->solo[c][at + n]   = solo;
      truth->pickup[c][at + n] = pickup;
    }
  }
}

void
fh_truth_split(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy)
{
  for (uint32_t c = 0; c < truth->closes; ++c) {
    split_close(truth, scene, energy, c);
  }
}
