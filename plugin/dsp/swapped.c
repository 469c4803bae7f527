// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/swapped.h"

static const fh_v8 counted = {0, 0, 1, 1, 1, 1, 1, 1}; // not where wind is, which comes to either microphone alone
static const float stands_db = 10.0f; // out of the field, in more than
static const float bands     = 2.5f;
static const float kept      = 0.97f; // a hop: 90 ms
static const float enough_s  = 3.0f;  // of field, before anything can stand out of it
static const float sure_s    = 2.0f;
static const float most_s    = 3.0f;  // so that it does not take for ever to be taken back

/// Bands in which `x` is over what counts as standing out
static float
standing(const fh_v8 x, const fh_v8 usable)
{
  return fh_v8_sum_above(x, fh_v8_set(stands_db), usable * counted);
}

void
fh_swapped_hop(FhSwapped* const s, const float hop, const fh_v8 ratio, const fh_v8 usable, const bool close_tone)
{
  const bool  tone  = fh_tone_hop(&s->tone, false, kept);
  const fh_v8 off   = ratio - s->field;
  const bool  over  = standing(off, usable) > bands;
  const bool  under = standing(-off, usable) > bands;

  // A median that is fast at first, then follows by half a decibel a second
  const float heard = tone || close_tone ? 0.0f : hop;
  const fh_v8 step  = fh_v8_set(heard * fh_most(12.0f / (s->field_s + 0.5f), 0.5f));
  const fh_v8 next  = s->field + fh_v8_select(fh_v8_above(off, fh_v8_set(0.0f)), step, -step);
  s->field          = s->field_s > 0.0f ? next : ratio;
  s->field_s        = fh_least(s->field_s + heard, 60.0f);

  const bool  there = under && tone && !close_tone;
  const bool  here  = over && close_tone && !tone;
  const bool  moved = under && !tone; // the ratio is another for all that is heard: a fader
  const float way   = there ? 1.0f : here ? -3.0f : moved ? -1.0f : -0.02f;
  s->sure_s         = fh_least(fh_most(s->sure_s + (s->field_s > enough_s ? way * hop : 0.0f), 0.0f), most_s);
  s->is             = s->sure_s > sure_s || (s->is && s->sure_s > 0.0f);
}

void
fh_swapped_forget(FhSwapped* const s)
{
  s->field_s = s->sure_s = 0.0f;
  s->is                  = false;
}
