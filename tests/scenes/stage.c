// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "stage.h"

#include "random.h"
#include "vary.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846

/// One row of the band
typedef struct {
  FhInstrumentId instrument;
  FhRole         role;
  int            players;
  double         from_x, to_x, y; ///< m
  double         level;           ///< dB beside the instrument's own
} Row;

static const Row rows[] = {
  {FH_FLUTE, FH_MELODY, 2, -6, -3, 9, 0},       {FH_CLARINET, FH_MELODY, 2, 3, 7, 10, 0},
  {FH_ALTO_SAX, FH_CHORD, 2, -11, -8, 13, 0},   {FH_TRUMPET, FH_MELODY, 4, -5, 6, 17, 0},
  {FH_MELLOPHONE, FH_CHORD, 3, 8, 13, 18, 0},   {FH_TROMBONE, FH_CHORD, 3, -13, -6, 21, 0},
  {FH_EUPHONIUM, FH_BASS, 2, -2, 2, 24, 0},     {FH_TUBA, FH_BASS, 2, 5, 12, 29, 3},
  {FH_DRUMS, FH_SNARE, 2, -4, 0, 31, 0},        {FH_DRUMS, FH_TENORS, 1, 2, 2, 31, 0},
  {FH_DRUMS, FH_BASS_DRUM, 2, 5, 8, 33, 5},     {FH_DRUMS, FH_CYMBALS, 1, -9, -9, 34, 2},
};

void
fh_stage_set(FhStage* const stage, const FhSceneRequest* const request)
{
  FhRandom          r    = fh_random(request->seed, 10);
  const FhTechnique how  = request->spec->technique;
  const double      wish = fh_random_in(&r, 2.0, 4.0);
  const double      side = fh_random_in(&r, 0.5, 1.5) * (fh_random_below(&r, 2) ? 1.0 : -1.0);

  stage->ambient_omni     = fh_random_below(&r, 2);
  stage->ambient_distance = request->condition == FH_NEAR ? 0.0 : request->condition == FH_FAR ? 20.0 : wish;
  stage->field            = (FhField){fh_random_in(&r, 8.0, 30.0), fh_random_in(&r, 40.0, 80.0), 0.6, -25.0, 50.0, 0.4};
  stage->closes           = how == FH_MIC_UNDER ? 2 : 1;
  stage->nearness = stage->stretch[0] = stage->stretch[1] = 1.0;

  FhMic* const m = stage->mics;
  if (how == FH_MIC_UNDER) {
    m[0] = (FhMic){{-0.5, 0.0, 0.6}, {0, 0, 1}, 0.5};
    m[1] = (FhMic){{0.5, 0.0, 0.6}, {0, 0, 1}, 0.5};
  } else if (how == FH_MIC_BODY) {
    m[0] = (FhMic){{0.0, 0.0, 1.4}, fh_direction(0.3, 0.8, -0.4), 0.5};
  } else {
    m[0] = (FhMic){{0.0, 0.0, 1.5}, fh_direction(0.0, 1.0, -0.1), 0.5};
  }
  // a real cardioid's rear rejection is some 18 dB, not endless: 0.56 + 0.44 cos
  m[stage->closes] = (FhMic){{side, stage->ambient_distance, 1.6}, {0, 1, 0}, stage->ambient_omni ? 1.0 : 0.56};
  if (request->vary) {
    fh_vary_stage(request->vary, stage);
  }
}

static bool
sound(const FhSceneRequest* const request,
      const FhInstrumentId        id,
      const FhPart* const         part,
      const double                cents,
      float* const                to,
      const size_t                frames)
{
  if (request->sampled) {
    return fh_sampled_part(request->font, id, part, cents, request->rate, to, frames);
  }
  fh_synth_part(id, part, cents, request->rate, to, frames);
  return true;
}

/// No two people play exactly together or in tune: shift and weigh every note a little
static void
humanise(FhPart* const part, FhRandom* const r, const double late)
{
  for (size_t i = 0; i < part->count; ++i) {
    FhNote* const n = &part->notes[i];
    n->start        = fmax(n->start + late + fh_random_in(r, -0.008, 0.008), 0.0);
    n->strength     = (float)fmin((double)n->strength * fh_random_in(r, 0.9, 1.1), 1.0);
  }
}

static void
hear(const FhStage* const stage, const FhPoint at, const float* const source, float* const to[], const size_t frames, const double rate)
{
  for (uint32_t m = 0; m <= stage->closes; ++m) {
    fh_add_source(source, at, &stage->mics[m], to[m], frames, rate, &stage->field);
  }
}

static void
scale(float* const x, const size_t frames, const double db)
{
  const float gain = (float)pow(10.0, db / 20.0);
  for (size_t n = 0; n < frames; ++n) {
    x[n] *= gain;
  }
}

/// Of a few sections, whether this one is among them
static bool
takes_part(const FhSceneRequest* const request, const size_t row)
{
  const size_t all  = sizeof(rows) / sizeof(rows[0]);
  FhRandom     r    = fh_random(request->seed, 60);
  size_t       left = (size_t)request->few;
  for (size_t i = 0; i < all && left; ++i) {
    const bool chosen = (size_t)fh_random_below(&r, (int)(all - i)) < left;
    if (i == row) {
      return chosen;
    }
    left -= chosen;
  }
  return !request->few;
}

/// A section of few comes and goes: it plays for 3 to 12 s, then rests for 2 to 8 s
static void
come_and_go(const FhSceneRequest* const request, const size_t row, FhPart* const part)
{
  FhRandom r    = fh_random(request->seed, 61 + row);
  double   from = fh_random_in(&r, -6.0, 4.0), to = from + fh_random_in(&r, 3.0, 12.0);
  size_t   kept = 0;
  for (size_t i = 0; i < part->count; ++i) {
    while (part->notes[i].start > to) {
      from = to + fh_random_in(&r, 2.0, 8.0);
      to   = from + fh_random_in(&r, 3.0, 12.0);
    }
    if (part->notes[i].start >= from) {
      part->notes[kept++] = part->notes[i];
    }
  }
  part->count = kept;
}

bool
fh_stage_add_band(const FhStage* const        stage,
                  const FhSceneRequest* const request,
                  const FhSong* const         song,
                  float* const                to[],
                  const size_t                frames)
{
  float* const source = (float*)malloc(frames * sizeof(float));
  bool         ok     = source != NULL;
  for (size_t row = 0; ok && row < sizeof(rows) / sizeof(rows[0]); ++row) {
    const Row* const          w  = &rows[row];
    const FhInstrument* const in = &fh_instruments[w->instrument];
    for (int p = 0; ok && p < w->players && takes_part(request, row); ++p) {
      FhRandom     r     = fh_random(request->seed, 100 + row * 16 + (size_t)p);
      const double share = w->players > 1 ? (double)p / (w->players - 1) : 0.5;
      const double x     = w->from_x + share * (w->to_x - w->from_x) + fh_random_in(&r, -0.8, 0.8);
      const double y     = w->y + fh_random_in(&r, -1.0, 1.0);
      FhPart       part  = {NULL, 0, 0, 0};
      const FhVaried how = fh_vary_player(request->vary, row, false, in);
      fh_song_band_part(song, w->role, p, how.low, how.high, &part);
      part.sound = how.sound;
      if (request->few) {
        come_and_go(request, row, &part);
      }
      humanise(&part, &r, fh_random_in(&r, 0.0, 0.015));
      ok = sound(request, w->instrument, &part, fh_random_in(&r, -10.0, 10.0), source, frames);
      scale(source, frames, w->level + how.level + fh_random_in(&r, -1.5, 1.5));
      hear(stage, (FhPoint){x * stage->stretch[0], y * stage->stretch[1], 1.4}, source, to, frames, request->rate);
      fh_part_free(&part);
    }
  }
  free(source);
  return ok;
}

static FhPoint
place(const FhSceneSpec* const spec, const double distance, const int player)
{
  if (spec->technique == FH_MIC_UNDER) { // lower half of the bars left, upper half right
    return (FhPoint){player ? 0.45 : -0.45, 0.0, 0.6 + distance};
  }
  if (spec->technique == FH_MIC_GROUP) {
    const double angle = spec->soloists > 1 ? (2.0 * player / (spec->soloists - 1) - 1.0) * 50.0 * PI / 180.0 : 0.0;
    const double r     = distance * (1.0 + 0.15 * (player % 2));
    return (FhPoint){r * sin(angle), r * cos(angle), 1.45};
  }
  const FhPoint d = spec->technique == FH_MIC_BODY ? fh_direction(0.3, 0.8, -0.4) : (FhPoint){0, 1, 0};
  const double  z = spec->technique == FH_MIC_BODY ? 1.4 : 1.5;
  return (FhPoint){d.x * distance, d.y * distance, z + d.z * distance};
}

/// To the rear a horn sounds dull: above `hertz` it loses up to 10 dB
static void
turn_away(float* const x, const size_t frames, const double hertz, const double rate)
{
  const float pole = (float)(1.0 - exp(-2.0 * PI * fmin(hertz, 0.4 * rate) / rate));
  float       low  = 0.0f;
  for (size_t n = 0; n < frames; ++n) {
    low += pole * (x[n] - low);
    x[n] = low + 0.316f * (x[n] - low);
  }
}

bool
fh_stage_add_player(const FhStage* const        stage,
                    const FhSceneRequest* const request,
                    const int                   player,
                    const FhPart* const         part,
                    const double                cents,
                    float* const                to[],
                    const size_t                frames)
{
  const FhSceneSpec* const  spec   = request->spec;
  const bool                under  = spec->technique == FH_MIC_UNDER;
  const FhInstrumentId      id     = spec->instruments[under ? 0 : player];
  const FhPoint             at     = place(spec, stage->nearness * spec->distance, player);
  float* const              source = (float*)malloc(frames * sizeof(float));
  const bool                ok     = source && sound(request, id, part, cents, source, frames);
  if (ok) {
    for (uint32_t m = 0; m < stage->closes; ++m) {
      fh_add_source(source, at, &stage->mics[m], to[m], frames, request->rate, &stage->field);
    }
    turn_away(source, frames, fh_instruments[id].beam, request->rate);
    fh_add_source(source, at, &stage->mics[stage->closes], to[stage->closes], frames, request->rate, &stage->field);
  }
  free(source);
  return ok;
}

bool
fh_stage_add_solo(const FhStage* const        stage,
                  const FhSceneRequest* const request,
                  const FhSong* const         song,
                  const FhStretch* const      phrases,
                  const size_t                phrase_count,
                  float* const                to[],
                  const size_t                frames)
{
  const FhSceneSpec* const spec    = request->spec;
  const bool               under   = spec->technique == FH_MIC_UNDER;
  const int                players = under ? 2 : spec->soloists;
  bool                     ok      = true;
  for (int p = 0; ok && p < players; ++p) {
    const FhInstrument* const in   = &fh_instruments[spec->instruments[under ? 0 : p]];
    FhRandom                  r    = fh_random(request->seed, 500 + (uint64_t)p);
    FhPart                    part = {NULL, 0, 0, 0};
    const FhVaried            how  = fh_vary_player(request->vary, 100 + (under ? 0 : (uint64_t)p), true, in);
    part.sound = how.sound;
    for (size_t i = 0; i < phrase_count; ++i) {
      if (!spec->turns || (int)(i % (size_t)players) == p) {
        fh_song_solo_phrase(song, phrases[i], i, under || spec->turns ? 0 : p, how.low + 3, how.high - 5, &part);
      }
    }
    if (under) { // keep one half of the bars
      const float middle = 0.5f * (float)(how.low + how.high);
      size_t      kept   = 0;
      for (size_t i = 0; i < part.count; ++i) {
        if ((part.notes[i].key >= middle) == (p == 1)) {
          part.notes[kept++] = part.notes[i];
        }
      }
      part.count = kept;
    }
    if (p > 0 && !under) {
      humanise(&part, &r, fh_random_in(&r, 0.0, 0.015));
    }
    ok = fh_stage_add_player(stage, request, p, &part, p ? fh_random_in(&r, -8.0, 8.0) : 0.0, to, frames);
    fh_part_free(&part);
  }
  return ok;
}

bool
fh_stage_add_hits(const FhStage* const        stage,
                  const FhSceneRequest* const request,
                  const double                from,
                  float* const                to[],
                  const size_t                frames)
{
  FhRandom     r      = fh_random(request->seed, 700);
  FhPart       part   = {NULL, 0, 0, 0};
  float* const source = (float*)malloc(frames * sizeof(float));
  for (double at = from + 0.7; at < (double)frames / request->rate; at += fh_random_in(&r, 1.0, 3.0)) {
    const int hits = 1 + fh_random_below(&r, 4);
    for (int i = 0; i < hits; ++i) {
      fh_part_add(&part, (FhNote){at + 0.12 * i, 0.15, 38.0f, 0.8f});
    }
  }
  const bool ok = source && sound(request, FH_DRUMS, &part, 0.0, source, frames);
  if (ok) {
    hear(stage, (FhPoint){0.8, 1.7, 1.0}, source, to, frames, request->rate);
  }
  free(source);
  fh_part_free(&part);
  return ok;
}
