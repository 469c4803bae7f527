// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "truth_split.h"

#include "dsp/bands.h"

#include <math.h>
#include <stdlib.h>

enum { LANE_SOLO, LANE_PICKUP };

static void
split_close(FhTruth* const truth, const FhScene* const scene, FhBandEnergy* const energy, const uint32_t c, FhBands* const bands)
{
  float power[2][FH_BANDS] = {{0.0f}, {0.0f}};
  float move[FH_BANDS];
  fh_bands_init(bands, scene->rate);
  for (int b = 0; b < FH_BANDS; ++b) {
    move[b] = (float)(1.0 - exp(-1.0 / ((b < 2 ? 0.020 : 0.010) * scene->rate)));
  }
  for (size_t n = 0; n < truth->frames; ++n) {
    const size_t tick = n / truth->tick;
    const fh_v4  in   = {scene->solo[c][n], scene->pickup[c][n], 0.0f, 0.0f};
    fh_v8        out[FH_FOLDED];
    float        solo = 0.0f, pickup = 0.0f, ideal = 0.0f;
    fh_bands_split(bands, in, out);
    for (int b = 0; b < FH_BANDS; ++b) {
      const int   lane = b < FH_FOLDED ? 0 : FH_MICS;
      const float s    = out[b % FH_FOLDED][lane + LANE_SOLO];
      const float p    = out[b % FH_FOLDED][lane + LANE_PICKUP];
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
  FhBands* const bands = (FhBands*)aligned_alloc(64, (sizeof(FhBands) + 63) / 64 * 64);
  for (uint32_t c = 0; bands && c < truth->closes; ++c) {
    split_close(truth, scene, energy, c, bands);
  }
  free(bands);
}
