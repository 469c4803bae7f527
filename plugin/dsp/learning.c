// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

/// What was known before is known again
static void
put_back(FhEngine* const e)
{
  (void)fh_engine_set_learnt(e, &e->learnt.before);
  e->learnt.age_s  = e->learnt.before_age_s;
  e->running.fresh = false;
}

/// Know of the field what was found of it, instead of what was learnt from all that was heard
static void
know_field(FhField* const f, const FhFound* const found, const float hops_per_second)
{
  const float n = fh_most(f->seen_s * hops_per_second, FH_QUANTILE_START);
  for (int p = 0; p < FH_PATHS; ++p) {
    f->ratio[p]   = found->ratio[p];
    f->ratio[p].n = FH_QUANTILE_START; // followed on from there, quickly at first
  }
  f->key_rest = found->key_rest;
  f->common   = found->common;
  f->key_rest.top += fh_learn_lost_db;
  f->key_rest.n = f->common.n = n;
  fh_field_stay(f);
  fh_field_heal(f);
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
trim_to_field(FhField* const f, const FhFound* const found)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    trim(&f->ratio[p], &found->ratio[p], 0.0f);
  }
  trim(&f->key_rest, &found->key_rest, fh_learn_lost_db);
}

/// Learn from what of the stretch was field alone, or leave what was known
static void
learn_from_field(FhEngine* const e)
{
  FhField* const f = &e->learnt.field;
  FhFound        found;
  fh_past_find(&e->running.detector.past, e->setup.usable, e->settings.key, &found);
  const float share = (float)found.field / fh_most((float)found.heard, 1.0f);
  if (share * f->seen_s < fh_learn_part_s) {
    put_back(e);
    e->learnt.result = FH_RESULT_SOLO;
    return;
  }
  e->learnt.result = FH_RESULT_WHOLE;
  if (10 * found.field < 9 * found.heard) {
    know_field(f, &found, e->setup.hops_per_second);
    e->learnt.result = FH_RESULT_PART;
  } else if (found.field < found.heard) {
    trim_to_field(f, &found);
  }
  f->known = f->asked = true;
  e->learnt.age_s     = 0.0;
}

static void
finish(FhEngine* const e)
{
  FhField* const    f = &e->learnt.field;
  FhLearning* const l = &e->running.learning;
  if (l->mode == FH_LEARN_AMBIENT) {
    if (l->ticks < fh_learn_enough_s * e->setup.ticks_per_second || f->seen_s < fh_learn_shortest_s) {
      put_back(e);
      e->learnt.result = FH_RESULT_SHORT;
    } else {
      learn_from_field(e);
    }
  } else if (f->solo_s < fh_learn_shortest_s) {
    fh_field_forget_solo(f);
  }
  l->mode = FH_LEARN_OFF;
  fh_engine_tell(e);
}

static void
keep_before(FhEngine* const e)
{
  fh_engine_get_learnt(e, &e->learnt.before);
  e->learnt.before_age_s = e->learnt.age_s;
  e->learnt.is_before    = true;
}

void
fh_learning_clear(FhEngine* const e)
{
  keep_before(e);
  e->learnt.field          = fh_field_unknown();
  e->learnt.age_s          = -1.0;
  e->learnt.result         = FH_RESULT_NONE;
  e->running.learning.mode = FH_LEARN_OFF;
}

/// Change places with what was known before
static void
swap_before(FhEngine* const e)
{
  FhLearnt now;
  fh_engine_get_learnt(e, &now);
  const double age_s = e->learnt.age_s;
  put_back(e);
  e->learnt.before       = now;
  e->learnt.before_age_s = age_s;
}

void
fh_learning_start(FhEngine* const e, const FhLearn mode)
{
  if (e->running.learning.mode != FH_LEARN_OFF) {
    finish(e);
  }
  if (mode == FH_LEARN_BACK) {
    if (e->learnt.is_before) {
      swap_before(e);
    }
    return;
  }
  if (mode != FH_LEARN_OFF) {
    keep_before(e);
  }
  e->running.learning.mode  = mode;
  e->running.learning.ticks = 0.0f;
  if (mode == FH_LEARN_AMBIENT) {
    fh_swapped_forget(&e->running.swapped); // whoever asks has seen to the cables
    fh_detector_learn(e);
  } else if (mode == FH_LEARN_SOLO) {
    fh_field_forget_solo(&e->learnt.field);
  }
}

void
fh_learning_hop(FhEngine* const e)
{
  const double hop = FH_HOP_TICKS / (double)e->setup.ticks_per_second;
  e->learnt.age_s += e->learnt.age_s < 0.0 ? 0.0 : hop;
  e->learnt.before_age_s += e->learnt.before_age_s < 0.0 ? 0.0 : hop;
  if (e->running.learning.mode != FH_LEARN_OFF) {
    e->running.learning.ticks += FH_HOP_TICKS;
    if (e->running.learning.ticks > fh_learn_longest_s * e->setup.ticks_per_second) {
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
pack_floor(const FhUsual* const u, const float hops_per_second, FhLearnt* const learnt)
{
  const FhPowers* stretch = &u->floor_now;
  for (int i = 0; i < FH_STRETCHES; ++i) {
    const fh_v8 close   = fh_v8_db(fh_v8_max(stretch->close, fh_v8_set(FH_QUIET)));
    const fh_v8 ambient = fh_v8_db(fh_v8_max(stretch->ambient, fh_v8_set(FH_QUIET)));
    memcpy(learnt->floor[i][0], &close, sizeof(close));
    memcpy(learnt->floor[i][1], &ambient, sizeof(ambient));
    stretch = &u->floor_past[(u->floor_next + FH_FLOORS - 1 - i) % FH_FLOORS];
  }
  learnt->floor_s    = (float)u->floor_hops / hops_per_second;
  learnt->band_level = fh_db(u->band_level + FH_QUIET);
  learnt->band_s     = u->band_hops / hops_per_second;
}

static void
unpack_floor(FhUsual* const u, const float hops_per_second, const FhLearnt* const learnt)
{
  for (int i = 0; i < FH_STRETCHES; ++i) {
    fh_v8 close, ambient;
    memcpy(&close, learnt->floor[i][0], sizeof(close));
    memcpy(&ambient, learnt->floor[i][1], sizeof(ambient));
    FhPowers* const stretch = i ? &u->floor_past[FH_FLOORS - i] : &u->floor_now;
    *stretch                = (FhPowers){fh_v8_undb(close), fh_v8_undb(ambient)};
  }
  u->floor_next = 0;
  u->floor_hops = (int)(learnt->floor_s * hops_per_second + 0.5f);
  u->band_level = powf(10.0f, 0.1f * learnt->band_level);
  u->band_hops  = fh_most(learnt->band_s * hops_per_second, 0.0f);
}

static void
pack_usual(const FhEarsUsual* const u, FhLearnt* const learnt)
{
  const fh_v8 usual = fh_v8_db(fh_v8_max(u->pickup, fh_v8_set(FH_QUIET))), above = 10.0f * u->above;
  memcpy(learnt->usual, &usual, sizeof(usual));
  memcpy(learnt->above, &above, sizeof(above));
  learnt->usual_s = u->looks * fh_look_s;
}

static void
unpack_usual(FhEarsUsual* const u, const FhLearnt* const learnt)
{
  fh_v8 usual, above;
  memcpy(&usual, learnt->usual, sizeof(usual));
  memcpy(&above, learnt->above, sizeof(above));
  u->looks  = fh_most(learnt->usual_s / fh_look_s, 0.0f);
  u->pickup = u->looks > 0.0f ? fh_v8_undb(usual) : fh_v8_set(0.0f);
  u->above  = 0.1f * above;
}

/// Samples that count, from their time
static float
counted(const FhSetup* const setup, const float seconds)
{
  return fh_most(seconds * setup->hops_per_second, FH_QUANTILE_START);
}

void
fh_learnt_from_older(FhLearnt* const learnt)
{
  learnt->asked  = learnt->known > 0.0f ? 1.0f : 0.0f; // as it was then
  learnt->seen_s = learnt->known > 0.0f ? fh_learn_longest_s : 0.0f;
  for (int i = 0; i < 3; ++i) {
    learnt->counted_s[i] = fh_learn_settled_s;
  }
  for (int i = 0; i < FH_STRETCHES; ++i) {
    for (int k = 0; k < FH_BANDS; ++k) {
      learnt->floor[i][0][k] = learnt->floor[i][1][k] = fh_no_floor_db;
    }
  }
  learnt->floor_s = learnt->band_level = learnt->band_s = 0.0f;
  learnt->shift = learnt->shift_before = learnt->shift_before_s = learnt->beyond_s = learnt->lifted_s = learnt->catch_s = 0.0f;
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
  const FhField* const f     = &e->learnt.field;
  const float          second = e->setup.hops_per_second;
  if (e->running.learning.mode == FH_LEARN_AMBIENT) {
    *learnt = e->learnt.before; // half of what is being learnt is of no use to anyone
    return;
  }
  learnt->known = !f->known ? 0.0f : f->solo_s > 0.0f ? 2.0f : 1.0f;
  pack_lane(&f->common, 0, learnt->common);
  memcpy(learnt->solo, &f->solo, sizeof(learnt->solo));
  learnt->asked          = f->partly ? 2.0f : f->asked ? 1.0f : 0.0f;
  learnt->seen_s         = fh_least(f->seen_s, fh_learn_settled_s);
  learnt->counted_s[0]   = fh_least(f->ratio[0].n / second, fh_learn_settled_s);
  learnt->counted_s[1]   = fh_least(f->key_rest.n / second, fh_learn_settled_s);
  learnt->counted_s[2]   = fh_least(f->common.n / second, fh_learn_settled_s);
  learnt->shift          = f->shift;
  learnt->shift_before   = f->shift_before;
  learnt->shift_before_s = fh_most(f->shift_before_s, 0.0f);
  learnt->beyond_s       = f->beyond_s;
  learnt->lifted_s       = fh_least(f->lifted_s, fh_learn_settled_s);
  learnt->catch_s        = f->catch_s;
  pack_floor(&e->learnt.usual, second, learnt);
  pack_usual(&e->learnt.usual.ears, learnt);
  for (int p = 0; p < FH_PATHS; ++p) {
    pack(&f->ratio[p], f->shift, learnt->ratio[p + 1]);
  }
  memcpy(learnt->ratio[0], learnt->ratio[1 + FH_PATH_NOTE], sizeof(learnt->ratio[0]));
  for (int look = 0; look < FH_LOOKS; ++look) {
    pack_lane(&f->key_rest, 0, learnt->key[look]);
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
  FhField* const       f    = &e->learnt.field;
  const FhSetup* const s    = &e->setup;
  FhLearnt             copy = *learnt;
  for (int p = 0; p < FH_PATHS; ++p) {
    unpack(&f->ratio[p], copy.ratio[p + 1]);
    f->ratio[p].mid -= learnt->shift;
    f->ratio[p].n = counted(s, learnt->counted_s[0]);
  }
  memcpy(&f->solo, learnt->solo, sizeof(learnt->solo));
  for (int k = 0; k < FH_BANDS; ++k) {
    unpack_lane(&f->key_rest, k, learnt->key[1 + FH_PATH_NOTE]);
    unpack_lane(&f->common, k, learnt->common);
  }
  f->shift          = learnt->shift;
  f->shift_before   = learnt->shift_before;
  f->shift_before_s = learnt->shift_before_s;
  f->beyond_s       = learnt->beyond_s;
  f->lifted_s       = learnt->lifted_s;
  f->catch_s        = learnt->catch_s;
  f->key_rest.n     = counted(s, learnt->counted_s[1]);
  f->common.n       = counted(s, learnt->counted_s[2]);
  f->known          = learnt->known > 0.0f;
  f->asked          = f->known && learnt->asked > 0.0f;
  f->partly         = false;
  f->misfit_s       = 0.0f;
  f->misfits        = false;
  if (f->asked && learnt->asked > 1.5f) {
    fh_field_heal(f);
  }
  f->seen_s         = fh_most(learnt->seen_s, f->known ? 1.0f : 0.0f); // else tracking would begin anew
  f->solo_s         = learnt->known > 1.0f ? fh_learn_longest_s : 0.0f;
  unpack_floor(&e->learnt.usual, s->hops_per_second, learnt);
  unpack_usual(&e->learnt.usual.ears, learnt);
  e->learnt.age_s             = -1.0;
  e->learnt.result            = FH_RESULT_NONE;
  e->running.ears.look.lately = e->learnt.usual.ears.above;
  e->running.learning.mode    = FH_LEARN_OFF;
  e->running.fresh            = true;
  fh_engine_tell(e);
  return true;
}
