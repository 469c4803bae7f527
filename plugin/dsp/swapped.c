// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/swapped.h"

/// Bands in which `x` is over what counts as standing out
static float
standing(const fh_v8 x, const fh_v8 usable)
{
  return fh_v8_sum_above(x, fh_v8_set(fh_swap_stands_db), usable * fh_swap_counted);
}

void
fh_swapped_hop(FhSwapped* const s, const float hop, const fh_v8 ratio, const fh_v8 usable, const bool close_tone)
{
  const bool  tone  = fh_tone_hop(&s->tone, false, fh_swap_kept);
  const fh_v8 off   = ratio - s->field;
  const bool  over  = standing(off, usable) > fh_swap_bands;
  const bool  under = standing(-off, usable) > fh_swap_bands;

  // A median that is fast at first, then follows by half a decibel a second
  const float heard = tone || close_tone ? 0.0f : hop;
  const fh_v8 step  = fh_v8_set(heard * fh_most(fh_swap_step_db / (s->field_s + 0.5f), fh_swap_rate));
  const fh_v8 next  = s->field + fh_v8_select(fh_v8_above(off, fh_v8_set(0.0f)), step, -step);
  s->field          = s->field_s > 0.0f ? next : ratio;
  s->field_s        = fh_least(s->field_s + heard, fh_swap_known_s);

  const bool  there = under && tone && !close_tone;
  const bool  here  = over && close_tone && !tone;
  const bool  moved = under && !tone; // the ratio is another for all that is heard: a fader
  const float way   = there ? 1.0f : here ? fh_swap_here : moved ? fh_swap_moved : fh_swap_idle;
  s->sure_s         = fh_least(fh_most(s->sure_s + (s->field_s > fh_swap_enough_s ? way * hop : 0.0f), 0.0f), fh_swap_most_s);
  s->is             = s->sure_s > fh_swap_sure_s || (s->is && s->sure_s > 0.0f);
}

void
fh_swapped_forget(FhSwapped* const s)
{
  s->field_s = s->sure_s = 0.0f;
  s->is                  = false;
}
