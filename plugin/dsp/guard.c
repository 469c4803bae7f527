// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/guard.h"

static const float plain    = 15.85f; // 12 dB
static const float bands    = 3.0f;
static const float kept     = 0.955f; // a hop: 60 ms
static const float late_s   = 0.8f;   // with the time the averages take, a second
static const float hold_s   = 0.3f;

void
fh_guard_hop(FhGuard* const g, const float hops_per_second, const bool open, const fh_v8 over)
{
  g->again            = fh_tone_hop(&g->tone, true, kept);
  const float hop     = 1.0f / hops_per_second;
  const float stand   = fh_v8_sum_above(over, fh_v8_set(plain), fh_v8_set(1.0f));
  const bool  soloist = g->again && stand >= bands;
  const bool  itself  = open && g->open_s <= 0.0f; // the decision heard
  const float shut    = soloist ? g->shut_s + hop : g->shut_s - 0.25f * hop;
  g->shut_s           = itself ? 0.0f : fh_least(fh_most(shut, 0.0f), late_s + 1.0f);
  g->open_s           = soloist && g->shut_s > late_s ? hold_s : fh_most(g->open_s - hop, 0.0f);
}
