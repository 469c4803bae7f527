// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The engine on the baseline instruction set, whatever this processor has

#include "subject.h"

#include "dsp/engine_state.h"
#include "lv2/fpenv.h"
#include "signals.h"

#include <stdlib.h>

typedef struct {
  FhEngine* engine;
  float     controls[FH_CONTROL_COUNT];
} Baseline;

void*
fh_baseline_open(const uint32_t closes, const int size)
{
  (void)size;
  Baseline* const self = (Baseline*)malloc(sizeof(Baseline));
  self->engine = fh_engine_init(aligned_alloc(64, fh_engine_size(FH_BENCH_RATE, closes)), FH_BENCH_RATE, closes);
  self->engine->setup.kernel_run  = fh_kernel_run;
  self->engine->setup.tick_run    = fh_engine_tick;
  self->engine->setup.meters_show = fh_meters_show;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    self->controls[i] = fh_controls[i].def;
  }
  self->controls[FH_HOLD]    = 0.0f;
  self->controls[FH_RELEASE] = 5.0f;
  return self;
}

void
fh_baseline_run(void* const              self_,
                const float* const       close[2],
                const float* const       ambient,
                float* const             out[2],
                const uint32_t           frames)
{
  Baseline* const  self = (Baseline*)self_;
  const FhFpState  fp   = fh_fp_enter();
  fh_engine_set(self->engine, self->controls);
  fh_engine_run(self->engine, close, ambient, out, NULL, frames);
  fh_engine_meters(self->engine, self->controls);
  fh_fp_leave(fp);
}

void
fh_baseline_close(void* const self_)
{
  Baseline* const self = (Baseline*)self_;
  free(self->engine);
  free(self);
}
