// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/detector.h"
#include "dsp/tracking.h"

#include <math.h>
#include <string.h>

// Time constants per band in ms: a period of the lowest tone in the band is the floor
static const float duck_ms[FH_BANDS] = {20, 15, 10, 10, 10, 10, 10, 10};

static const float length_ms[FH_PATHS] = {[FH_PATH_NOTE] = 20.0f, [FH_PATH_PHRASE] = 80.0f};

// For how long a look holds the ambient: what sounds in both microphones need not arrive in both at once
static const float held_ms[FH_PATHS] = {[FH_PATH_NOTE] = 20.0f};

// What is rare shows too seldom while learning: the threshold lies half way between what was found and this
static const float firm_db = 5.0f;

// Where nobody asked to learn, a soloist may have played all along and raised what seems to be rest: at most this, dB
static const float unsure_db = 4.0f;

static const float learning_moments = 16.0f; // a second: all that a Learn hears

static float
pole(const float ms, const float ticks_per_second)
{
  return expf(-1000.0f / (ms * ticks_per_second));
}

void
fh_detector_init(FhDetector* const d, const double ticks_per_second, const int usable)
{
  memset(d, 0, sizeof(*d));
  d->ticks_per_second = (float)ticks_per_second;
  for (int k = 0; k < FH_BANDS; ++k) {
    d->usable[k]     = k < usable ? 1.0f : 0.0f;
    d->duck_pole[k]  = pole(duck_ms[k], d->ticks_per_second);
  }
  d->share           = d->usable / fh_v8_sum(d->usable);
  d->hops_per_second = d->ticks_per_second / FH_HOP_TICKS;
  d->key             = d->usable;
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].blocks    = (unsigned)(0.001f * length_ms[p] * d->hops_per_second + 0.5f);
    d->path[p].held_fall = held_ms[p] > 0.0f ? pole(held_ms[p], d->hops_per_second) : 0.0f;
  }
  for (int i = 0; i < FH_FLOORS; ++i) {
    d->floor_past[i] = (FhPowers){fh_v8_set(1e6f), fh_v8_set(1e6f)};
  }
  d->floor_now  = d->floor_past[0];
  d->floor_hops = d->floor_next = 0;
  fh_detector_forget(d);
  fh_detector_reset(d);
}

void
fh_detector_reset(FhDetector* const d)
{
  const FhPowers nothing = {fh_v8_set(0.0f), fh_v8_set(0.0f)};
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].average    = nothing;
    d->path[p].held       = nothing.ambient;
    d->path[p].pickup     = fh_v8_set(FH_QUIET);
    d->path[p].over       = fh_v8_set(1.0f);
  }
  d->key_excess = 0.0f;
  d->duck   = nothing;
  d->block  = nothing;
  d->floor  = (FhPowers){fh_v8_set(FH_QUIET), fh_v8_set(FH_QUIET)};
  d->filled = 0;
  d->newest = 0;
  memset(d->last, 0, sizeof(d->last));
  memset(d->fours, 0, sizeof(d->fours));
  fh_detector_refresh(d);
}

void
fh_detector_forget(FhDetector* const d)
{
  fh_detector_learn(d);
  d->separation = 0.0f;
  fh_quantiles_start(&d->common, fh_v8_set(0.0f));
  fh_detector_forget_solo(d);
  for (int p = 0; p < FH_PATHS; ++p) {
    fh_quantiles_start(&d->path[p].ratio, fh_v8_set(0.0f));
  }
  fh_quantiles_start(&d->key_rest, fh_v8_set(0.0f));
}

void
fh_detector_forget_solo(FhDetector* const d)
{
  d->solo   = fh_v8_set(0.0f);
  d->solo_s = 0.0f;
}

void
fh_detector_learn(FhDetector* const d)
{
  d->known = d->learnt = d->misfits = false;
  d->misfit_s = d->seen_s = 0.0f;
  fh_detector_stay(d);
  fh_past_begin(&d->past, d->hops_per_second, learning_moments);
}

/// The median ratio; where nobody asked to learn, judged from the low end, which a soloist moves least
static inline fh_v8
coupling(const FhDetector* const d, const FhPath* const p)
{
  const fh_v8 careful = fh_v8_min(p->ratio.mid, p->ratio.mid + p->ratio.low + 4.0f);
  return fh_v8_undb((d->learnt ? p->ratio.mid : careful) + (d->trim + d->shift));
}

void
fh_detector_refresh(FhDetector* const d)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].coupling = coupling(d, &d->path[p]);
  }
  const fh_v8 weight = d->key * fh_quantiles_trust(&d->path[FH_PATH_NOTE].ratio);
  d->weight          = weight * (1.0f / (fh_v8_sum(weight) + 1e-9f));
  const float found  = (d->key_rest.mid + fh_quantiles_rare(&d->key_rest))[0];
  d->rest            = 0.5f * ((d->learnt ? found : fh_least(found, unsure_db)) + firm_db);
}

/// Close over what the ambient, held a while, lets expect
static inline void
compare(FhDetector* const d, const int path)
{
  FhPath* const p = &d->path[path];
  p->held         = fh_v8_max(p->held_fall * p->held, p->average.ambient);
  p->pickup       = fh_detector_expects(d, path, p->held);
  p->over         = (p->average.close + FH_QUIET) / (p->pickup + FH_QUIET);
}

/// Let the paths learn from what they see now, if it counts
static void
watch_paths(FhDetector* const d, const bool counts, const bool learning)
{
  const float limit   = learning ? 1e9f : fh_most(3.0f * d->track_s * d->hops_per_second, FH_QUANTILE_START);
  const bool  begins  = counts && d->seen_s < 0.1f; // the averages fill first
  const bool  settled = d->seen_s > 0.5f;           // somewhat, the ratios
  for (int i = 0; i < FH_PATHS; ++i) {
    FhPath* const p = &d->path[i];
    p->now          = fh_v8_db((p->average.close + FH_QUIET) / (p->held + FH_QUIET));
    if (begins) {
      fh_quantiles_start(&p->ratio, p->now);
    }
    fh_quantiles_add(&p->ratio, p->now, d->usable, counts, limit);
  }
  if (begins) {
    fh_quantiles_start(&d->key_rest, fh_v8_set(0.0f));
  }
  fh_quantiles_add(&d->key_rest, fh_v8_set(d->key_excess), fh_v8_set(1.0f), counts && settled, limit);
}

static inline void
one_pole(FhPowers* const m, const fh_v8 pole, const fh_v8 close, const fh_v8 ambient)
{
  m->close   = fh_v8_fma(pole, m->close - close, close);
  m->ambient = fh_v8_fma(pole, m->ambient - ambient, ambient);
}

/// Where the soloist stands out
static void
watch_solo(FhDetector* const d, const bool learning)
{
  const float step = 6.0f / d->hops_per_second; // follows a change of the level within seconds
  d->separation += d->key_excess > d->separation ? step : -step;
  if (learning) {
    d->solo_s += 1.0f / d->hops_per_second;
    d->solo += (fh_v8_db(d->path[FH_PATH_NOTE].over) - d->solo) / (d->solo_s * d->hops_per_second);
  }
}

static inline FhPowers
least(const FhPowers a, const FhPowers b)
{
  return (FhPowers){fh_v8_min(a.close, b.close), fh_v8_min(a.ambient, b.ambient)};
}

/// What is always there, in each microphone by itself: the least of the last 12 to 16 s (minimum statistics, R. Martin, IEEE
/// TSAP 9(5), 2001)
static void
update_floor(FhDetector* const d, const bool heard)
{
  const FhPath* const note = &d->path[FH_PATH_NOTE];
  if (!heard) {
    return;
  }
  d->floor_now = least(d->floor_now, note->average);
  d->floor     = d->floor_now;
  for (int i = 0; i < FH_FLOORS; ++i) {
    d->floor = least(d->floor, d->floor_past[i]);
  }
  if (d->known) { // a note held from the first moment on is no noise
    d->floor.close = fh_v8_min(d->floor.close, 100.0f * note->coupling * d->floor.ambient + 1e-9f);
  }
  if (++d->floor_hops > (int)(4.0f * d->hops_per_second)) {
    d->floor_hops                = 0;
    d->floor_past[d->floor_next] = d->floor_now;
    d->floor_now                 = note->average;
    d->floor_next                = (d->floor_next + 1) % FH_FLOORS;
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
average_blocks(const FhDetector* const d, FhPath* const p)
{
  const unsigned blocks = p->blocks;

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

/// The averages, and what stands out in them: over the key bands the mean of the power ratios, each band weighted by how rarely it strays
static inline void
look(FhDetector* const d)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    average_blocks(d, &d->path[p]);
    compare(d, p);
  }
  d->key_excess = fh_db(fh_v8_sum(d->weight * d->path[FH_PATH_NOTE].over) + 1e-9f);
}

void
fh_detector_hop(FhDetector* const d, const FhWatch watch, const bool sounds)
{
  const bool heard    = watch != FH_WATCH;
  const bool learning = watch == FH_WATCH_LEARN;
  const bool follow   = heard && d->track_s > 0.0f && !learning;
  const bool tracking = fh_tracking_band_plays(d, heard) && follow;
  const bool first    = learning || (tracking && !d->known);
  const bool model    = learning || (tracking && !d->learnt);

  look(d);
  watch_paths(d, model, learning);
  const fh_v8 now[FH_PATHS] = {d->path[0].now, d->path[1].now};
  fh_past_hop(&d->past, now, fh_v8_sum(d->path[FH_PATH_PHRASE].average.ambient), learning && d->seen_s > 0.1f);
  update_floor(d, heard);
  fh_tracking_hop(d, first, watch, follow && d->learnt);
  if (model) {
    d->seen_s += 1.0f / d->hops_per_second;
    d->known = d->known || (!learning && d->seen_s > 0.5f * d->track_s);
  }
  fh_detector_refresh(d);
  if (sounds && (watch == FH_WATCH_PLAY || watch == FH_WATCH_SOLO)) {
    watch_solo(d, watch == FH_WATCH_SOLO);
  }
}

bool
fh_detector_tick(FhDetector* const d, const fh_v8 close, const fh_v8 ambient)
{
  one_pole(&d->duck, d->duck_pole, close, ambient);
  return fill_block(d, close, ambient);
}
