// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/guard.h"

void
fh_guard_hop(FhGuard* const g, const float hops_per_second, const bool open, const fh_v8 over)
{
  g->again            = fh_tone_hop(&g->tone, true, fh_guard_kept);
  const float hop     = 1.0f / hops_per_second;
  const float stand   = fh_v8_sum_above(over, fh_v8_set(fh_guard_over), fh_v8_set(1.0f));
  const bool  soloist = g->again && stand >= fh_guard_bands;
  const bool  itself  = open && g->open_s <= 0.0f; // the decision heard
  const float shut    = soloist ? g->shut_s + hop : g->shut_s - fh_guard_back * hop;
  g->shut_s           = itself ? 0.0f : fh_least(fh_most(shut, 0.0f), fh_guard_late_s + fh_guard_more_s);
  g->open_s           = soloist && g->shut_s > fh_guard_late_s ? fh_guard_hold_s : fh_most(g->open_s - hop, 0.0f);
}
