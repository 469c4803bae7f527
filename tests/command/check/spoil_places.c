// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "spoil_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define SPEED 343.2 // m/s

static double
gain_of(const double db)
{
  return pow(10.0, db / 20.0);
}

static void
scale(float* const x, const size_t frames, const double gain)
{
  for (size_t i = 0; i < frames; ++i) {
    x[i] *= (float)gain;
  }
}

/// One pole: what is above `hertz` falls by 6 dB an octave
static void
low_pass(float* const x, const size_t frames, const double hertz, const double rate)
{
  const double pole = 1.0 - exp(-2.0 * PI * hertz / rate);
  double       low  = 0.0;
  for (size_t i = 0; i < frames; ++i) {
    low += pole * ((double)x[i] - low);
    x[i] = (float)low;
  }
}

static void
turn_away(FhSpoiling* const s, const double loss)
{
  for (size_t m = 0; m < s->closes; ++m) {
    low_pass(s->solo[m], s->frames, 1500.0, s->rate);
    scale(s->solo[m], s->frames, gain_of(-loss));
  }
}

/// Pressure gradient close to its source: the low end rises
static void
lift_lows(FhSpoiling* const s, const double lift)
{
  float* const low = malloc(s->frames * sizeof(float));
  for (size_t m = 0; low && m < s->closes; ++m) {
    memcpy(low, s->solo[m], s->frames * sizeof(float));
    low_pass(low, s->frames, 150.0, s->rate);
    for (size_t i = 0; i < s->frames; ++i) {
      s->solo[m][i] += (float)(gain_of(lift) - 1.0) * low[i];
    }
  }
  free(low);
}

/// The ambient microphone 40 cm from the soloist
static void
bring_ambient(FhSpoiling* const s, const double more)
{
  const size_t m  = s->closes;
  const double d  = s->rehearsal->ambient_metres - 0.4;
  const size_t by = (size_t)fmax(0.0, d / SPEED * s->rate);
  memmove(s->solo[m], s->solo[m] + by, (s->frames - by) * sizeof(float));
  memset(s->solo[m] + s->frames - by, 0, by * sizeof(float));
  scale(s->solo[m], s->frames, gain_of(more));
}

/// A loudspeaker gives the soloist back: late, without the lowest and the highest, as loud at one microphone as at another
static void
give_back(FhSpoiling* const s, const double level)
{
  float* const x    = malloc(s->frames * sizeof(float));
  float* const low  = malloc(s->frames * sizeof(float));
  const double late = fh_random_in(&s->random, 0.028, 0.055);
  if (x && low) {
    memcpy(x, s->solo[0], s->frames * sizeof(float));
    low_pass(x, s->frames, 5000.0, s->rate);
    memcpy(low, x, s->frames * sizeof(float));
    low_pass(low, s->frames, 200.0, s->rate);
  }
  for (size_t m = 0; x && low && m <= s->closes; ++m) {
    const size_t by   = (size_t)((late + 0.007 * (double)m) * s->rate);
    const double gain = gain_of(level) * (m == s->closes ? s->rehearsal->input[1] / s->rehearsal->input[0] : 1.0);
    for (size_t i = by; i < s->frames; ++i) {
      s->solo[m][i] += (float)gain * (x[i - by] - low[i - by]);
    }
  }
  free(x);
  free(low);
}

void
fh_spoil_places(FhSpoiling* const s, const FhSpoil what, const double amount)
{
  switch (what) {
  case FH_SPOIL_FAR:
    for (size_t m = 0; m < s->closes; ++m) {
      scale(s->solo[m], s->frames, gain_of(-amount));
    }
    break;
  case FH_SPOIL_AMBIENT_NEAR: bring_ambient(s, amount); break;
  case FH_SPOIL_OFF_AXIS: turn_away(s, amount); break;
  case FH_SPOIL_NEAR: lift_lows(s, amount); break;
  case FH_SPOIL_RETURN: give_back(s, amount); break;
  case FH_SPOIL_INVERTED: scale(s->solo[s->closes], s->frames, gain_of(amount)); break;
  case FH_SPOIL_SWAPPED: scale(s->solo[0], s->frames, gain_of(amount)); break;
  default: break;
  }
}
