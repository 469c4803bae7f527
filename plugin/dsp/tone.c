// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/tone.h"

#include <string.h>

_Static_assert(FH_HOP_TICKS == 8, "a hop is moved at once");

/// @param step Known when it is compiled, for the loops to be unrolled
static inline void
add_products(FhTone* const tone, const int step, const float kept)
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
}

/// Whether any lane of `x` is over `than`
static inline bool
any_above(const fh_v8 x, const float than)
{
  return fh_v8_sum_above(x, fh_v8_set(than), fh_v8_set(1.0f)) > 0.5f;
}

bool
fh_tone_hop(FhTone* const tone, const bool closely, const float kept)
{
  if (closely) {
    add_products(tone, 2, kept);
  } else {
    add_products(tone, 4, kept);
  }
  for (int n = FH_TONE_LAGS - 8; n >= 0; n -= 8) {
    memcpy(tone->sound + n + FH_HOP_TICKS, tone->sound + n, 8 * sizeof(float));
  }
  fh_v8 most  = tone->alike[1]; // less apart, any sound without much treble is alike
  fh_v8 least = fh_v8_min(tone->alike[0], most);
  for (int k = 2; k < FH_TONE_LAGS / 8; ++k) {
    most  = fh_v8_max(most, tone->alike[k]);
    least = fh_v8_min(least, tone->alike[k]);
  }
  const float power = tone->alike[0][0];
  return any_above(most, fh_tone_periodic * power) & any_above(-least, -fh_tone_turns * power) & (power > FH_QUIET);
}
