// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/past.h"

typedef struct {
  float now[FH_MOMENTS]; ///< 1: counts, 0: does not
} Mask;

static float
count_of(const Mask* const mask)
{
  float count = 0.0f;
  for (int i = 0; i < FH_MOMENTS; ++i) {
    count += mask->now[i];
  }
  return count;
}

/// What a share of those that count stay below, in each lane, by halving what is left 14 times
static fh_v8
quantile(const fh_v8* const x, const int stride, const Mask* const mask, const float share)
{
  const float count = count_of(mask);
  const fh_v8 want = fh_v8_set(share * count);
  fh_v8       from = fh_v8_set(-150.0f);
  float       step = 150.0f;
  for (int turn = 0; turn < 14; ++turn, step *= 0.5f) {
    const fh_v8 middle = from + step;
    fh_v8       above  = fh_v8_set(count);
    for (int i = 0; i < FH_MOMENTS; ++i) {
      above -= fh_v8_select(fh_v8_above(x[i * stride], middle), fh_v8_set(mask->now[i]), fh_v8_set(0.0f));
    }
    from = fh_v8_select(fh_v8_above(above, want), from, middle); // so many stay below
  }
  return from + step;
}

/// Half of those that count, and 10, 90, 99 % of them
static FhQuantiles
quantiles(const fh_v8* const x, const int stride, const Mask* const mask)
{
  FhQuantiles q;
  q.mid  = quantile(x, stride, mask, 0.5f);
  q.low  = quantile(x, stride, mask, 0.1f) - q.mid;
  q.high = quantile(x, stride, mask, 0.9f) - q.mid;
  q.top  = quantile(x, stride, mask, 0.99f) - q.mid;
  q.n    = 0.0f;
  return q;
}

/// What the field does by itself, dB per band: the lower ratios, where there are some of those moments in which the band
/// plays, for crowd and wind alone reach the microphones in another ratio
static fh_v8
field_of(const FhPast* const past, const Mask* const heard)
{
  const fh_v8* const phrase = &past->now[0][FH_PATH_PHRASE];
  fh_v8              level[FH_MOMENTS];
  Mask               loud;
  for (int i = 0; i < FH_MOMENTS; ++i) {
    level[i] = fh_v8_set(past->ambient[i]);
  }
  const float least = quantile(level, 1, heard, fh_past_quiet)[0] + fh_past_plays_db;
  for (int i = 0; i < FH_MOMENTS; ++i) {
    loud.now[i] = past->ambient[i] >= least ? heard->now[i] : 0.0f;
  }
  const fh_v8 low  = quantile(phrase, FH_PATHS, heard, fh_past_low);
  const fh_v8 band = quantile(phrase, FH_PATHS, &loud, fh_past_low);
  return count_of(&loud) >= fh_past_some * count_of(heard) ? fh_v8_max(low, band) : low;
}

/// Whether two of the bands that count stand out, one of them firmly
static bool
stand(const fh_v8 over, const fh_v8 bands)
{
  return fh_v8_sum_above(over, fh_v8_set(fh_past_stands_db), bands) > 1.5f &&
         fh_v8_sum_above(over, fh_v8_set(fh_past_firmly_db), bands) > 0.5f;
}

/// The moments away from any note
static Mask
find_rests(const FhPast* const past, const Mask* const heard, const fh_v8 usable)
{
  const fh_v8 field  = field_of(past, heard);
  const int   first  = past->count < FH_MOMENTS ? 0 : past->next;
  Mask        rests  = *heard;
  bool        before = false;
  for (int i = 0; i < FH_MOMENTS; ++i) {
    const int   at     = (first + i) % FH_MOMENTS;
    const fh_v8 over   = past->now[at][FH_PATH_PHRASE] - field;
    const bool  low    = stand(over + fh_past_steady_db, fh_past_low_bands) && past->tone[at];
    const bool  stands = stand(over, usable * fh_past_bands) || low;
    const bool  note   = stands && before; // two in a row: a stroke is over by then
    for (int k = -FH_PAST_AROUND - 1; k <= FH_PAST_AROUND; ++k) {
      const int   near = (at + k + FH_MOMENTS) % FH_MOMENTS;
      const bool  same = i + k >= 0 && i + k < FH_MOMENTS;
      rests.now[near]  = note && same ? 0.0f : rests.now[near];
    }
    before = stands;
  }
  return rests;
}

/// The key excess those moments had: as in detector.c, but for the floor
static void
key_excess(const FhPast* const past, const FhFound* const field, const fh_v8 key, fh_v8 to[FH_MOMENTS])
{
  const FhQuantiles* const q      = &field->ratio[FH_PATH_NOTE];
  fh_v8                    weight = key * fh_quantiles_trust(q);
  weight *= 1.0f / (fh_v8_sum(weight) + 1e-9f);
  for (int i = 0; i < FH_MOMENTS; ++i) {
    to[i] = fh_v8_set(fh_db(fh_v8_sum(weight * fh_v8_undb(past->now[i][FH_PATH_NOTE] - q->mid)) + 1e-9f));
  }
}

/// The third lowest band of each moment, over the median: what only a few bands stay under
static void
common_excess(const FhPast* const past, const FhFound* const field, const fh_v8 usable, fh_v8 to[FH_MOMENTS])
{
  for (int i = 0; i < FH_MOMENTS; ++i) {
    const fh_v8 over  = past->now[i][FH_PATH_PHRASE] - field->ratio[FH_PATH_PHRASE].mid + (1.0f - usable) * 1e3f;
    float       three[3] = {1e3f, 1e3f, 1e3f};
    for (int k = 0; k < FH_BANDS; ++k) {
      const float x = over[k];
      three[2] = fh_least(fh_most(x, three[1]), three[2]);
      three[1] = fh_least(fh_most(x, three[0]), three[1]);
      three[0] = fh_least(x, three[0]);
    }
    to[i] = fh_v8_set(three[2]);
  }
}

void
fh_past_find(const FhPast* const past, const fh_v8 usable, const fh_v8 key, FhFound* const field)
{
  Mask  heard;
  fh_v8 of[FH_MOMENTS];
  for (int i = 0; i < FH_MOMENTS; ++i) {
    heard.now[i] = i < past->count ? 1.0f : 0.0f;
  }
  const Mask rests = find_rests(past, &heard, usable);
  field->heard = past->count;
  field->field = (int)count_of(&rests);
  for (int p = 0; p < FH_PATHS; ++p) {
    field->ratio[p] = quantiles(&past->now[0][p], FH_PATHS, &rests);
  }
  key_excess(past, field, key, of);
  field->key_rest = quantiles(of, 1, &rests);
  common_excess(past, field, usable, of);
  field->common = quantiles(of, 1, &rests);
}
