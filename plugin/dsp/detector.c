// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"
#include "dsp/tracking.h"

#include <math.h>

/// One-pole coefficient per step for a time in ms
static float
pole(const float ms, const float steps_per_second)
{
  return expf(-1000.0f / (ms * steps_per_second));
}

void
fh_detector_setup(FhSetup* const s)
{
  const float length_ms[FH_PATHS] = {[FH_PATH_NOTE] = fh_note_ms, [FH_PATH_PHRASE] = fh_phrase_ms};
  const float held_ms[FH_PATHS]   = {[FH_PATH_NOTE] = fh_note_held_ms};
  for (int k = 0; k < FH_BANDS; ++k) {
    s->duck_pole[k] = pole(fh_duck_ms[k], s->ticks_per_second);
  }
  s->share       = s->usable / fh_v8_sum(s->usable);
  s->moment_hops = (int)(s->hops_per_second / fh_moments_per_s + 0.5f);
  for (int p = 0; p < FH_PATHS; ++p) {
    s->blocks[p]    = (unsigned)(0.001f * length_ms[p] * s->hops_per_second + 0.5f);
    s->held_fall[p] = held_ms[p] > 0.0f ? pole(held_ms[p], s->hops_per_second) : 0.0f;
  }
}

void
fh_detector_learn(FhEngine* const e)
{
  FhField* const f = &e->learnt.field;
  f->known = f->asked = f->partly = f->misfits = false;
  f->misfit_s = f->seen_s = 0.0f;
  fh_field_stay(f);
  fh_past_begin(&e->running.detector.past, e->setup.moment_hops);
}

static inline fh_v8
coupling(const FhField* const f, const int path, const float trim)
{
  return fh_v8_undb(fh_field_ratio(f, path) + (trim + f->shift));
}

void
fh_detector_refresh(FhEngine* const e)
{
  const FhField* const f = &e->learnt.field;
  FhDetector* const    d = &e->running.detector;
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].coupling = coupling(f, p, e->settings.trim);
  }
  const fh_v8 weight = e->settings.key * fh_quantiles_trust(&f->ratio[FH_PATH_NOTE]);
  d->weight          = weight * (1.0f / (fh_v8_sum(weight) + 1e-9f));
  const float found  = (f->key_rest.mid + fh_quantiles_rare(&f->key_rest))[0];
  d->rest            = 0.5f * ((f->asked ? found : fh_least(found, fh_unsure_db)) + fh_firm_db);
}

/// Close over what the ambient, held a while, lets expect
static inline void
compare(FhDetector* const d, const int path, const float held_fall)
{
  FhPath* const p = &d->path[path];
  p->held         = fh_v8_max(held_fall * p->held, p->average.ambient);
  p->pickup       = fh_detector_expects(d, path, p->held);
  p->over         = (p->average.close + FH_QUIET) / (p->pickup + FH_QUIET);
}

/// Let the paths learn from what they see now, if it counts
static void
watch_paths(FhEngine* const e, const bool counts, const bool learning)
{
  FhField* const    f       = &e->learnt.field;
  FhDetector* const d       = &e->running.detector;
  const float       most    = fh_track_memory * e->settings.track_s * e->setup.hops_per_second;
  const float       limit   = learning ? 1e9f : fh_most(most, FH_QUANTILE_START);
  const bool        begins  = counts && f->seen_s < fh_fill_s;
  const bool        settled = f->seen_s > fh_ratios_s;
  const float       free    = f->partly ? 0.0f : 1e3f;
  for (int i = 0; i < FH_PATHS; ++i) {
    FhPath* const p = &d->path[i];
    p->now          = fh_v8_db((p->average.close + FH_QUIET) / (p->held + FH_QUIET));
    if (begins) {
      fh_quantiles_start(&f->ratio[i], p->now);
    }
    fh_quantiles_add(&f->ratio[i], p->now - f->shift, e->setup.usable, counts, limit);
    f->ratio[i].mid = fh_v8_min(f->ratio[i].mid, f->most[i] + free);
    f->ratio[i].top = fh_v8_min(f->ratio[i].top, f->stray[i] + free);
  }
  if (begins) {
    fh_quantiles_start(&f->key_rest, fh_v8_set(0.0f));
    e->learnt.usual.ears.looks = learning ? e->learnt.usual.ears.looks : 0.0f; // of another prediction
  }
  fh_quantiles_add(&f->key_rest, fh_v8_set(d->key_excess), fh_v8_set(1.0f), counts && settled && !f->asked, limit);
}

static inline void
one_pole(FhPowers* const m, const fh_v8 pole, const fh_v8 close, const fh_v8 ambient)
{
  m->close   = fh_v8_fma(pole, m->close - close, close);
  m->ambient = fh_v8_fma(pole, m->ambient - ambient, ambient);
}

/// Where the soloist stands out
static void
watch_solo(FhEngine* const e, const bool learning)
{
  FhField* const          f    = &e->learnt.field;
  const FhDetector* const d    = &e->running.detector;
  const float             step = fh_separation_rate / e->setup.hops_per_second;
  f->separation += d->key_excess > f->separation ? step : -step;
  if (learning) {
    f->solo_s += e->setup.hop_s;
    f->solo += (fh_v8_db(d->path[FH_PATH_NOTE].over) - f->solo) / (f->solo_s * e->setup.hops_per_second);
  }
}

static inline FhPowers
least(const FhPowers a, const FhPowers b)
{
  return (FhPowers){fh_v8_min(a.close, b.close), fh_v8_min(a.ambient, b.ambient)};
}

/// The least of the last 12 to 16 s (minimum statistics, R. Martin, IEEE TSAP 9(5), 2001)
static void
find_floor(FhEngine* const e)
{
  const FhUsual* const u = &e->learnt.usual;
  FhDetector* const    d = &e->running.detector;
  d->floor = u->floor_now;
  for (int i = 0; i < FH_FLOORS; ++i) {
    d->floor = least(d->floor, u->floor_past[i]);
  }
  if (e->learnt.field.known) { // a note held from the first moment on is no noise
    d->floor.close =
      fh_v8_min(d->floor.close, fh_floor_most * d->path[FH_PATH_NOTE].coupling * d->floor.ambient + fh_floor_least);
  }
}

void
fh_detector_recall(FhEngine* const e)
{
  FhPowers* const floor = &e->running.detector.floor;
  const fh_v8     quiet = fh_v8_set(FH_QUIET);
  fh_detector_refresh(e);
  find_floor(e);
  const fh_i8 unknown = fh_v8_above(floor->ambient, fh_v8_set(fh_no_floor));
  floor->close        = fh_v8_select(unknown, quiet, floor->close);
  floor->ambient      = fh_v8_select(unknown, quiet, floor->ambient);
}

/// What is always there, in each microphone by itself
static void
update_floor(FhEngine* const e, const bool heard)
{
  FhUsual* const      u    = &e->learnt.usual;
  FhDetector* const   d    = &e->running.detector;
  const FhPath* const note = &d->path[FH_PATH_NOTE];
  if (!heard) {
    return;
  }
  u->floor_now = least(u->floor_now, note->average);
  find_floor(e);
  if (++u->floor_hops > (int)(fh_stretch_s * e->setup.hops_per_second)) {
    u->floor_hops                = 0;
    u->floor_past[u->floor_next] = u->floor_now;
    u->floor_now                 = note->average;
    u->floor_next                = (u->floor_next + 1) % FH_FLOORS;
  }
}

static inline void
add(FhPowers* const sum, const FhPowers* const more)
{
  sum->close += more->close;
  sum->ambient += more->ambient;
}

/// As whole vectors: in the halves that an assignment may take they are slow to be read again
static inline void
move(FhPowers* const to, const FhPowers* const from)
{
  to->close   = from->close;
  to->ambient = from->ambient;
}

/// Mean over the newest full blocks. A running sum would be quicker still, but keep the rounding of what was loud.
static void
average_blocks(const FhDetector* const d, FhPath* const p, const unsigned blocks)
{
  FhPowers sum = {fh_v8_set(0.0f), fh_v8_set(0.0f)};
  unsigned i   = 0;
  for (; i < blocks % 4; ++i) {
    add(&sum, &d->last[(d->newest - i) % 4]);
  }
  for (; i < blocks; i += 4) {
    add(&sum, &d->fours[(d->newest - i) % FH_MAX_BLOCKS]);
  }
  const float mean   = 1.0f / (float)((int)blocks * FH_HOP_TICKS);
  p->average.close   = sum.close * mean;
  p->average.ambient = sum.ambient * mean;
}

/// Add a tick to the block now filling. @return whether that block is full
static bool
fill_block(FhDetector* const d, const fh_v8 close, const fh_v8 ambient)
{
  d->block.close += close;
  d->block.ambient += ambient;
  if (++d->filled < FH_HOP_TICKS) {
    return false;
  }
  FhPowers four = {d->block.close, d->block.ambient};
  for (unsigned i = 0; i < 3; ++i) {
    add(&four, &d->last[(d->newest - i) % 4]);
  }
  d->newest = (d->newest + 1) % FH_MAX_BLOCKS;
  move(&d->last[d->newest % 4], &d->block);
  move(&d->fours[d->newest], &four);
  d->block            = (FhPowers){fh_v8_set(0.0f), fh_v8_set(0.0f)};
  d->filled           = 0;
  return true;
}

void
fh_detector_fill(FhEngine* const e, const FhPowers four[FH_FOURS], const int ticks)
{
  FhDetector* const d    = &e->running.detector;
  const fh_v8       none = fh_v8_set(0.0f);
  for (int i = 4 * FH_FOURS - 1; i >= 0; --i) {
    d->block.close   = four[i / 4].close * (float)FH_HOP_TICKS;
    d->block.ambient = four[i / 4].ambient * (float)FH_HOP_TICKS;
    d->filled        = FH_HOP_TICKS - 1;
    (void)fill_block(d, none, none);
  }
  d->block.close   = four[0].close * (float)ticks;
  d->block.ambient = four[0].ambient * (float)ticks;
  d->filled        = ticks;
  for (int i = 0; i < FH_MAX_DELAY_TICKS; ++i) {
    e->running.delay[i] = four[0].ambient;
  }
}

/// The averages, and what stands out in them: over the key bands the mean of the power ratios, each band weighted by how rarely it strays
static inline void
look(FhDetector* const d, const FhSetup* const s)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    average_blocks(d, &d->path[p], s->blocks[p]);
    compare(d, p, s->held_fall[p]);
  }
  d->key_excess = fh_db(fh_v8_sum(d->weight * d->path[FH_PATH_NOTE].over) + 1e-9f);
}

void
fh_detector_hop(FhEngine* const e, const FhWatch watch, const bool sounds)
{
  FhField* const    f        = &e->learnt.field;
  FhDetector* const d        = &e->running.detector;
  const float       track_s  = e->settings.track_s;
  const bool        heard    = watch != FH_WATCH;
  const bool        learning = watch == FH_WATCH_LEARN;
  const bool        follow   = heard && track_s > 0.0f && !learning;
  const bool        tracking = fh_tracking_band_plays(e, heard) && follow;
  const bool        first    = learning || (tracking && !f->known);
  const bool        heals    = f->partly && watch == FH_WATCH_REST;
  const bool        model    = learning || (tracking && (!f->asked || heals));

  look(d, &e->setup);
  watch_paths(e, model, learning);
  const fh_v8 now[FH_PATHS] = {d->path[0].now, d->path[1].now};
  fh_past_hop(&d->past, now, fh_v8_sum(d->path[FH_PATH_PHRASE].average.ambient), e->running.guard.again,
              learning && f->seen_s > fh_fill_s);
  update_floor(e, heard);
  fh_tracking_hop(e, first, watch, follow && f->asked);
  if (model) {
    f->seen_s += e->setup.hop_s;
    f->known = f->known || (!learning && f->seen_s > fh_track_known * track_s);
  }
  fh_detector_refresh(e);
  if (sounds && (watch == FH_WATCH_PLAY || watch == FH_WATCH_SOLO)) {
    watch_solo(e, watch == FH_WATCH_SOLO);
  }
}

bool
fh_detector_tick(FhEngine* const e, const fh_v8 close, const fh_v8 ambient)
{
  FhDetector* const d = &e->running.detector;
  one_pole(&d->duck, e->setup.duck_pole, close, ambient);
  return fill_block(d, close, ambient);
}
