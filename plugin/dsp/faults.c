// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

static const float silent   = 1e-9f; // -90 dBFS mean square: no outdoor microphone is ever that quiet
static const float same     = 1e-8f; // difference over level: -80 dB
static const float clip     = 0.999f;
static const float notice_s = 0.1f;  // wrong for this long is a fault
static const float shown_s  = 1.0f;  // a clip is shown for this long

void
fh_faults_tick(FhEngine* const e)
{
  const FhSums* const s = &e->kernel.sums;
  FhFaults* const     f = &e->faults;

  const float n       = (float)e->tick;
  const float ambient = s->raw[FH_MIC_AMBIENT];
  const float closes  = s->raw[0] + s->raw[1];

  bool alike   = s->difference[0] <= same * ambient;
  bool clipped = s->peak[0] >= clip || s->peak[FH_MIC_AMBIENT] >= clip;
  if (e->closes > 1u) {
    alike   = alike || s->difference[1] <= same * ambient;
    clipped = clipped || s->peak[1] >= clip;
  }

  f->no_ambient = ambient < silent * n ? f->no_ambient + 1.0f : 0.0f;
  f->same       = ambient < silent * n ? f->same : alike ? f->same + 1.0f : 0.0f;
  f->no_close   = closes < silent * n ? f->no_close + 1.0f : 0.0f;
  f->clipped    = clipped ? shown_s * e->ticks_per_second : f->clipped > 0.0f ? f->clipped - 1.0f : 0.0f;

  const float notice = notice_s * e->ticks_per_second;
  f->fault           = f->no_ambient > notice ? FH_FAULT_NO_AMBIENT
                       : f->same > notice     ? FH_FAULT_AMBIENT_IS_CLOSE
                       : f->no_close > notice ? FH_FAULT_NO_CLOSE
                       : f->clipped > 0.0f    ? FH_FAULT_CLIPPING
                                              : FH_FAULT_NONE;
}
