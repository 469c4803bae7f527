// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file decision.h
/// Closed, opening, open, holding, closing: from evidence to the gate's gain. Thread: audio, once a tick.

#ifndef FRONTHASH_DSP_DECISION_H
#define FRONTHASH_DSP_DECISION_H

#include "ports.h"

#include <stdbool.h>

/// Set by the host
typedef struct {
  float margin;  ///< Opens above this evidence
  float keep;    ///< Stays open above this
  float attack;  ///< Gain per tick while opening: full travel over the attack time, linear in amplitude
  float release; ///< Factor per tick while closing: full travel over the release time, linear in dB
  float hold;    ///< Ticks
  float floor;   ///< Gain when closed, 0..1
} FhDecision;

/// What a reset clears
typedef struct {
  FhState state;
  float   held; ///< Ticks since the evidence was last enough
  float   gain; ///< Now, floor..1
} FhGate;

/// Start open: what is not known yet must be heard; or closed
void fh_gate_start(FhGate* gate, const FhDecision* decision, bool closed);

void fh_gate_tick(FhGate* gate, const FhDecision* decision, float evidence);

#endif
