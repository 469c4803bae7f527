// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "rehearsal.h"

#include "../../scenes/random.h"
#include "../../scenes/stage.h"
#include "../../scenes/weather.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NOISE_DB (-78.0) // dBFS of microphones and preamplifiers
#define BREEZE_DB (-24.0) // and
#define CROWD_DB (-26.0)  // as in the scenes, under the band
#define BAND_ALONE 10.0   // s
#define MUSIC 34.0        // s
#define MOST_NOTES 64

const char* const fh_form_names[FH_FORMS] = {"scale", "music", "turns", "bars"};

static const int scale_steps[] = {0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24};

/// Add `count` frames of one row of buffers to another
static void
copy_in(float* const to[], float* const from[], const size_t mics, const size_t at, const size_t count)
{
  for (size_t m = 0; m < mics; ++m) {
    for (size_t i = 0; i < count; ++i) {
      to[m][at + i] += from[m][i];
    }
  }
}

static double
gain_of(const double db)
{
  return pow(10.0, db / 20.0);
}

static bool
make_room(FhRehearsal* const r, const double seconds)
{
  bool ok   = true;
  r->frames = (size_t)(seconds * r->rate);
  for (size_t m = 0; m <= r->closes; ++m) {
    r->solo[m]  = calloc(r->frames, sizeof(float));
    r->field[m] = calloc(r->frames, sizeof(float));
    ok          = ok && r->solo[m] && r->field[m];
  }
  return ok;
}

/// Crowd and breeze where the band does not play, from the start to `frames`
static bool
add_quiet(FhRehearsal* const r, const FhStage* const stage, const double power[FH_MICS], const double* const input,
          const size_t frames)
{
  float* heard[FH_MICS] = {NULL};
  bool   ok             = true;
  for (size_t m = 0; m <= r->closes; ++m) {
    ok = (heard[m] = calloc(frames, sizeof(float))) && ok;
  }
  const uint32_t mics = (uint32_t)r->closes + 1;
  ok = ok && fh_add_crowd(fh_random(r->request.seed, 930), &stage->field, stage->mics, mics, r->rate, heard, frames);
  float* const wind = malloc(frames * sizeof(float));
  for (size_t m = 0; ok && wind && m <= r->closes; ++m) {
    const double in = input[m == r->closes];
    fh_make_wind(fh_random(r->request.seed, 830 + m), 0, r->rate, wind, frames);
    for (size_t i = 0; i < frames; ++i) {
      r->field[m][i] += (float)(in * gain_of(CROWD_DB) * sqrt(power[0])) * heard[m][i] +
                        (float)(in * gain_of(BREEZE_DB) * sqrt(power[m])) * wind[i];
    }
  }
  for (size_t m = 0; m <= r->closes; ++m) {
    free(heard[m]);
  }
  free(wind);
  return ok && wind;
}

/// How far the ambient microphone is from the middle of what is played
static void
note_places(FhRehearsal* const r, const FhStage* const stage)
{
  const FhPoint at  = stage->mics[stage->closes].at;
  r->ambient_metres = hypot(at.x, at.y);
}

/// Notes of a scale, with a hand that is not even
static void
write_scale(const FhRehearsalRequest* const q, const FhInstrument* const in, FhPart* const part)
{
  FhRandom  r     = fh_random(q->seed, 940);
  const int steps = (int)(sizeof(scale_steps) / sizeof(scale_steps[0]));
  const int low   = in->low + 2 + fh_random_below(&r, 4);
  double    at    = 1.0;
  for (int i = 0; i < steps && low + scale_steps[i] <= in->high; ++i) {
    const double length = fh_random_in(&r, 0.42, 0.55);
    fh_part_add(part, (FhNote){at, length, (float)(low + scale_steps[i]), (float)fh_random_in(&r, 0.62, 0.78)});
    at += length + fh_random_in(&r, 0.06, 0.12);
  }
}

/// One note at a time, so that each can have a place and a level of its own
typedef struct {
  const FhStage* stage;
  FhSceneRequest scene;
  FhInstrumentId instrument;
} FhBarPlayer;

/// Where a bar lies on an instrument of that length, m from the middle
static double
bar_place(const int index, const int count, const double length)
{
  return length * ((double)index / (count - 1) - 0.5);
}

static bool
play_bar(FhRehearsal* const r, const FhBarPlayer* const p, const FhNote* const note, const double x, const double db)
{
  const size_t frames = (size_t)(2.2 * r->rate);
  const size_t start  = (size_t)(note->start * r->rate);
  FhNote       alone  = *note;
  alone.start         = 0.05;
  alone.strength      = 0.8f; // its own is in the gain below
  const FhPart part   = {&alone, 1, 1, 0};
  float* const source = malloc(frames * sizeof(float));
  float*       heard[FH_MICS];
  bool         ok = source != NULL;
  for (size_t m = 0; m <= r->closes; ++m) {
    ok = (heard[m] = calloc(frames, sizeof(float))) && ok;
  }
  if (ok && p->scene.sampled) {
    ok = fh_sampled_part(p->scene.font, p->instrument, &part, 0.0, r->rate, source, frames);
  } else if (ok) {
    fh_synth_part(p->instrument, &part, 0.0, r->rate, source, frames);
  }
  // Every bar as loud as the next in its first tenth of a second: what the hand adds is in the strength of the note
  const size_t from = (size_t)(0.05 * r->rate);
  const double is   = ok ? fh_power(source, from, from + (size_t)(0.1 * r->rate)) : 0.0;
  const double to   = gain_of(fh_instruments[p->instrument].level - 94.0 + db) * (double)note->strength;
  for (size_t i = 0; ok && i < frames; ++i) {
    source[i] *= (float)(to / sqrt(is + 1e-20));
  }
  for (size_t m = 0; ok && m <= r->closes; ++m) {
    fh_add_source(source, (FhPoint){x, 0.0, 0.9}, &p->stage->mics[m], heard[m], frames, r->rate, &p->stage->field);
  }
  if (ok && start + frames <= r->frames) {
    copy_in(r->solo, heard, r->closes + 1, start - from, frames);
  }
  for (size_t m = 0; m <= r->closes; ++m) {
    free(heard[m]);
  }
  free(source);
  return ok;
}

static bool
rehearse_bars(FhRehearsal* const r, const FhSceneRequest* const scene)
{
  const FhRehearsalRequest* const q  = &r->request;
  const FhInstrumentId            id = q->spec->instruments[0];
  const FhInstrument* const       in = &fh_instruments[id];
  FhRandom                        any = fh_random(q->seed, 950);
  FhStage                         stage;
  fh_stage_set(&stage, scene);
  r->closes            = q->closes == 1 ? 1 : 2;
  const int    count   = in->high - in->low + 1;
  const double length  = id == FH_MARIMBA ? 2.0 : 1.4;
  const double over    = q->over > 0.0 ? q->over : r->closes == 1 ? 0.8 : 0.35;
  const FhMic  ambient = stage.mics[stage.closes];
  stage.closes         = (uint32_t)r->closes;
  stage.mics[0] = (FhMic){{r->closes == 1 ? 0.0 : -length / 4.0, 0.0, 0.9 + over}, {0, 0, -1}, 0.5};
  stage.mics[1] = (FhMic){{length / 4.0, 0.0, 0.9 + over}, {0, 0, -1}, 0.5};
  stage.mics[r->closes] = ambient;
  note_places(r, &stage);
  const FhBarPlayer player = {&stage, *scene, id};
  bool              ok     = make_room(r, 3.5 + 0.45 * count);
  double            at     = 0.8;
  for (int i = 0; ok && i < count; ++i) {
    const FhNote note = {at, 1.2, (float)(in->low + i), (float)fh_random_in(&any, 0.84, 1.19)};
    ok = play_bar(r, &player, &note, bar_place(i, count, length), q->odd == i ? q->odd_db : 0.0);
    at += fh_random_in(&any, 0.42, 0.48);
  }
  double power[FH_MICS] = {0.0}, top = 0.0;
  for (size_t m = 0; ok && m <= r->closes; ++m) {
    power[m] = 0.1 * fh_power(r->solo[m], 0, r->frames); // the band that would play
    for (size_t i = 0; m < r->closes && i < r->frames; ++i) {
      top = fmax(top, (double)fabsf(r->solo[m][i]));
    }
  }
  const double input[2] = {gain_of(-9.0) / top, gain_of(-9.0) / top * gain_of(fh_random_in(&any, 0.0, 12.0))};
  for (size_t m = 0; ok && m <= r->closes; ++m) {
    for (size_t i = 0; i < r->frames; ++i) {
      r->solo[m][i] *= (float)input[m == r->closes];
    }
  }
  memcpy(r->input, input, sizeof(input));
  r->alone_to = (double)r->frames / r->rate;
  return ok && add_quiet(r, &stage, power, input, r->frames);
}

/// Scale, or one player after the other
static bool
play_alone(FhRehearsal* const r, const FhSceneRequest* const scene, const FhStage* const stage, const size_t frames)
{
  const FhRehearsalRequest* const q   = &r->request;
  const bool                      turns   = q->form == FH_FORM_TURNS;
  const int                       players = turns ? q->spec->soloists : 1;
  bool                            ok      = true;
  double                          first   = 1.0;
  FhRandom                        any     = fh_random(q->seed, 960);
  for (int p = 0; ok && p < players; ++p) {
    const FhInstrument* const in   = &fh_instruments[q->spec->instruments[p]];
    FhPart                    part = {NULL, 0, 0, 0};
    if (turns) {
      for (int i = 0; i < 5; ++i) {
        const int key = (in->low + in->high) / 2 - 4 + scale_steps[i];
        fh_part_add(&part, (FhNote){1.0 + 5.0 * p + 0.5 * i, 0.44, (float)key, (float)fh_random_in(&any, 0.64, 0.76)});
      }
    } else {
      write_scale(q, in, &part);
    }
    float* heard[FH_MICS] = {NULL};
    for (size_t m = 0; m <= r->closes; ++m) {
      ok = (heard[m] = calloc(frames, sizeof(float))) && ok;
    }
    ok = ok && fh_stage_add_player(stage, scene, p, &part, 0.0, heard, frames);
    // Players of a group that is set up well are alike at its microphone, but for half a decibel
    const double is    = ok ? fh_power(heard[0], 0, frames) : 1.0;
    first              = p ? first : is;
    const double gains = !turns ? 1.0 : sqrt(first / (is + 1e-20)) * gain_of(fh_random_in(&any, -0.5, 0.5) + (q->odd == p ? q->odd_db : 0.0));
    for (size_t m = 0; ok && m <= r->closes; ++m) {
      const float gain = (float)gains;
      for (size_t i = 0; i < frames; ++i) {
        r->solo[m][i] += gain * heard[m][i];
      }
    }
    for (size_t m = 0; m <= r->closes; ++m) {
      free(heard[m]);
    }
    fh_part_free(&part);
  }
  return ok;
}

/// Louder or softer: one note of the scale
static void
shade_note(FhRehearsal* const r, FhPart* const part)
{
  write_scale(&r->request, &fh_instruments[r->request.spec->instruments[0]], part);
  const FhNote* const note = &part->notes[r->request.odd % (int)part->count];
  const size_t        from = (size_t)((note->start - 0.03) * r->rate);
  const size_t        to   = (size_t)((note->start + note->length + 0.03) * r->rate);
  for (size_t m = 0; m < r->closes; ++m) {
    for (size_t i = from; i < to && i < r->frames; ++i) {
      r->solo[m][i] *= (float)gain_of(r->request.odd_db);
    }
  }
}

/// Form from a scene: its band and levels
static bool
rehearse_scene(FhRehearsal* const r, const FhSceneRequest* const request)
{
  const FhForm form = r->request.form;
  FhScene      scene;
  FhStage      stage;
  fh_stage_set(&stage, request);
  if (!fh_scene_build(&scene, request)) {
    return false;
  }
  r->closes             = scene.closes;
  note_places(r, &stage);
  memcpy(r->input, scene.input_gain, sizeof(r->input));
  const double alone    = form == FH_FORM_SCALE ? 10.5 : 1.0 + 5.0 * request->spec->soloists;
  const size_t frames   = (size_t)(alone * r->rate);
  const size_t band     = (size_t)(BAND_ALONE * r->rate);
  double       power[FH_MICS] = {0.0};
  for (size_t m = 0; m <= r->closes; ++m) {
    const double in = scene.input_gain[m == r->closes];
    power[m]        = fh_power(scene.pickup[m], (size_t)(scene.learn.to * r->rate), scene.frames) / (in * in);
  }
  bool ok = make_room(r, form == FH_FORM_MUSIC ? MUSIC : form == FH_FORM_SCALE ? alone + BAND_ALONE : alone);
  if (ok && form == FH_FORM_MUSIC) {
    copy_in(r->solo, scene.solo, r->closes + 1, 0, r->frames);
    copy_in(r->field, scene.pickup, r->closes + 1, 0, r->frames);
  } else if (ok) {
    ok          = play_alone(r, request, &stage, frames);
    r->alone_to = alone;
    for (size_t m = 0; ok && m <= r->closes; ++m) {
      for (size_t i = 0; i < frames; ++i) {
        r->solo[m][i] *= (float)scene.input_gain[m == r->closes];
      }
    }
    ok = ok && add_quiet(r, &stage, power, scene.input_gain, frames);
    if (form == FH_FORM_SCALE) {
      copy_in(r->field, scene.pickup, r->closes + 1, frames, band);
    }
  }
  if (ok && form == FH_FORM_SCALE && fabs(r->request.odd_db) > 0.0) {
    FhPart part = {NULL, 0, 0, 0};
    shade_note(r, &part);
    fh_part_free(&part);
  }
  fh_scene_free(&scene);
  return ok;
}

bool
fh_rehearse(FhRehearsal* const r, const FhRehearsalRequest* const request)
{
  *r = (FhRehearsal){.request = *request, .rate = FH_REHEARSAL_RATE};
  const FhSceneRequest scene = {request->spec, request->seed, FH_REHEARSAL_RATIO, r->rate, request->sampled, FH_PLAIN, 0,
                                request->cache_dir, request->font, 0, 0};
  r->kind = request->form == FH_FORM_TURNS  ? FH_CHECK_GROUP
            : request->form == FH_FORM_BARS ? FH_CHECK_MALLETS
                                            : FH_CHECK_SOLOIST;
  const bool ok = request->form == FH_FORM_BARS ? rehearse_bars(r, &scene) : rehearse_scene(r, &scene);
  for (size_t m = 0; ok && m <= r->closes; ++m) {
    FhRandom any = fh_random(request->seed, 970 + m);
    for (size_t i = 0; i < r->frames; ++i) {
      r->field[m][i] += (float)gain_of(NOISE_DB) * fh_random_noise(&any);
    }
  }
  if (!ok) {
    fh_rehearsal_free(r);
  }
  return ok;
}

void
fh_rehearsal_free(FhRehearsal* const r)
{
  for (size_t m = 0; m < FH_MICS; ++m) {
    free(r->solo[m]);
    free(r->field[m]);
    r->solo[m] = r->field[m] = NULL;
  }
}

FhCheckOptions
fh_rehearsal_options(const FhRehearsal* const r)
{
  const FhSceneSpec* const spec  = r->request.spec;
  const bool               xylo  = spec->instruments[0] == FH_XYLOPHONE;
  int                      low   = 127, high = 0;
  for (int p = 0; p < spec->soloists; ++p) {
    low  = low < fh_instruments[spec->instruments[p]].low ? low : fh_instruments[spec->instruments[p]].low;
    high = high > fh_instruments[spec->instruments[p]].high ? high : fh_instruments[spec->instruments[p]].high;
  }
  return (FhCheckOptions){.kind     = r->kind,
                          .players  = r->kind == FH_CHECK_GROUP ? spec->soloists : 0,
                          .celsius  = 20.0,
                          .partials = {xylo ? 3.0 : 4.0, xylo ? 6.0 : 10.0},
                          .low      = low,
                          .high     = high,
                          .sings    = spec->instruments[0] == FH_VOICE};
}
