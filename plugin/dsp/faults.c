// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

static const float silent   = 1e-9f; // -90 dBFS mean square: no outdoor microphone is ever that quiet
static const float same     = 1e-8f; // difference over level: -80 dB
static const float clip     = 0.999f;
static const float notice_s = 0.1f;  // wrong for this long is a fault
static const float shown_s  = 1.0f;  // a clip is shown for this long

void
fh_faults_hop(FhEngine* const e)
{
  const FhInputs* const in = &e->inputs;
  FhFaults* const       f  = &e->faults;

  const float ambient = in->squares[FH_MIC_AMBIENT];
  const float closes  = in->squares[0] + in->squares[1];

  bool alike   = in->apart[0] <= same * ambient;
  bool clipped = in->peak[0] >= clip || in->peak[FH_MIC_AMBIENT] >= clip;
  if (e->closes > 1u) {
    alike   = alike || in->apart[1] <= same * ambient;
    clipped = clipped || in->peak[1] >= clip;
  }

  const float hop = FH_HOP_TICKS;
  f->no_ambient   = ambient < silent ? f->no_ambient + hop : 0.0f;
  f->same         = ambient < silent ? f->same : alike ? f->same + hop : 0.0f;
  f->no_close     = closes < silent ? f->no_close + hop : 0.0f;
  f->clipped      = clipped ? shown_s * e->ticks_per_second : f->clipped > 0.0f ? f->clipped - hop : 0.0f;

  const float notice = notice_s * e->ticks_per_second;
  f->fault           = f->no_ambient > notice ? FH_FAULT_NO_AMBIENT
                       : f->same > notice     ? FH_FAULT_AMBIENT_IS_CLOSE
                       : f->no_close > notice ? FH_FAULT_NO_CLOSE
                       : f->clipped > 0.0f    ? FH_FAULT_CLIPPING
                                              : FH_FAULT_NONE;
}
