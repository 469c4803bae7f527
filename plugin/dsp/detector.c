// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/detector.h"

#include <math.h>
#include <string.h>

// Time constants per band in ms: a period of the lowest tone in the band is the floor
static const float time_ms[FH_PATHS][FH_BANDS] = {
  [FH_PATH_ONSET] = {12, 6, 4, 3, 2, 2, 2, 2},
  [FH_PATH_NOTE] = {30, 20, 15, 15, 15, 15, 15, 15},
  [FH_PATH_PHRASE] = {80, 80, 80, 80, 80, 80, 80, 80},
};

// How much more than an average as long as a note an early look must show
static const float extra_db[FH_PATHS] = {[FH_PATH_ONSET] = 2.0f};

static const float quiet = 1e-12f; // -120 dBFS: added to every mean square

void
fh_detector_init(FhDetector* const d, const double ticks_per_second, const int usable)
{
  memset(d, 0, sizeof(*d));
  d->ticks_per_second = (float)ticks_per_second;
  for (int k = 0; k < FH_BANDS; ++k) {
    d->usable[k] = k < usable ? 1.0f : 0.0f;
    for (int p = 0; p < FH_PATHS; ++p) {
      d->path[p].average.pole[k] = (float)exp(-1000.0 / ((double)time_ms[p][k] * ticks_per_second));
    }
  }
  d->key = d->usable;
  fh_detector_forget(d);
  fh_detector_reset(d);
}

void
fh_detector_reset(FhDetector* const d)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    d->path[p].average.close   = fh_v8_set(0.0f);
    d->path[p].average.ambient = fh_v8_set(0.0f);
    d->path[p].excess          = fh_v8_set(0.0f);
    d->path[p].pickup          = fh_v8_set(quiet);
    d->path[p].key_excess      = 0.0f;
  }
  d->floor = fh_v8_set(quiet);
}

void
fh_detector_forget(FhDetector* const d)
{
  d->known      = false;
  d->seen       = 0.0f;
  d->separation = 0.0f;
  fh_detector_forget_solo(d);
  for (int p = 0; p < FH_PATHS; ++p) {
    fh_quantiles_start(&d->path[p].ratio, fh_v8_set(0.0f));
    fh_quantiles_start(&d->path[p].key, fh_v8_set(0.0f));
  }
}

void
fh_detector_learn(FhDetector* const d)
{
  d->known = false;
  d->seen  = 0.0f;
}

void
fh_detector_forget_solo(FhDetector* const d)
{
  d->solo      = fh_v8_set(0.0f);
  d->solo_seen = 0.0f;
}

static inline void
average_add(FhAverage* const m, const fh_v8 close, const fh_v8 ambient)
{
  m->close   = close + m->pole * (m->close - close);
  m->ambient = ambient + m->pole * (m->ambient - ambient);
}

/// The median ratio; before anything is known, judged from the low end, which a soloist moves least
static inline fh_v8
coupling_db(const FhDetector* const d, const FhPath* const p)
{
  return d->known ? p->ratio.mid : fh_v8_min(p->ratio.mid, p->ratio.mid + p->ratio.low + 4.0f);
}

/// Excess per band, and over the key bands: mean of the power ratios, each band weighted by how rarely it strays
static void
compare(FhDetector* const d, FhPath* const p)
{
  const fh_v8 coupling = fh_v8_undb(coupling_db(d, p) + d->trim);
  const fh_v8 pickup   = coupling * p->average.ambient + d->floor;
  const fh_v8 ratio    = (p->average.close + quiet) / (pickup + quiet);
  const fh_v8 rare     = fh_v8_min(fh_quantiles_rare(&p->ratio), fh_v8_set(20.0f));
  const fh_v8 weight   = d->key * fh_v8_undb(-rare);

  p->excess     = fh_v8_db(ratio);
  p->pickup     = pickup;
  p->key_excess = fh_db((fh_v8_sum(weight * ratio) + 1e-9f) / (fh_v8_sum(weight) + 1e-9f));
}

static void
watch_path(FhDetector* const d, FhPath* const p, const float limit)
{
  const fh_v8 ratio = fh_v8_db((p->average.close + quiet) / (p->average.ambient + quiet));
  if (d->seen < 2.0f) {
    fh_quantiles_start(&p->ratio, ratio);
    fh_quantiles_start(&p->key, fh_v8_set(0.0f));
  }
  fh_quantiles_add(&p->ratio, ratio, d->usable, limit);

  if (d->seen > 0.5f * d->ticks_per_second) { // once the ratios have settled somewhat
    fh_quantiles_add(&p->key, fh_v8_set(p->key_excess), fh_v8_set(1.0f), limit);
  }
}

/// Where the soloist stands out, while there is evidence of one
static void
watch_solo(FhDetector* const d, const bool learning)
{
  const FhPath* const note = &d->path[FH_PATH_NOTE];
  if (fh_detector_evidence(d) <= 0.0f) {
    return;
  }
  const float step = 6.0f / d->ticks_per_second; // follows a change of the level within seconds
  d->separation += note->key_excess > d->separation ? step : -step;
  if (learning) {
    d->solo_seen += 1.0f;
    d->solo += (note->excess - d->solo) / d->solo_seen;
  }
}

void
fh_detector_tick(FhDetector* const d, const fh_v8 close, const fh_v8 ambient, const FhWatch watch)
{
  // The close microphones' own noise: follows down at once, up by half a dB a second
  const fh_v8 risen = d->floor * (1.0f + 0.115f / d->ticks_per_second);
  d->floor          = fh_v8_max(fh_v8_min(risen, d->path[FH_PATH_NOTE].average.close), fh_v8_set(quiet));

  for (int p = 0; p < FH_PATHS; ++p) {
    average_add(&d->path[p].average, close, ambient);
    compare(d, &d->path[p]);
  }

  const bool learning = watch == FH_WATCH_LEARN;
  if (learning || (d->track_for > 0.0f && (watch == FH_WATCH_REST || (watch != FH_WATCH && !d->known)))) {
    const float limit = learning ? 1e9f : d->track_for;
    d->seen += 1.0f;
    for (int p = 0; p < FH_PATHS; ++p) {
      watch_path(d, &d->path[p], limit);
    }
    if (!learning && d->seen > d->track_for * 0.5f) {
      d->known = true;
    }
  }
  if (watch == FH_WATCH_PLAY || watch == FH_WATCH_SOLO) {
    watch_solo(d, watch == FH_WATCH_SOLO);
  }
}

float
fh_detector_evidence(const FhDetector* const d)
{
  float most = -1e9f;
  for (int p = 0; p < FH_PATHS; ++p) {
    const FhPath* const path = &d->path[p];
    const float         over = path->key_excess - path->key.mid[0] - fh_quantiles_rare(&path->key)[0] - extra_db[p];
    most                     = over > most ? over : most;
  }
  return most;
}
