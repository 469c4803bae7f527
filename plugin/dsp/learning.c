// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

static const float longest_s  = 15.0f;
static const float shortest_s = 1.0f; // less than this teaches nothing: what was known before stays

void
fh_learning_tick(FhEngine* const e)
{
  FhLearning* const l = &e->learning;
  FhDetector* const d = &e->detector;
  if (l->mode == FH_LEARN_OFF) {
    return;
  }
  l->ticks += 1.0f;
  const bool over = e->controls[FH_LEARN] <= 0.0f || l->ticks > longest_s * e->ticks_per_second;
  (void)d;
  if (over) {
    l->mode = FH_LEARN_OFF;
  }
}

static void
pack(const FhQuantiles* const q, float out[4][FH_BANDS])
{
  memcpy(out[0], &q->low, sizeof(q->low));
  memcpy(out[1], &q->mid, sizeof(q->mid));
  memcpy(out[2], &q->high, sizeof(q->high));
  memcpy(out[3], &q->top, sizeof(q->top));
}

static void
unpack(FhQuantiles* const q, float (*const in)[FH_BANDS])
{
  memcpy(&q->low, in[0], sizeof(q->low));
  memcpy(&q->mid, in[1], sizeof(q->mid));
  memcpy(&q->high, in[2], sizeof(q->high));
  memcpy(&q->top, in[3], sizeof(q->top));
  q->n = 1e6f; // settled: tracking brings it down to its own limit
}

void
fh_engine_get_learnt(const FhEngine* const e, FhLearnt* const learnt)
{
  memset(learnt, 0, sizeof(*learnt));
  learnt->known = e->detector.known ? 1.0f : 0.0f;
  for (int p = 0; p < FH_PATHS; ++p) {
    const FhPath* const path = &e->detector.path[p];
    pack(&path->ratio, learnt->ratio[p]);
    const float key[4] = {path->key.low[0], path->key.mid[0], path->key.high[0], path->key.top[0]};
    memcpy(learnt->key[p], key, sizeof(key));
  }
}

bool
fh_engine_set_learnt(FhEngine* const e, const FhLearnt* const learnt)
{
  const float* const values = (const float*)learnt;
  for (size_t i = 0; i < sizeof(*learnt) / sizeof(float); ++i) {
    if (!isfinite(values[i]) || fabsf(values[i]) > 200.0f) {
      return false;
    }
  }
  FhLearnt copy = *learnt;
  for (int p = 0; p < FH_PATHS; ++p) {
    FhPath* const path = &e->detector.path[p];
    unpack(&path->ratio, copy.ratio[p]);
    float key[4][FH_BANDS];
    for (int i = 0; i < 4; ++i) {
      for (int k = 0; k < FH_BANDS; ++k) {
        key[i][k] = copy.key[p][i];
      }
    }
    unpack(&path->key, key);
  }
  e->detector.known = learnt->known > 0.0f;
  e->learning.mode  = FH_LEARN_OFF;
  e->fresh          = true;
  return true;
}
