// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "weather.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define VOICES 6

double
fh_power(const float* const x, const size_t from, const size_t to)
{
  double sum = 0.0;
  for (size_t n = from; n < to; ++n) {
    sum += (double)x[n] * (double)x[n];
  }
  return to > from ? sum / (double)(to - from) : 0.0;
}

static float
pole(const double hertz, const double rate)
{
  return (float)(1.0 - exp(-2.0 * PI * hertz / rate));
}

static void
set_power(float* const x, const size_t frames, const double power)
{
  const double is = fh_power(x, 0, frames);
  const float  g  = is > 0.0 ? (float)sqrt(power / is) : 0.0f;
  for (size_t n = 0; n < frames; ++n) {
    x[n] *= g;
  }
}

void
fh_make_wind(FhRandom r, const int gusts, const double rate, float* const to, const size_t frames)
{
  const float low   = pole(40.0, rate);
  const float high  = pole(250.0, rate);
  const float slow  = pole(3.0, rate);
  float       a     = 0.0f;
  float       b     = 0.0f;
  float       force = 0.0f;
  double      until = 0.0;
  float       aim   = gusts ? 0.0f : 1.0f;
  for (size_t n = 0; n < frames; ++n) {
    if (gusts && (double)n >= until) {
      aim   = aim > 0.05f ? 0.02f : (float)fh_random_in(&r, 0.6, 1.4);
      until = (double)n + fh_random_in(&r, 1.0, 3.0) * rate;
    }
    force += slow * (aim - force);
    a += low * (fh_random_noise(&r) - a);
    b += high * (a - b);
    to[n] = force * b;
  }
  set_power(to, frames, 1.0);
}

/// Noise in the speech range with the slow beat of many syllables
static void
make_murmur(FhRandom* const r, const double rate, float* const to, const size_t frames)
{
  const float low = pole(250.0, rate), high = pole(1200.0, rate), slow = pole(2.0, rate);
  float       a = 0.0f, b = 0.0f, c = 0.0f, beat = 0.0f;
  for (size_t n = 0; n < frames; ++n) {
    const float white = fh_random_noise(r);
    beat += slow * (fh_random_noise(r) * 60.0f - beat);
    a += high * (white - a);
    b += high * (a - b);
    c += low * (b - c);
    to[n] = (b - c) * (1.0f + 0.5f * beat / (1.0f + fabsf(beat)));
  }
}

bool
fh_add_crowd(FhRandom             r,
             const FhField* const field,
             const FhMic          mics[],
             const uint32_t       count,
             const double         rate,
             float* const         to[],
             const size_t         frames)
{
  float* heard[8] = {NULL};
  bool   ok       = count < 8;
  for (uint32_t m = 0; ok && m <= count; ++m) {
    ok = (heard[m] = (float*)calloc(frames, sizeof(float))) != NULL;
  }
  for (int v = 0; ok && v < VOICES; ++v) {
    const FhPoint at = {-25.0 + 10.0 * v, fh_random_in(&r, -30.0, -20.0), 4.0};
    make_murmur(&r, rate, heard[count], frames);
    for (uint32_t m = 0; m < count; ++m) {
      const double x = at.x - mics[m].at.x, y = at.y - mics[m].at.y, z = at.z - mics[m].at.z;
      fh_add_path(heard[count], heard[m], frames, rate, sqrt(x * x + y * y + z * z), fh_mic_gain(&mics[m], at), field);
    }
  }
  const double power = ok ? fh_power(heard[0], 0, frames) : 0.0;
  const float  gain  = power > 0.0 ? (float)(1.0 / sqrt(power)) : 0.0f;
  for (uint32_t m = 0; m <= count; ++m) {
    for (size_t n = 0; ok && m < count && n < frames; ++n) {
      to[m][n] += gain * heard[m][n];
    }
    free(heard[m]);
  }
  return ok;
}
