// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "pa.h"

#include "stage.h"
#include "weather.h"

#include <math.h>
#include <stdlib.h>

#define RETURN_DB -4.0

bool
fh_pa_make(FhPa* const pa, const FhScene* const scene)
{
  static const FhPoint speakers[] = {{-8.0, -5.0, 3.0}, {8.0, -5.0, 3.0}};
  const uint32_t       ambient    = scene->mics - 1;
  const size_t         from       = (size_t)(scene->learn.to * scene->rate);
  double               reach[FH_MAX_MICS] = {0.0};
  FhStage              stage;
  fh_stage_set(&stage, &scene->request);
  *pa = (FhPa){.mics = scene->mics, .length = (size_t)(0.2 * scene->rate), .pole = (float)(1.0 - exp(-2.0 * 3.14159265358979 * 3000.0 / scene->rate))};
  for (uint32_t m = 0; m < scene->mics; ++m) {
    double nearest = 1e9;
    for (int s = 0; s < 2; ++s) {
      const double x = speakers[s].x - stage.mics[m].at.x, y = speakers[s].y - stage.mics[m].at.y, z = speakers[s].z - stage.mics[m].at.z;
      const double r = sqrt(x * x + y * y + z * z);
      nearest        = fmin(nearest, r);
      reach[m] += fh_mic_gain(&stage.mics[m], speakers[s]) / r;
    }
    pa->delay[m] = (size_t)(nearest / fh_speed_of_sound(stage.field.celsius) * scene->rate);
  }
  const double solo   = fh_power(scene->solo[0], from, scene->frames);
  const double pickup = fh_power(scene->pickup[ambient], from, scene->frames);
  const double there  = pow(10.0, RETURN_DB / 20.0) * sqrt(pickup / fmax(solo, 1e-12)) / scene->closes;
  for (uint32_t m = 0; m < scene->mics; ++m) {
    const double input = m < ambient ? scene->input_gain[0] / scene->input_gain[1] : 1.0;
    pa->gain[m]        = (float)(there * reach[m] / reach[ambient] * input);
  }
  pa->past = (float*)calloc(pa->length, sizeof(float));
  return pa->past != NULL;
}

void
fh_pa_free(FhPa* const pa)
{
  free(pa->past);
  pa->past = NULL;
}

void
fh_pa_add(const FhPa* const pa, const uint32_t mic, float* const to, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    to[i] += pa->gain[mic] * pa->past[(pa->at + i + pa->length - pa->delay[mic]) % pa->length];
  }
}

void
fh_pa_play(FhPa* const pa, const float* const out[], const uint32_t outs, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    float sum = 0.0f;
    for (uint32_t c = 0; c < outs; ++c) {
      sum += out[c][i];
    }
    pa->low += pa->pole * (sum - pa->low);
    pa->past[pa->at] = pa->low;
    pa->at           = (pa->at + 1) % pa->length;
  }
}

size_t
fh_pa_longest_block(const FhPa* const pa)
{
  size_t shortest = pa->length;
  for (uint32_t m = 0; m < pa->mics; ++m) {
    shortest = pa->delay[m] < shortest ? pa->delay[m] : shortest;
  }
  return shortest;
}
