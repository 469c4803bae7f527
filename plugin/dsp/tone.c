// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/tone.h"

#include <string.h>

static const float periodic = 0.5f;  // of all power; noise over 100 products stays under 0.3
static const float turns    = -0.2f; // and between, as a wave does: what only creeps is no tone

bool
fh_tone_hop(FhTone* const tone, const int step, const float kept)
{
  for (int k = 0; k < FH_TONE_LAGS / 8; ++k) {
    fh_v8 alike = kept * tone->alike[k];
    for (int n = 0; n < FH_HOP_TICKS; n += step) {
      fh_v8 past;
      memcpy(&past, tone->sound + n + 8 * k, sizeof(past));
      alike = fh_v8_fma(fh_v8_set(tone->sound[n]), past, alike);
    }
    tone->alike[k] = alike;
  }
  memmove(tone->sound + FH_HOP_TICKS, tone->sound, FH_TONE_LAGS * sizeof(float));

  fh_v8 most  = tone->alike[1]; // less apart, any sound without much treble is alike
  fh_v8 least = fh_v8_min(tone->alike[0], most);
  for (int k = 2; k < FH_TONE_LAGS / 8; ++k) {
    most  = fh_v8_max(most, tone->alike[k]);
    least = fh_v8_min(least, tone->alike[k]);
  }
  float high = -1e9f, low = 1e9f;
  for (int lane = 0; lane < 8; ++lane) {
    high = fh_most(high, most[lane]);
    low  = fh_least(low, least[lane]);
  }
  const float power = tone->alike[0][0];
  return (high > periodic * power) & (low < turns * power) & (power > 1e-12f);
}
