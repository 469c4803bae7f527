// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

static const float longest_s  = 15.0f;
static const float shortest_s = 1.0f; // less of a soloist, or of a field within the stretch, teaches nothing
static const float enough_s   = 2.5f; // a shorter stretch of field says too little of what is rare: what was known before stays

static const float part_s     = 1.5f; // less of the field alone in all that was heard likewise

// With the notes goes what the field does rarely: by so much more it may stray
static const float lost_db = 2.0f;

static const float settled_s = 180.0f; // no more than that counts with any setting of tracking
static const float look_s    = 1e-3f;  // nearly: of what the longest averages are made
static const float no_floor  = 60.0f;  // dBFS, above all that is heard

/// What was known before is known again
static void
put_back(FhEngine* const e)
{
  (void)fh_engine_set_learnt(e, &e->before);
  e->learnt_s = e->before_s;
  e->fresh    = false;
}

/// Know of the field what was found of it, instead of what was learnt from all that was heard
static void
know_field(FhDetector* const d, const FhFound* const field)
{
  const float n = fh_most(d->seen_s * d->hops_per_second, FH_QUANTILE_START);
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].ratio   = field->ratio[p];
    d->path[p].ratio.n = n;
  }
  d->key_rest = field->key_rest;
  d->common   = field->common;
  d->key_rest.top += lost_db;
  d->key_rest.n = d->common.n = n;
  fh_detector_stay(d);
}

/// Little of a soloist among much field moves no median, but what is rare
static void
trim(FhQuantiles* const q, const FhQuantiles* const field, const float lost)
{
  q->high = fh_v8_min(q->high, fh_v8_max(field->high, fh_v8_set(1.0f)));
  q->top  = fh_v8_max(q->high, fh_v8_min(q->top, field->top + lost));
}

/// Keep what was learnt from all that was heard, but for what is rare: of that no more than what was found of the field
static void
trim_to_field(FhDetector* const d, const FhFound* const field)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    trim(&d->path[p].ratio, &field->ratio[p], 0.0f);
  }
  trim(&d->key_rest, &field->key_rest, lost_db);
}

/// Learn from what of the stretch was field alone, or leave what was known
static void
learn_from_field(FhEngine* const e)
{
  FhDetector* const d = &e->detector;
  FhFound           field;
  fh_past_find(&d->past, d->usable, d->key, &field);
  const float share = (float)field.field / fh_most((float)field.heard, 1.0f);
  if (share * d->seen_s < part_s) {
    put_back(e);
    e->result = FH_RESULT_SOLO;
    return;
  }
  e->result = FH_RESULT_WHOLE;
  if (10 * field.field < 9 * field.heard) {
    know_field(d, &field);
    e->result = FH_RESULT_PART;
  } else if (field.field < field.heard) {
    trim_to_field(d, &field);
  }
  d->known = d->learnt = true;
  e->learnt_s          = 0.0;
}

static void
finish(FhEngine* const e)
{
  FhDetector* const d = &e->detector;
  if (e->learning.mode == FH_LEARN_AMBIENT) {
    if (e->learning.ticks < enough_s * e->ticks_per_second || d->seen_s < shortest_s) {
      put_back(e);
      e->result = FH_RESULT_SHORT;
    } else {
      learn_from_field(e);
    }
  } else if (d->solo_s < shortest_s) {
    fh_detector_forget_solo(d);
  }
  e->learning.mode = FH_LEARN_OFF;
  fh_engine_tell(e);
}

static void
keep_before(FhEngine* const e)
{
  fh_engine_get_learnt(e, &e->before);
  e->before_s  = e->learnt_s;
  e->is_before = true;
}

void
fh_learning_clear(FhEngine* const e)
{
  keep_before(e);
  fh_detector_forget(&e->detector);
  e->learning.mode = FH_LEARN_OFF;
  e->learnt_s      = -1.0;
  e->result        = FH_RESULT_NONE;
}

/// Change places with what was known before
static void
swap_before(FhEngine* const e)
{
  FhLearnt now;
  fh_engine_get_learnt(e, &now);
  const double learnt_s = e->learnt_s;
  put_back(e);
  e->before   = now;
  e->before_s = learnt_s;
}

void
fh_learning_start(FhEngine* const e, const FhLearn mode)
{
  if (e->learning.mode != FH_LEARN_OFF) {
    finish(e);
  }
  if (mode == FH_LEARN_BACK) {
    if (e->is_before) {
      swap_before(e);
    }
    return;
  }
  if (mode != FH_LEARN_OFF) {
    keep_before(e);
  }
  e->learning.mode  = mode;
  e->learning.ticks = 0.0f;
  if (mode == FH_LEARN_AMBIENT) {
    fh_swapped_forget(&e->swapped); // whoever asks has seen to the cables
    fh_detector_learn(&e->detector);
  } else if (mode == FH_LEARN_SOLO) {
    fh_detector_forget_solo(&e->detector);
  }
}

void
fh_learning_hop(FhEngine* const e)
{
  const double hop = FH_HOP_TICKS / (double)e->ticks_per_second;
  e->learnt_s += e->learnt_s < 0.0 ? 0.0 : hop;
  e->before_s += e->before_s < 0.0 ? 0.0 : hop;
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
}

static void
pack_floor(const FhDetector* const d, FhLearnt* const learnt)
{
  const FhPowers* stretch = &d->floor_now;
  for (int i = 0; i < FH_STRETCHES; ++i) {
    const fh_v8 close   = fh_v8_db(fh_v8_max(stretch->close, fh_v8_set(FH_QUIET)));
    const fh_v8 ambient = fh_v8_db(fh_v8_max(stretch->ambient, fh_v8_set(FH_QUIET)));
    memcpy(learnt->floor[i][0], &close, sizeof(close));
    memcpy(learnt->floor[i][1], &ambient, sizeof(ambient));
    stretch = &d->floor_past[(d->floor_next + FH_FLOORS - 1 - i) % FH_FLOORS];
  }
  learnt->floor_s    = (float)d->floor_hops / d->hops_per_second;
  learnt->band_level = fh_db(d->band_level + FH_QUIET);
  learnt->band_s     = d->band_hops / d->hops_per_second;
}

static void
unpack_floor(FhDetector* const d, const FhLearnt* const learnt)
{
  for (int i = 0; i < FH_STRETCHES; ++i) {
    fh_v8 close, ambient;
    memcpy(&close, learnt->floor[i][0], sizeof(close));
    memcpy(&ambient, learnt->floor[i][1], sizeof(ambient));
    FhPowers* const stretch = i ? &d->floor_past[FH_FLOORS - i] : &d->floor_now;
    *stretch                = (FhPowers){fh_v8_undb(close), fh_v8_undb(ambient)};
  }
  d->floor_next = 0;
  d->floor_hops = (int)(learnt->floor_s * d->hops_per_second + 0.5f);
  d->band_level = powf(10.0f, 0.1f * learnt->band_level);
  d->band_hops  = fh_most(learnt->band_s * d->hops_per_second, 0.0f);
}

static void
pack_usual(const FhEarsLook* const look, FhLearnt* const learnt)
{
  const fh_v8 usual = fh_v8_db(fh_v8_max(look->usual, fh_v8_set(FH_QUIET))), above = 10.0f * look->long_since;
  memcpy(learnt->usual, &usual, sizeof(usual));
  memcpy(learnt->above, &above, sizeof(above));
  learnt->usual_s = look->looks * look_s;
}

static void
unpack_usual(FhEarsLook* const look, const FhLearnt* const learnt)
{
  fh_v8 usual, above;
  memcpy(&usual, learnt->usual, sizeof(usual));
  memcpy(&above, learnt->above, sizeof(above));
  look->looks      = fh_most(learnt->usual_s / look_s, 0.0f);
  look->usual      = look->looks > 0.0f ? fh_v8_undb(usual) : fh_v8_set(0.0f);
  look->long_since = look->lately = 0.1f * above;
}

/// Samples that count, from their time
static float
counted(const FhDetector* const d, const float seconds)
{
  return fh_most(seconds * d->hops_per_second, FH_QUANTILE_START);
}

void
fh_learnt_from_older(FhLearnt* const learnt)
{
  learnt->asked  = learnt->known > 0.0f ? 1.0f : 0.0f; // as it was then
  learnt->seen_s = learnt->known > 0.0f ? longest_s : 0.0f;
  for (int i = 0; i < 3; ++i) {
    learnt->counted_s[i] = settled_s;
  }
  for (int i = 0; i < FH_STRETCHES; ++i) {
    for (int k = 0; k < FH_BANDS; ++k) {
      learnt->floor[i][0][k] = learnt->floor[i][1][k] = no_floor;
    }
  }
  learnt->floor_s = learnt->band_level = learnt->band_s = 0.0f;
  learnt->shift = learnt->before = learnt->before_s = learnt->beyond_s = learnt->lifted_s = learnt->catch_s = 0.0f;
  learnt->usual_s = 0.0f;
}

/// What began near the ends of what is sane may have moved beyond: it must be taken again
static void
keep_sane(FhLearnt* const learnt)
{
  const size_t count  = sizeof(*learnt) / sizeof(float);
  float* const values = (float*)learnt;
  for (size_t i = 0; i < count; i += 8) { // the last of them may be done twice
    float* const at = values + (i + 8 <= count ? i : count - 8);
    fh_v8        x;
    memcpy(&x, at, sizeof(x));
    x = fh_v8_max(fh_v8_min(x, fh_v8_set(FH_LEARNT_MOST)), fh_v8_set(-FH_LEARNT_MOST));
    memcpy(at, &x, sizeof(x));
  }
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
  learnt->asked        = e->detector.learnt ? 1.0f : 0.0f;
  learnt->seen_s       = fh_least(e->detector.seen_s, settled_s);
  learnt->counted_s[0] = fh_least(e->detector.path[0].ratio.n / e->detector.hops_per_second, settled_s);
  learnt->counted_s[1] = fh_least(e->detector.key_rest.n / e->detector.hops_per_second, settled_s);
  learnt->counted_s[2] = fh_least(e->detector.common.n / e->detector.hops_per_second, settled_s);
  learnt->shift        = e->detector.shift;
  learnt->before       = e->detector.before;
  learnt->before_s     = fh_most(e->detector.before_s, 0.0f);
  learnt->beyond_s     = e->detector.beyond_s;
  learnt->lifted_s     = fh_least(e->detector.lifted_s, settled_s);
  learnt->catch_s      = e->detector.catch_s;
  pack_floor(&e->detector, learnt);
  pack_usual(&e->ears.look, learnt);
  for (int p = 0; p < FH_PATHS; ++p) {
    const FhPath* const path = &e->detector.path[p];
    pack(&path->ratio, e->detector.shift, learnt->ratio[p + 1]);
  }
  memcpy(learnt->ratio[0], learnt->ratio[1 + FH_PATH_NOTE], sizeof(learnt->ratio[0]));
  for (int look = 0; look < FH_LOOKS; ++look) {
    pack_lane(&e->detector.key_rest, 0, learnt->key[look]);
  }
  keep_sane(learnt);
}

bool
fh_learnt_is_sane(const FhLearnt* const learnt)
{
  const float* const values = (const float*)learnt;
  for (size_t i = 0; i < sizeof(*learnt) / sizeof(float); ++i) {
    if (!isfinite(values[i]) || fabsf(values[i]) > FH_LEARNT_MOST) {
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
    unpack(&path->ratio, copy.ratio[p + 1]);
    path->ratio.mid -= learnt->shift;
    path->ratio.n = counted(&e->detector, learnt->counted_s[0]);
  }
  memcpy(&e->detector.solo, learnt->solo, sizeof(learnt->solo));
  for (int k = 0; k < FH_BANDS; ++k) {
    unpack_lane(&e->detector.key_rest, k, learnt->key[1 + FH_PATH_NOTE]);
    unpack_lane(&e->detector.common, k, learnt->common);
  }
  e->detector.shift    = learnt->shift;
  e->detector.before   = learnt->before;
  e->detector.before_s = learnt->before_s;
  e->detector.beyond_s = learnt->beyond_s;
  e->detector.lifted_s = learnt->lifted_s;
  e->detector.catch_s  = learnt->catch_s;
  e->detector.key_rest.n = counted(&e->detector, learnt->counted_s[1]);
  e->detector.common.n   = counted(&e->detector, learnt->counted_s[2]);
  e->detector.known      = learnt->known > 0.0f;
  e->detector.learnt     = e->detector.known && learnt->asked > 0.0f;
  e->detector.misfit_s   = 0.0f;
  e->detector.misfits    = false;
  e->result              = FH_RESULT_NONE;
  e->detector.seen_s     = fh_most(learnt->seen_s, e->detector.known ? 1.0f : 0.0f); // else tracking would begin anew
  unpack_floor(&e->detector, learnt);
  unpack_usual(&e->ears.look, learnt);
  e->detector.solo_s = learnt->known > 1.0f ? 15.0f : 0.0f;
  e->learning.mode   = FH_LEARN_OFF;
  e->learnt_s        = -1.0;
  e->fresh           = true;
  fh_engine_tell(e);
  return true;
}
