// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file quantiles.h
/// Quantiles of a stream without storing it, for eight streams at once.
///
/// H. Robbins, S. Monro, "A Stochastic Approximation Method", Ann. Math. Statist. 22(3), 1951: step up by p where the
/// sample is above the estimate, down by 1 - p where it is below, with steps shrinking as 1/n. The best step is one over n times the
/// density at the quantile, here that of a normal law of the spread found so far. With n held at a limit the estimate
/// follows slow change instead of settling.

#ifndef FRONTHASH_DSP_QUANTILES_H
#define FRONTHASH_DSP_QUANTILES_H

#include "dsp/tuning.h"

#include <stdbool.h>

typedef struct {
  fh_v8 mid;  ///< Median, dB
  fh_v8 low;  ///< What 90 % pass, from the median
  fh_v8 high; ///< What 10 % pass, from the median
  fh_v8 top;  ///< What 1 % pass, from the median
  float n;    ///< Samples seen, as far as they still count
} FhQuantiles;

/// Start narrow: steps outward are the larger ones
static inline void
fh_quantiles_start(FhQuantiles* const q, const fh_v8 first)
{
  q->mid  = first;
  q->low  = fh_v8_set(-1.0f);
  q->high = fh_v8_set(1.0f);
  q->top  = fh_v8_set(2.0f);
  q->n    = FH_QUANTILE_START;
}

/// @param width 1 / density at the quantile
static inline fh_v8
fh_quantile_step(const fh_v8 estimate, const fh_v8 x, const float p, const float width, const fh_v8 step)
{
  const fh_v8 way = fh_v8_select(fh_v8_above(x, estimate), fh_v8_set(width * p), fh_v8_set(width * (p - 1.0f)));
  return fh_v8_fma(step, way, estimate);
}

/// Take one sample a stream; `weight` is 0 or 1 per stream, `limit` bounds how many samples count. Where `counts` is false
/// nothing changes, at the same cost: the time this takes must not depend on the sound.
static inline void
fh_quantiles_add(FhQuantiles* const q, const fh_v8 x, const fh_v8 weight, const bool counts, const float limit)
{
  // Standard deviation from the 10 % and 90 % points of a normal law, which are 2.56 of it apart
  const fh_v8 found  = fh_v8_min((q->high - q->low) * fh_normal_spread, fh_v8_set(fh_spread_most));
  const fh_v8 spread = fh_v8_max(found, fh_v8_set(fh_spread_least));
  const fh_v8 step   = weight * ((counts ? 1.0f : 0.0f) / q->n) * spread;
  const fh_v8 off    = x - q->mid;

  // Densities of the normal law
  q->mid  = fh_quantile_step(q->mid, x, 0.50f, 2.51f, step);
  q->low  = fh_quantile_step(q->low, off, 0.10f, 5.70f, step);
  q->high = fh_quantile_step(q->high, off, 0.90f, 5.70f, step);
  q->top  = fh_quantile_step(q->top, off, 0.99f, 37.5f, step);
  q->n    = !counts ? q->n : q->n < limit ? q->n + 1.0f : limit;
}

/// What is passed once in a thousand, from the median: a straight exponential tail through 10 % and 1 %, carried on
static inline fh_v8
fh_quantiles_rare(const FhQuantiles* const q)
{
  const fh_v8 top = fh_v8_max(q->top, q->high);
  return top + top - q->high;
}

/// How much a level difference says in each band, power ratio: less where it strays far at rest
static inline fh_v8
fh_quantiles_trust(const FhQuantiles* const q)
{
  const fh_v8 rare = fh_v8_min(fh_quantiles_rare(q), fh_v8_set(fh_rare_most));
  return fh_v8_undb(-0.5f * rare);
}

#endif
