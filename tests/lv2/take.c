// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "take.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define PI 3.14159265358979323846

uint32_t
fh_random(uint32_t* const seed)
{
  uint32_t x = *seed;
  x ^= x << 13;
  x ^= x >> 17;
  x ^= x << 5;
  *seed = x;
  return x;
}

float
fh_random_sample(uint32_t* const seed)
{
  return (float)fh_random(seed) / 2147483648.0f - 1.0f;
}

float*
fh_samples(const uint32_t frames)
{
  float* const samples = (float*)calloc(frames ? frames : 1u, sizeof(float));
  if (!samples) {
    abort();
  }
  return samples;
}

/// The soloist at time `t` in seconds: -14 dB peak with 5 ms ramps
static float
solo(const double t)
{
  const double in_second = t - floor(t);
  const double ramp = fmin(1.0, fmax(0.0, fmin((in_second - 0.4) / 0.005, (0.8 - in_second) / 0.005)));
  double       sum = 0.0;
  for (int partial = 1; ramp > 0.0 && partial <= 8; ++partial) {
    sum += sin(2.0 * PI * 440.0 * partial * t) / partial;
  }
  return (float)(0.1 * ramp * sum);
}

static FhTake
make(const double rate, const double seconds, uint32_t seed, const bool soloist)
{
  const uint32_t frames = (uint32_t)(rate * seconds);
  const uint32_t delay = (uint32_t)(rate * 0.001);
  FhTake         take = {frames, {fh_samples(frames), fh_samples(frames)}, fh_samples(frames)};
  float* const   field = fh_samples(frames);

  float last = 0.0f;
  for (uint32_t i = 0; i < frames; ++i) {
    last += 0.3f * (fh_random_sample(&seed) - last);
    field[i] = 0.3f * last + 0.02f * fh_random_sample(&seed);
    take.ambient[i] = field[i] + 0.001f * fh_random_sample(&seed);
  }
  for (uint32_t i = 0; i < frames; ++i) {
    const float pickup = i < delay ? 0.0f : 0.25f * field[i - delay];
    const float played = soloist ? solo((double)i / rate) : 0.0f;
    take.close[0][i] = played + pickup + 0.001f * fh_random_sample(&seed);
    take.close[1][i] = 0.7f * played + pickup + 0.001f * fh_random_sample(&seed);
  }

  free(field);
  return take;
}

FhTake
fh_take_make(const double rate, const double seconds, const uint32_t seed)
{
  return make(rate, seconds, seed, true);
}

FhTake
fh_take_field(const double rate, const double seconds, const uint32_t seed)
{
  return make(rate, seconds, seed, false);
}

void
fh_take_free(FhTake* const take)
{
  free(take->close[0]);
  free(take->close[1]);
  free(take->ambient);
}
