// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/decision.h"

void
fh_gate_start(FhGate* const g, const FhDecision* const d, const bool closed)
{
  *g = (FhGate){closed ? FH_STATE_CLOSED : FH_STATE_OPEN, 0.0f, closed ? d->floor : 1.0f};
}

static FhState
next_state(FhGate* const g, const FhDecision* const d, const float evidence)
{
  const bool open = evidence > d->margin;
  const bool keep = evidence > d->keep;

  g->held = keep ? 0.0f : g->held + 1.0f;
  switch (g->state) {
  case FH_STATE_CLOSED:
    return open ? FH_STATE_OPENING : FH_STATE_CLOSED;
  case FH_STATE_OPENING:
    return g->gain < 1.0f ? FH_STATE_OPENING : FH_STATE_OPEN;
  case FH_STATE_OPEN:
  case FH_STATE_HOLDING:
    return keep ? FH_STATE_OPEN : g->held > d->hold ? FH_STATE_CLOSING : FH_STATE_HOLDING;
  case FH_STATE_CLOSING:
    return open ? FH_STATE_OPENING : g->gain > d->floor ? FH_STATE_CLOSING : FH_STATE_CLOSED;
  }
  return FH_STATE_OPEN;
}

void
fh_gate_tick(FhGate* const g, const FhDecision* const d, const float evidence)
{
  g->state = next_state(g, d, evidence);

  float gain = g->gain;
  if (g->state == FH_STATE_CLOSED || g->state == FH_STATE_CLOSING) {
    gain *= d->release;
  } else {
    gain += d->attack;
  }
  g->gain = gain < d->floor ? d->floor : gain > 1.0f ? 1.0f : gain;
}
