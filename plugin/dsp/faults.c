// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine_state.h"

/// Ticks for which a microphone has been missing, for its mean square and that of the other
static float
missing(const float ticks, const float level, const float other, const float notice)
{
  const bool alone = level < fh_faint && (other > fh_apart * level || ticks > notice);
  return level < fh_silent || alone ? ticks + FH_HOP_TICKS : 0.0f;
}

/// Whether a microphone is the ambient at any level within 20 dB, turned over or not: by Cauchy and Schwarz, the squared
/// sum of products reaches the product of the sums of squares only where the signals are alike
static bool
alike(const FhInputs* const in, const int mic)
{
  const float a = in->squares[mic];
  const float b = in->squares[FH_MIC_AMBIENT];
  const float c = in->product[mic];
  return c * c >= fh_alike_least * a * b && a < fh_alike_gain * b && b < fh_alike_gain * a;
}

/// Ticks left of a time that begins anew with every hop of which `now` is true
static float
since(const float left, const bool now, const float ticks)
{
  return now ? ticks : left > 0.0f ? left - FH_HOP_TICKS : 0.0f;
}

/// Whether any microphone is off fh_zero. The mean of a hop still holds half of a low wave, hence the poles.
static bool
off_zero(FhFaults* const f, const FhInputs* const in, const float second)
{
  const float fresh = FH_HOP_TICKS / (fh_offset_s * second + FH_HOP_TICKS);
  f->offset_now += fresh * (in->mean - f->offset_now);
  f->offset += fresh * (f->offset_now - f->offset);

  const fh_i4 above = f->offset > fh_zero;
  const fh_i4 below = f->offset < -fh_zero;
  f->off            = fh_v4_kept(above, fh_v4_max(f->off, fh_v4_set(0.0f)) + (float)FH_HOP_TICKS) +
           fh_v4_kept(below, fh_v4_min(f->off, fh_v4_set(0.0f)) - (float)FH_HOP_TICKS);
  return fh_v4_any(fh_v4_size(f->off) > fh_still_s * second);
}

/// For how long each close microphone has been missing, and all of them; what is measured goes by those that are there
/// @return Whether those are others than in the last hop
static bool
lose_close(FhEngine* const e, const float notice)
{
  FhFaults* const f       = &e->running.faults;
  const fh_v4     squares = e->running.inputs.squares;
  const float     before  = f->closes;
  float           there   = 0.0f;
  f->no_close             = 1e9f;
  for (int mic = 0; mic < (int)e->setup.closes; ++mic) {
    const float others = squares[FH_MIC_AMBIENT] + squares[FH_MIC_CLOSE_2 - mic];
    f->lost[mic]       = missing(f->lost[mic], squares[mic], others, notice);
    f->no_close        = fh_least(f->no_close, f->lost[mic]);
    there += f->lost[mic] > fh_brief_s * e->setup.ticks_per_second ? 0.0f : 1.0f;
  }
  f->closes = there > 0.0f ? there : (float)e->setup.closes;
  return f->closes != before;
}

static FhFault
name(const FhEngine* const e)
{
  const FhFaults* const f      = &e->running.faults;
  const float           notice = fh_notice_s * e->setup.ticks_per_second;
  const bool            lost   = f->lost[0] > notice || f->lost[1] > notice;
  return f->broken > 0.0f         ? FH_FAULT_BROKEN // also where silence takes their place
         : f->no_ambient > notice ? FH_FAULT_NO_AMBIENT
         : f->same > notice       ? FH_FAULT_AMBIENT_IS_CLOSE
         : lost                   ? FH_FAULT_NO_CLOSE
         : e->running.swapped.is          ? FH_FAULT_SWAPPED
         : f->clipped > 0.0f      ? FH_FAULT_CLIPPING
         : f->off_zero            ? FH_FAULT_OFFSET
                                  : FH_FAULT_NONE;
}

void
fh_faults_hop(FhEngine* const e)
{
  const FhInputs* const in = &e->running.inputs;
  FhFaults* const       f  = &e->running.faults;

  const float second  = e->setup.ticks_per_second;
  const float notice  = fh_notice_s * second;
  const float close   = in->squares[0] + in->squares[1];
  const float ambient = in->squares[FH_MIC_AMBIENT];
  f->no_ambient       = missing(f->no_ambient, ambient, close, notice);
  const bool other    = lose_close(e, notice);

  const bool pair    = e->setup.closes > 1u;
  const bool same    = alike(in, 0) || (pair && alike(in, 1));
  const bool wild    = in->peak[FH_MIC_AMBIENT] >= fh_hot;
  const bool clipped = in->clipped || in->peak[0] >= fh_hot || in->peak[1] >= fh_hot || wild;
  f->same            = ambient < fh_silent ? f->same : same ? f->same + FH_HOP_TICKS : 0.0f;
  f->clipped         = since(f->clipped, clipped, fh_shown_s * second);
  f->broken          = since(f->broken, in->broken, fh_shown_s * second);
  f->squashed        = since(f->squashed, clipped, FH_SETTLE_S * second);
  f->wild            = since(f->wild, wild, fh_wild_s * second);

  const bool gone = f->no_ambient > fh_brief_s * second || f->no_close > fh_brief_s * second;
  f->off_zero     = off_zero(f, in, second);
  const bool useless = f->same > notice || e->running.swapped.is; // of the ambient
  const bool lost     = f->no_ambient < fh_never && (f->no_ambient > fh_brief_s * second || useless);
  f->settle           = since(f->settle, gone || other || f->off_zero || useless, FH_SETTLE_S * second);
  f->regained     = since(f->regained, lost || f->wild > 0.0f, FH_SETTLE_S * second);
  f->heard += f->heard < FH_HEARD_HOPS ? 1 : 0;
  f->blind        = f->no_ambient > notice || useless;
  f->fault        = name(e);
}
