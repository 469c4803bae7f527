// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "truth_split.h"

#include "../unit/plain_split.h"

#include <math.h>

enum { LANE_SOLO, LANE_PICKUP };

static void
split_close(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy, const uint32_t c, PlainSplit splits[2])
{
  float power[2][FH_BANDS] = {{0.0f}, {0.0f}};
  float move[FH_BANDS];
  plain_split_init(&splits[LANE_SOLO], scene->rate);
  plain_split_init(&splits[LANE_PICKUP], scene->rate);
  for (int b = 0; b < FH_BANDS; ++b) {
    move[b] = (float)(1.0 - exp(-1.0 / ((b < 2 ? 0.020 : 0.010) * scene->rate)));
  }
  for (size_t n = 0; n < truth->frames; ++n) {
    const size_t tick = n / truth->tick;
    double       out[2][FH_BANDS];
    float        solo = 0.0f, pickup = 0.0f, ideal = 0.0f;
    plain_split(&splits[LANE_SOLO], (double)scene->solo[c][n], out[LANE_SOLO]);
    plain_split(&splits[LANE_PICKUP], (double)scene->pickup[c][n], out[LANE_PICKUP]);
    for (int b = 0; b < FH_BANDS; ++b) {
      const float s = (float)out[LANE_SOLO][b];
      const float p = (float)out[LANE_PICKUP][b];
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
  PlainSplit splits[2];
  for (uint32_t c = 0; c < truth->closes; ++c) {
    split_close(truth, scene, energy, c, splits);
  }
}
