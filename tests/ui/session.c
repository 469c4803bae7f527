// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "session.h"

#include <math.h>
#include <stdbool.h>

void
session_rest(FhFrame* const frames, const size_t n)
{
  for (size_t i = 0; i < n; ++i) {
    frames[i].seconds = (double)i / SESSION_RATE;
    for (int p = 0; p < FH_CONTROL_COUNT; ++p) {
      frames[i].v[p] = fh_controls[p].def;
    }
  }
}

void
session_steady(FhFrame* const frames, const size_t n, const float close, const float pickup, const float open_at)
{
  session_rest(frames, n);
  for (size_t i = 0; i < n; ++i) {
    frames[i].v[FH_CLOSE_LEVEL]  = close;
    frames[i].v[FH_PICKUP_LEVEL] = pickup;
    frames[i].v[FH_OPEN_AT]      = open_at;
    frames[i].v[FH_EXCESS]       = close - pickup;
  }
}

static float
noise(const size_t i)
{
  unsigned x = (unsigned)i * 2654435761u;
  x ^= x >> 15;
  x *= 2246822519u;
  x ^= x >> 13;
  return (float)(x & 0xffff) / 32768.0f - 1.0f;
}

void
session_fill(FhFrame* const frames, const size_t n)
{
  session_rest(frames, n);
  float gate = -40.0f;
  float held = 0.0f;
  for (size_t i = 0; i < n; ++i) {
    float* const v      = frames[i].v;
    const double t      = frames[i].seconds;
    const double phrase = fmod(t + 1.0, 4.0);
    const bool   plays  = phrase > 1.2 && phrase < 3.0;
    const float  field  = -42.0f + 9.0f * (float)sin(0.9 * t) + 1.5f * noise(i);
    const float  solo   = plays ? -20.0f - 10.0f * (float)fabs(phrase - 2.0) + 2.0f * noise(i + 7777) : -110.0f;
    const float  pickup = field + 1.0f * noise(i + 99);
    v[FH_AMBIENT_LEVEL] = field + 14.0f;
    v[FH_PICKUP_LEVEL]  = pickup;
    v[FH_CLOSE_LEVEL]   = 10.0f * log10f(powf(10.0f, field / 10.0f) + powf(10.0f, solo / 10.0f));
    v[FH_CLOSE_LEVEL_1] = v[FH_CLOSE_LEVEL] + 1.8f; // of a pair, the right one plays softer
    v[FH_CLOSE_LEVEL_2] = v[FH_CLOSE_LEVEL] - 3.1f;
    v[FH_EXCESS]        = v[FH_CLOSE_LEVEL] - pickup;
    v[FH_OPEN_AT]       = 6.5f;
    const bool above    = v[FH_EXCESS] > v[FH_OPEN_AT];
    held                = above ? 0.15f : held - 1.0f / (float)SESSION_RATE;
    v[FH_STATE]         = above ? FH_STATE_OPEN : held > 0.0f ? FH_STATE_HOLDING : FH_STATE_CLOSED;
    gate                = above || held > 0.0f ? 0.0f : fmaxf(gate - 9.0f, -40.0f);
    v[FH_GATE_GAIN]     = gate;
    v[FH_DUCK_GAIN]     = above ? -fmaxf(0.0f, 10.0f - 0.6f * v[FH_EXCESS]) : -12.0f;
    v[FH_SEPARATION]    = 17.5f;
    v[FH_LEARNT]        = 100.0f;
    v[FH_KNOWLEDGE]     = FH_KNOWLEDGE_LEARNT;
    v[FH_LEARNT_AGO]    = 300.0f + (float)t;
    for (int b = 0; b < FH_BANDS; ++b) {
      const float shape              = plays ? 22.0f - 3.0f * fabsf((float)b - 3.5f) + 2.0f * noise(i * 8 + (size_t)b) : noise(i + (size_t)b);
      v[FH_BAND_EXCESS_1 + 2 * b] = shape;
      v[FH_BAND_GAIN_1 + 2 * b]   = -fmaxf(0.0f, 18.0f - shape);
    }
  }
}
