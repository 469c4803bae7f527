// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

static const float longest_s  = 15.0f;
static const float shortest_s = 1.0f; // less than this teaches nothing: what was known before stays

static const float settled = 1e6f; // samples seen by what is restored: tracking brings it down to its own limit

static void
finish(FhEngine* const e)
{
  FhDetector* const d = &e->detector;
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    if (d->seen_s < shortest_s) {
      (void)fh_engine_set_learnt(e, &e->before);
      e->fresh = false;
    } else {
      d->known = d->learnt = true;
    }
  } else if (d->solo_s < shortest_s) {
    fh_detector_forget_solo(d);
  }
  e->learning.mode = FH_LEARN_OFF;
  fh_engine_tell(e);
}

void
fh_learning_start(FhEngine* const e, const FhLearn mode)
{
  if (e->learning.mode != FH_LEARN_OFF) {
    finish(e);
  }
  if (mode == FH_LEARN_AMBIENT) {
    fh_engine_get_learnt(e, &e->before);
  }
  e->learning.mode  = mode;
  e->learning.ticks = 0.0f;
  if (mode == FH_LEARN_AMBIENT) {
    fh_detector_learn(&e->detector);
  } else if (mode == FH_LEARN_SOLO) {
    fh_detector_forget_solo(&e->detector);
  }
}

void
fh_learning_hop(FhEngine* const e)
{
  if (e->learning.mode != FH_LEARN_OFF) {
    e->learning.ticks += FH_HOP_TICKS;
    if (e->learning.ticks > longest_s * e->ticks_per_second) {
      finish(e);
    }
  }
}

static void
pack(const FhQuantiles* const q, const float shift, float out[4][FH_BANDS])
{
  const fh_v8 mid = q->mid + shift;
  memcpy(out[0], &mid, sizeof(mid));
  memcpy(out[1], &q->low, sizeof(q->low));
  memcpy(out[2], &q->high, sizeof(q->high));
  memcpy(out[3], &q->top, sizeof(q->top));
}

static void
unpack(FhQuantiles* const q, float (*const in)[FH_BANDS])
{
  memcpy(&q->mid, in[0], sizeof(q->mid));
  memcpy(&q->low, in[1], sizeof(q->low));
  memcpy(&q->high, in[2], sizeof(q->high));
  memcpy(&q->top, in[3], sizeof(q->top));
  q->n = settled;
}

static void
pack_lane(const FhQuantiles* const q, const int lane, float out[4])
{
  out[0] = q->mid[lane];
  out[1] = q->low[lane];
  out[2] = q->high[lane];
  out[3] = q->top[lane];
}

static void
unpack_lane(FhQuantiles* const q, const int lane, const float in[4])
{
  q->mid[lane]  = in[0];
  q->low[lane]  = in[1];
  q->high[lane] = in[2];
  q->top[lane]  = in[3];
  q->n          = settled;
}

void
fh_engine_get_learnt(const FhEngine* const e, FhLearnt* const learnt)
{
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    *learnt = e->before; // half of what is being learnt is of no use to anyone
    return;
  }
  learnt->known = !e->detector.known ? 0.0f : e->detector.solo_s > 0.0f ? 2.0f : 1.0f;
  pack_lane(&e->detector.common, 0, learnt->common);
  memcpy(learnt->solo, &e->detector.solo, sizeof(learnt->solo));
  for (int p = 0; p < FH_PATHS; ++p) {
    const FhPath* const path = &e->detector.path[p];
    pack(&path->ratio, e->detector.shift, learnt->ratio[p]);
    pack_lane(&e->detector.key_rest, p, learnt->key[p]);
  }
}

bool
fh_learnt_is_sane(const FhLearnt* const learnt)
{
  const float* const values = (const float*)learnt;
  for (size_t i = 0; i < sizeof(*learnt) / sizeof(float); ++i) {
    if (!isfinite(values[i]) || fabsf(values[i]) > 200.0f) {
      return false;
    }
  }
  return true;
}

bool
fh_engine_set_learnt(FhEngine* const e, const FhLearnt* const learnt)
{
  if (!fh_learnt_is_sane(learnt)) {
    return false;
  }
  FhLearnt copy = *learnt;
  for (int p = 0; p < FH_PATHS; ++p) {
    FhPath* const path = &e->detector.path[p];
    unpack(&path->ratio, copy.ratio[p]);
    unpack_lane(&e->detector.key_rest, p, copy.key[p]);
  }
  memcpy(&e->detector.solo, learnt->solo, sizeof(learnt->solo));
  for (int k = 0; k < FH_BANDS; ++k) {
    unpack_lane(&e->detector.common, k, learnt->common);
  }
  e->detector.shift = e->detector.beyond_s = e->detector.lifted_s = e->detector.catch_s = e->detector.before_s = 0.0f;
  e->detector.known = e->detector.learnt = learnt->known > 0.0f;
  e->detector.seen_s = e->detector.known ? 15.0f : 0.0f; // else tracking would begin anew
  e->detector.solo_s = learnt->known > 1.0f ? 15.0f : 0.0f;
  e->learning.mode  = FH_LEARN_OFF;
  e->fresh          = true;
  fh_engine_tell(e);
  return true;
}
