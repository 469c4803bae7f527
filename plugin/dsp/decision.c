// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/decision.h"

void
fh_decision_reset(FhDecision* const d, const bool closed)
{
  d->state = closed ? FH_STATE_CLOSED : FH_STATE_OPEN;
  d->held  = 0.0f;
  d->gain  = closed ? d->floor : 1.0f;
}

static FhState
next_state(FhDecision* const d, const float evidence)
{
  const bool open = evidence > d->margin;
  const bool keep = evidence > d->keep;

  d->held = keep ? 0.0f : d->held + 1.0f;
  switch (d->state) {
  case FH_STATE_CLOSED:
    return open ? FH_STATE_OPENING : FH_STATE_CLOSED;
  case FH_STATE_OPENING:
    return d->gain < 1.0f ? FH_STATE_OPENING : FH_STATE_OPEN;
  case FH_STATE_OPEN:
  case FH_STATE_HOLDING:
    return keep ? FH_STATE_OPEN : d->held > d->hold ? FH_STATE_CLOSING : FH_STATE_HOLDING;
  case FH_STATE_CLOSING:
    return open ? FH_STATE_OPENING : d->gain > d->floor ? FH_STATE_CLOSING : FH_STATE_CLOSED;
  }
  return FH_STATE_OPEN;
}

void
fh_decision_tick(FhDecision* const d, const float evidence)
{
  d->state = next_state(d, evidence);

  float gain = d->gain;
  if (d->state == FH_STATE_CLOSED || d->state == FH_STATE_CLOSING) {
    gain *= d->release;
  } else {
    gain += d->attack;
  }
  d->gain = gain < d->floor ? d->floor : gain > 1.0f ? 1.0f : gain;
}
