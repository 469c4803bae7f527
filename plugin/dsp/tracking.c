// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/tracking.h"

#include "dsp/engine_state.h"

#include <math.h>

/// The three least of four values, each in all lanes
typedef struct {
  fh_v4 first, second, third;
} Least;

static inline Least
least_of(const fh_v4 x)
{
  const fh_v4 y     = __builtin_shufflevector(x, x, 1, 0, 3, 2);
  const fh_v4 small = fh_v4_min(x, y); // of either pair
  const fh_v4 large = fh_v4_max(x, y);
  const fh_v4 other = __builtin_shufflevector(small, small, 2, 3, 0, 1);
  const fh_v4 inner = fh_v4_max(small, other);
  const fh_v4 outer = fh_v4_min(large, __builtin_shufflevector(large, large, 2, 3, 0, 1));
  return (Least){fh_v4_min(small, other), fh_v4_min(inner, outer), fh_v4_max(inner, outer)};
}

/// How far the ratios stand from the learnt medians
///
/// A soloist leaves some bands alone, wind many; a changed level moves all.
typedef struct {
  float least; ///< In the band where it stands lowest, dB
  float third; ///< In the third band from there
  float range; ///< From the lowest band to the highest
  float above; ///< Share of the bands that stand far above what they did while learning
  float below; ///< Share of the bands that stand far below it, and out of what is always there
  float out;   ///< Share of the bands that stand out of what is always there
} FhCommon;

/// Share of the bands for which `x` holds more than `than`
static inline float
share(const FhEngine* const e, const fh_v8 x, const fh_v8 than)
{
  return fh_v8_sum_above(x, than, e->setup.share);
}

/// Where both microphones hear much more than what is always there; elsewhere it may be crowd alone, which reaches them in
/// another ratio than the band: a band that pauses is no trim
static inline fh_v8
standing_out(const FhDetector* const d, const fh_v8 x)
{
  const FhPowers* const m    = &d->path[FH_PATH_PHRASE].average;
  const fh_v8           none = fh_v8_set(-1e3f);
  const fh_v8           out  = fh_v8_select(fh_v8_above(m->ambient, fh_out_ambient * d->floor.ambient), x, none);
  return fh_v8_select(fh_v8_above(m->close, fh_out_close * d->floor.close), out, none);
}

/// The least of all lanes
static inline float
least_of_all(const fh_v8 x)
{
  const FhHalves h = {x};
  return least_of(fh_v4_min(h.half[0], h.half[1])).first[0];
}

static FhCommon
common_move(const FhEngine* const e)
{
  const FhDetector* const  d     = &e->running.detector;
  const FhQuantiles* const ratio = &e->learnt.field.ratio[FH_PATH_PHRASE];
  const fh_v8              move  = d->path[FH_PATH_PHRASE].now - ratio->mid - e->learnt.field.shift;
  const fh_v8              none  = (1.0f - e->setup.usable) * 1e3f;
  const fh_v8              x     = move + none;

  // Of each two bands the smaller and the larger: the third of all is one of the first three smaller or first two larger
  const FhHalves h     = {x};
  const Least    small = least_of(fh_v4_min(h.half[0], h.half[1]));
  const Least    large = least_of(fh_v4_max(h.half[0], h.half[1]));
  const fh_v4    third = fh_v4_min(fh_v4_min(small.third, large.second), fh_v4_max(small.second, large.first));
  return (FhCommon){.least = small.first[0],
                    .third = third[0],
                    .range = -least_of_all(none - move) - small.first[0],
                    .above = share(e, move, fh_far_times * ratio->high + fh_far_more_db),
                    .below = share(e, standing_out(d, -move), fh_far_more_db - fh_far_times * ratio->low),
                    .out   = share(e, standing_out(d, fh_v8_set(1.0f)), fh_v8_set(0.0f))};
}

/// Follow what moves all bands alike: a trim, a fader, the band coming nearer.
///
/// Within what was seen while learning, the median is followed slowly, and only at rest. Beyond that for a while it is another
/// level, caught up with in a second, and what a note cut short of that is made good at the next rest. While the gate is open
/// all bands must be lifted for long, for a soloist may do that; but not soon after the field was found to be softer, if they
/// are lifted alike: then a roar has ended, or the trim was less than it seemed.
static void
track_shift(FhEngine* const e, const FhCommon move, const bool playing)
{
  FhField* const f       = &e->learnt.field;
  const float    track_s = e->settings.track_s;
  const float    hop     = e->setup.hop_s;
  const float spread = fh_least(fh_most(fh_normal_spread * (f->common.high[0] - f->common.low[0]), fh_slow_least_db), fh_slow_most_db);
  const float off    = move.third - f->common.mid[0];
  const bool  loud   = move.out > fh_half_of_bands;
  const bool  soon   = f->shift_before_s > 0.0f; // after catching up
  const bool  back   = soon && f->shift < f->shift_before;
  const bool  lifted = back ? move.least > fh_back_db && move.range < fh_back_range_db : move.least > fh_lifted_db;
  const bool  above  = playing ? lifted : move.above > fh_most_of_bands;
  const bool  below  = move.below > fh_most_of_bands;
  const float sure_s = playing && above ? (back ? fh_back_s : fh_lifted_part * track_s) : 0.0f;

  f->beyond_s *= 1.0f - (playing ? fh_forget_open : fh_forget_rest) * hop;
  f->beyond_s += above ? hop : below ? -hop : 0.0f;
  f->lifted_s = (above || below) && fabsf(f->beyond_s) > (playing ? fh_beyond_open_s : fh_beyond_rest_s) ? f->lifted_s + hop : 0.0f;
  f->shift_before_s -= hop;
  if (f->lifted_s > sure_s) {
    f->shift_before   = f->shift_before_s < fh_pause_s ? f->shift : f->shift_before;
    f->shift_before_s = fh_soon_s;
    f->catch_s  = fh_catch_s;
  }
  if (f->catch_s > 0.0f) {
    const float way = f->beyond_s > 0.0f ? 1.0f : -1.0f;
    f->catch_s      = way * off > 0.0f ? f->catch_s - hop : 0.0f; // until there
    f->shift += loud || way > 0.0f ? way * fh_catch_rate * hop : 0.0f;
  } else if (!playing && loud) {
    const float rate = soon ? (off > 0.0f ? fh_soon_up_rate : fh_soon_down_rate) : spread / (fh_slow_times * track_s);
    f->shift += (off > 0.0f ? rate : -rate) * hop;
  }
}

/// Follow what is heard as if nobody had asked to learn, and quickly at first: what was learnt is only where that begins
static void
follow_instead(FhField* const f)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    f->ratio[p].mid += f->shift;
    f->ratio[p].n = FH_QUANTILE_START;
  }
  f->key_rest.n = f->common.n = FH_QUANTILE_START;
  fh_field_stay(f);
  f->asked = f->partly = false;
  f->misfit_s = 0.0f;
}

/// Follow the field as if nothing were known of it: open at first, then quickly
static void
follow_anew(FhField* const f)
{
  const FhField was = *f;
  *f                = fh_field_unknown();
  f->solo           = was.solo;
  f->solo_s         = was.solo_s;
  f->separation     = was.separation;
  f->misfits        = was.misfits;
}

/// Whether what is known is the field at all. While the band plays, a soloist can only lift the ratio, so that no band stays far
/// under it: else whoever was learnt instead is shut out for good. Nor does a soloist lift all bands all the time: else a fader was
/// moved, which where nobody asked no shift follows, or crowd was followed before there was a band.
static void
watch_fit(FhEngine* const e, const FhCommon move)
{
  FhField* const          f      = &e->learnt.field;
  const FhDetector* const d      = &e->running.detector;
  const fh_v8             over   = d->path[FH_PATH_PHRASE].now - f->shift - fh_field_ratio(f, FH_PATH_PHRASE);
  const float             hop    = move.out > fh_half_of_bands ? e->setup.hop_s : 0.0f;
  const float             track  = e->settings.track_s;
  const bool              louder = share(e, standing_out(d, -over), fh_v8_set(fh_misfit_db)) > fh_misfit_bands;
  const bool              softer = !f->asked && least_of_all(over + (1.0f - e->setup.usable) * 1e3f) > fh_lifted_db;
  const float             back   = fh_most(fh_least(-f->misfit_s, hop), -hop);
  const float             lifted = e->running.evidence < 1.0f ? fh_lifted_long_s : 2.0f * fh_lifted_long_s; // best begun at rest

  f->misfit_s += louder ? hop : softer ? -hop : back;
  const bool wrong = f->misfit_s > fh_misfit_s || f->misfit_s < -lifted;
  f->misfits       = f->misfits ? !f->asked || f->misfit_s > 0.0f : f->asked && wrong;
  if (f->asked && f->misfits && track > 0.0f) {
    follow_instead(f);
  } else if (!f->asked && wrong && track > 0.0f) {
    follow_anew(f);
  }
}

bool
fh_tracking_band_plays(FhEngine* const e, const bool heard)
{
  FhUsual* const u       = &e->learnt.usual;
  const float    ambient = fh_v8_sum(e->running.detector.path[FH_PATH_PHRASE].average.ambient);
  if (heard) {
    u->band_hops  = fh_least(u->band_hops + 1.0f, fh_band_mean_s * e->setup.hops_per_second);
    u->band_level += (ambient - u->band_level) / u->band_hops;
  }
  return heard && ambient > fh_band_plays * u->band_level;
}

void
fh_tracking_hop(FhEngine* const e, const bool first, const FhWatch watch, const bool follow)
{
  FhField* const          f     = &e->learnt.field;
  const FhDetector* const d     = &e->running.detector;
  const FhCommon          move  = common_move(e);
  const bool              keeps = watch != FH_WATCH_LEARN;
  const float limit = keeps ? fh_most(e->settings.track_s * e->setup.hops_per_second, FH_QUANTILE_START) : 1e9f;

  fh_quantiles_add(&f->common, fh_v8_set(move.third), fh_v8_set(1.0f), first, limit);
  if (follow && fh_v8_sum(d->path[FH_PATH_PHRASE].average.close) > fh_follow_close * fh_v8_sum(d->floor.close)) {
    track_shift(e, move, watch != FH_WATCH_REST);
  }
  if (keeps && f->known && watch != FH_WATCH) {
    watch_fit(e, move);
  }
}
