// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/guard.h"

#include <string.h>

static const float plain    = 15.85f; // 12 dB
static const float bands    = 3.0f;
static const float periodic = 0.5f;   // of all power; noise of 40 ms stays under 0.3
static const float turns    = -0.2f;  // and between, as a wave does: what only creeps is no tone
static const float kept     = 0.935f; // a hop: 40 ms
static const float late_s   = 0.8f;   // with the time the averages take, a second
static const float hold_s   = 0.3f;

/// Whether what the close microphones hear comes again after some time: its autocorrelation, with lags in lanes
static bool
comes_again(FhGuard* const g)
{
  for (int n = FH_HOP_TICKS - 1; n >= 0; --n) {
    const fh_v8 now = fh_v8_set(g->sound[n]);
    for (int k = 0; k < FH_GUARD_LAGS / 8; ++k) {
      fh_v8 past;
      memcpy(&past, g->sound + n + 8 * k, sizeof(past));
      g->alike[k] = fh_v8_fma(now, past, g->alike[k] * (n ? 1.0f : kept));
    }
  }
  memmove(g->sound + FH_HOP_TICKS, g->sound, FH_GUARD_LAGS * sizeof(float));

  fh_v8 most  = g->alike[1]; // less apart, any sound without much treble is alike
  fh_v8 least = fh_v8_min(g->alike[0], most);
  for (int k = 2; k < FH_GUARD_LAGS / 8; ++k) {
    most  = fh_v8_max(most, g->alike[k]);
    least = fh_v8_min(least, g->alike[k]);
  }
  float high = -1e9f, low = 1e9f;
  for (int lane = 0; lane < 8; ++lane) {
    high = fh_most(high, most[lane]);
    low  = fh_least(low, least[lane]);
  }
  const float power = g->alike[0][0];
  return (high > periodic * power) & (low < turns * power) & (power > 1e-12f);
}

void
fh_guard_hop(FhGuard* const g, const float hops_per_second, const bool open, const fh_v8 over)
{
  const float hop     = 1.0f / hops_per_second;
  const float stand   = fh_v8_sum(fh_v8_select(fh_v8_above(over, fh_v8_set(plain)), fh_v8_set(1.0f), fh_v8_set(0.0f)));
  const bool  again   = comes_again(g);
  const bool  soloist = again && stand >= bands;
  const bool  itself  = open && g->open_s <= 0.0f; // the decision heard
  const float shut    = soloist ? g->shut_s + hop : g->shut_s - 0.25f * hop;
  g->shut_s           = itself ? 0.0f : fh_least(fh_most(shut, 0.0f), late_s + 1.0f);
  g->open_s           = soloist && g->shut_s > late_s ? hold_s : fh_most(g->open_s - hop, 0.0f);
}
