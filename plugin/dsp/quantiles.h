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

#include "dsp/simd.h"

typedef struct {
  fh_v8 low;  ///< Passed by 90 % of the samples, dB
  fh_v8 mid;  ///< Median
  fh_v8 high; ///< Passed by 10 %
  fh_v8 top;  ///< Passed by 1 %
  float n;    ///< Samples seen, as far as they still count
} FhQuantiles;

/// Number of samples the first steps pretend to have seen: bounds the step
#define FH_QUANTILE_START 60.0f

static inline void
fh_quantiles_start(FhQuantiles* const q, const fh_v8 first)
{
  q->low  = first - 3.5f;
  q->mid  = first;
  q->high = first + 3.5f;
  q->top  = first + 6.5f;
  q->n    = FH_QUANTILE_START;
}

static inline fh_v8
fh_quantile_step(const fh_v8 estimate, const fh_v8 x, const float p, const fh_v8 scale)
{
  const fh_v8 up   = fh_v8_set(p);
  const fh_v8 down = fh_v8_set(p - 1.0f);
  return estimate + scale * fh_v8_select(x > estimate, up, down);
}

/// Take one sample a stream; `weight` is 0 or 1 per stream
static inline void
fh_quantiles_add(FhQuantiles* const q, const fh_v8 x, const fh_v8 weight, const float limit)
{
  // Standard deviation from the 10 % and 90 % points of a normal law, which are 2.56 of it apart
  const fh_v8 spread = fh_v8_max(fh_v8_min((q->high - q->low) * 0.39f, fh_v8_set(8.0f)), fh_v8_set(0.5f));
  const fh_v8 step   = weight * spread / q->n;

  q->low  = fh_quantile_step(q->low, x, 0.10f, 5.70f * step); // 1 / density: 5.70 at 10 %, 2.51 at 50 %, 37.5 at 99 %
  q->mid  = fh_quantile_step(q->mid, x, 0.50f, 2.51f * step);
  q->high = fh_quantile_step(q->high, x, 0.90f, 5.70f * step);
  q->top  = fh_quantile_step(q->top, x, 0.99f, 37.5f * step);
  q->n    = q->n < limit ? q->n + 1.0f : limit;
}

/// What is passed once in a thousand, over the median: two decades of a straight exponential tail, carried one further
static inline fh_v8
fh_quantiles_rare(const FhQuantiles* const q)
{
  const fh_v8 top = fh_v8_max(q->top, q->high);
  return top + (top - q->high) - q->mid;
}

#endif
