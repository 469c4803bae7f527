// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

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
