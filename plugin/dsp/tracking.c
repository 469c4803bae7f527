// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/tracking.h"

#include <math.h>

static inline void
order(float* const a, float* const b)
{
  const float least = fh_least(*a, *b);
  *b                = fh_most(*a, *b);
  *a                = least;
}

/// How far the ratios stand from the learnt medians
///
/// A soloist leaves some bands alone, wind many; a changed level moves all.
typedef struct {
  float least; ///< In the band where it stands lowest, dB
  float third; ///< In the third band from there
  float above; ///< Share of the bands that stand far above what they did while learning
  float below; ///< Share of the bands that stand far below it
} FhCommon;

static FhCommon
common_move(const FhDetector* const d)
{
  const FhPath* const p    = &d->path[FH_PATH_PHRASE];
  const fh_v8         move = fh_powers_ratio(&p->average) - p->ratio.mid - d->shift;
  const fh_v8         x    = move + (1.0f - d->usable) * 1e3f;
  const fh_v8         none = fh_v8_set(0.0f);
  const float         each = 1.0f / fh_v8_sum(d->usable);

  float sorted[3] = {1e3f, 1e3f, 1e3f};
  for (int k = 0; k < FH_BANDS; ++k) {
    float v = x[k];
    for (int i = 0; i < 3; ++i) {
      order(&sorted[i], &v);
    }
  }
  return (FhCommon){.least = sorted[0],
                    .third = sorted[2],
                    .above = each * fh_v8_sum(fh_v8_select(move > 1.6f * p->ratio.high + 1.0f, d->usable, none)),
                    .below = each * fh_v8_sum(fh_v8_select(move < 1.6f * p->ratio.low - 1.0f, d->usable, none))};
}

/// Follow what moves all bands alike: a trim, a fader, the band coming nearer.
///
/// Only while the band plays: crowd and wind alone reach the microphones in another ratio. Within what was seen while
/// learning, the median is followed slowly, and only at rest. Beyond that, or all bands lifted while the gate is open, for
/// a while it is another level, caught up with in a second.
static void
track_shift(FhDetector* const d, const FhCommon move, const bool playing)
{
  const float hop    = 1.0f / d->hops_per_second;
  const float spread = fh_least(fh_most(0.39f * (d->common.high[0] - d->common.low[0]), 0.5f), 6.0f);
  const float off    = move.third - d->common.mid[0];
  const bool  above  = playing ? move.least > 3.0f : move.above > 0.7f;
  const bool  below  = move.below > 0.7f;

  d->beyond_s *= 1.0f - (playing ? 4.0f : 0.5f) * hop; // at rest forgets within two seconds, against a soloist at once
  d->beyond_s += above ? hop : below ? -hop : 0.0f;
  if ((above || below) && fabsf(d->beyond_s) > (playing ? 0.2f : 0.5f)) {
    d->lifted_s += hop;
  } else {
    d->lifted_s = 0.0f;
  }
  if (d->lifted_s > (playing && above ? 0.6f * d->track_s : 0.0f)) {
    d->catch_s = 2.0f;
  }
  if (d->catch_s > 0.0f) {
    const float way = d->beyond_s > 0.0f ? 1.0f : -1.0f;
    d->catch_s      = way * off > 0.0f ? d->catch_s - hop : 0.0f; // until there
    d->shift += way * 12.0f * hop;
  } else if (!playing) {
    d->shift += (off > 0.0f ? 1.0f : -1.0f) * hop * spread / (4.0f * d->track_s);
  }
}

bool
fh_tracking_band_plays(FhDetector* const d, const bool heard)
{
  const float ambient = fh_v8_sum(d->path[FH_PATH_PHRASE].average.ambient);
  if (heard) {
    d->band_hops  = fh_least(d->band_hops + 1.0f, 8.0f * d->hops_per_second);
    d->band_level += (ambient - d->band_level) / d->band_hops;
  }
  return heard && ambient > 0.3f * d->band_level;
}

void
fh_tracking_hop(FhDetector* const d, const bool first, const bool learning, const bool follow, const bool playing)
{
  const FhPath* const p     = &d->path[FH_PATH_PHRASE];
  const FhCommon      move  = common_move(d);
  const float         limit = learning ? 1e9f : fh_most(d->track_s * d->hops_per_second, FH_QUANTILE_START);

  fh_quantiles_add(&d->common, fh_v8_set(move.third), fh_v8_set(1.0f), first, limit);
  if (follow && fh_v8_sum(p->average.close) > 10.0f * fh_v8_sum(d->floor)) {
    track_shift(d, move, playing);
  }
}
