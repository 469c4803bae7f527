// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What is saved of an engine, as floats, and restored

#include "dsp/engine_state.h"

#include <math.h>
#include <string.h>

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

/// Mean squares to dBFS
static void
pack_level(const fh_v8 from, float to[FH_BANDS])
{
  const fh_v8 level = fh_v8_db(fh_v8_max(from, fh_v8_set(FH_QUIET)));
  memcpy(to, &level, sizeof(level));
}

static fh_v8
unpack_level(const float from[FH_BANDS])
{
  fh_v8 level;
  memcpy(&level, from, sizeof(level));
  return fh_v8_undb(level);
}

// What is saved may have been damaged: no more of it is believed than fades within half a second
static const float fh_loudest    = 4.0f;   ///< Mean square of a band, as much as a full square wave of twice full scale
static const float fh_faded      = 100.0f; ///< A look holds no more than this times what was heard over the last tenth of a second
static const float fh_below_most = 10.0f;  ///< dB. Median and 1 % point were under their bounds by the time these were set

static fh_v8
unpack_heard(const float from[FH_BANDS])
{
  return fh_v8_min(unpack_level(from), fh_v8_set(fh_loudest));
}

/// Tens of decibels to decibels
static void
pack_tens(const fh_v8 from, float to[FH_BANDS])
{
  const fh_v8 db = 10.0f * from;
  memcpy(to, &db, sizeof(db));
}

/// As far as the network is given them
static fh_v8
unpack_tens(const float from[FH_BANDS])
{
  fh_v8 db;
  memcpy(&db, from, sizeof(db));
  return fh_ears_sane(0.1f * db);
}

static void
pack_floor(const FhUsual* const u, const float hops_per_second, FhLearnt* const learnt)
{
  const FhPowers* stretch = &u->floor_now;
  for (int i = 0; i < FH_STRETCHES; ++i) {
    pack_level(stretch->close, learnt->floor[i][0]);
    pack_level(stretch->ambient, learnt->floor[i][1]);
    stretch = &u->floor_past[(u->floor_next + 2 * FH_FLOORS - 1 - i) % FH_FLOORS];
  }
  learnt->floor_s    = (float)u->floor_hops / hops_per_second;
  learnt->band_level = fh_db(u->band_level + FH_QUIET);
  learnt->band_s     = u->band_hops / hops_per_second;
}

static void
unpack_floor(FhUsual* const u, const float hops_per_second, const FhLearnt* const learnt)
{
  for (int i = 0; i < FH_STRETCHES; ++i) {
    FhPowers* const stretch = i ? &u->floor_past[FH_FLOORS - i] : &u->floor_now;
    *stretch                = (FhPowers){unpack_level(learnt->floor[i][0]), unpack_level(learnt->floor[i][1])};
  }
  u->floor_next = 0;
  u->floor_hops = (int)(learnt->floor_s * hops_per_second + 0.5f);
  u->band_level = powf(10.0f, 0.1f * learnt->band_level);
  u->band_hops  = fh_most(learnt->band_s * hops_per_second, 0.0f);
}

static void
pack_usual(const FhEarsUsual* const u, FhLearnt* const learnt)
{
  pack_level(u->pickup, learnt->usual);
  pack_tens(u->above, learnt->above);
  learnt->usual_s = u->looks * fh_look_s;
}

static void
unpack_usual(FhEarsUsual* const u, const FhLearnt* const learnt)
{
  u->looks  = fh_most(learnt->usual_s / fh_look_s, 0.0f);
  u->pickup = u->looks > 0.0f ? unpack_level(learnt->usual) : fh_v8_set(0.0f);
  u->above  = unpack_tens(learnt->above);
}

/// Samples that count, from their time
static float
counted(const FhSetup* const setup, const float seconds)
{
  return fh_most(seconds * setup->hops_per_second, FH_QUANTILE_START);
}

static void
pack_bounds(const FhField* const f, FhLearnt* const learnt)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    const fh_v8 most = f->most[p] + f->shift;
    memcpy(learnt->bound[p][0], &most, sizeof(most));
    memcpy(learnt->bound[p][1], &f->stray[p], sizeof(f->stray[p]));
  }
}

static void
unpack_bounds(FhField* const f, const FhLearnt* const learnt)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    memcpy(&f->most[p], learnt->bound[p][0], sizeof(f->most[p]));
    memcpy(&f->stray[p], learnt->bound[p][1], sizeof(f->stray[p]));
    f->most[p]  = fh_v8_max(f->most[p] - f->shift, f->ratio[p].mid - fh_below_most);
    f->stray[p] = fh_v8_max(f->stray[p], f->ratio[p].top - fh_below_most);
  }
}

static void
pack_moment(const FhEngine* const e, FhLearnt* const learnt)
{
  const FhDetector* const d    = &e->running.detector;
  const FhEars* const     ears = &e->running.ears;
  const float             mean = 1.0f / (4 * FH_HOP_TICKS);
  const FhFaults* const   f    = &e->running.faults;
  learnt->moment = f->settle > 0.0f || (f->heard && fh_faults_missing(f)) ? 0.0f : 1.0f;
  learnt->rests  = e->running.gate.state == FH_STATE_CLOSED || e->running.rests ? 1.0f : 0.0f;
  learnt->phase  = fh_engine_phase(e);
  for (unsigned i = 0; i < FH_FOURS; ++i) {
    const FhPowers* const four = &d->fours[(d->newest - 4u * i) % FH_MAX_BLOCKS];
    pack_level(four->close * mean, learnt->level[i][0]);
    pack_level(four->ambient * mean, learnt->level[i][1]);
  }
  pack_level(d->path[FH_PATH_NOTE].held, learnt->held);
  for (int i = 0; i < FH_EARS_MEANS; ++i) {
    pack_level(ears->look.close[i], learnt->look[0][i]);
    pack_level(ears->look.pickup[i], learnt->look[1][i]);
  }
  pack_tens(ears->look.lately, learnt->lately);
  memcpy(learnt->memory, ears->state, sizeof(ears->state));
}

/// Where nothing has been heard yet: go on from the moment of saving. The gate begins open all the same
static void
unpack_moment(FhEngine* const e, const FhLearnt* const learnt)
{
  FhRunning* const r = &e->running;
  fh_detector_recall(e);
  fh_ears_start(&r->ears, &e->learnt.usual.ears);
  if (!(learnt->moment > 0.0f)) {
    return;
  }
  const float    into     = fh_most(fh_least(learnt->phase, FH_PHASE_TICKS - 0.001f), 0.0f);
  const int      ticks    = (int)into;
  const uint32_t frames   = (uint32_t)((into - (float)ticks) * (float)(int)e->setup.tick + 0.5f);
  e->kernel.running.phase = frames < e->setup.tick ? frames : e->setup.tick - 1u;
  r->ears.filled          = ticks % FH_EARS_TICKS;
  r->faults.settle        = 0.0f;
  r->rests                = learnt->rests > 0.0f;

  FhPowers four[FH_FOURS];
  fh_v8    most = fh_v8_set(0.0f);
  for (int i = 0; i < FH_FOURS; ++i) {
    four[i] = (FhPowers){unpack_heard(learnt->level[i][0]), unpack_heard(learnt->level[i][1])};
    most    = fh_v8_max(most, four[i].close);
  }
  fh_detector_fill(e, four, ticks % FH_HOP_TICKS);
  r->detector.path[FH_PATH_NOTE].held = unpack_heard(learnt->held);
  const fh_v8 faded = fh_faded * most + (e->learnt.field.known ? 0.0f : 1e9f); // before, pickup is what is always there, if that
  for (int i = 0; i < FH_EARS_MEANS; ++i) {
    r->ears.look.close[i]  = fh_v8_min(unpack_level(learnt->look[0][i]), faded);
    r->ears.look.pickup[i] = fh_v8_min(unpack_level(learnt->look[1][i]), faded);
  }
  r->ears.look.lately = unpack_tens(learnt->lately);
  fh_ears_recall(&r->ears, learnt->memory);
}

void
fh_learnt_from_older(FhLearnt* const learnt, const size_t floats)
{
  if (floats <= FH_LEARNT_1) {
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
  }
  if (floats <= FH_LEARNT_3) {
    for (int p = 0; p < FH_PATHS; ++p) {
      memcpy(learnt->bound[p][0], learnt->ratio[p + 1][0], sizeof(learnt->bound[p][0]));
      memcpy(learnt->bound[p][1], learnt->ratio[p + 1][3], sizeof(learnt->bound[p][1]));
    }
  }
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
  pack_bounds(f, learnt);
  pack_moment(e, learnt);
  learnt->misfit_s = f->misfit_s;
  learnt->misfits  = f->misfits ? 1.0f : 0.0f;
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
  f->partly         = f->asked && learnt->asked > 1.5f;
  f->misfit_s       = f->asked ? fh_most(learnt->misfit_s, 0.0f) : 0.0f;
  f->misfits        = learnt->misfits > 0.0f;
  unpack_bounds(f, learnt);
  f->seen_s         = fh_most(learnt->seen_s, f->known ? 1.0f : 0.0f); // else tracking would begin anew
  f->solo_s         = learnt->known > 1.0f ? fh_learn_longest_s : 0.0f;
  unpack_floor(&e->learnt.usual, s->hops_per_second, learnt);
  unpack_usual(&e->learnt.usual.ears, learnt);
  e->running.ears.look.lately = e->learnt.usual.ears.above;
  if (e->running.silent) {
    unpack_moment(e, learnt);
  }
  e->learnt.age_s          = -1.0;
  e->learnt.result         = FH_RESULT_NONE;
  e->running.learning.mode = FH_LEARN_OFF;
  e->running.fresh         = true;
  fh_engine_tell(e);
  return true;
}
