// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "scene.h"

#include "stage.h"
#include "stems.h"
#include "vary.h"
#include "weather.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define BREEZE_DB -24.0 // light wind under the band, always there
#define CROWD_DB -26.0

static double
ratio_of(const double db)
{
  return pow(10.0, db / 20.0);
}

/// Power of solo and band at the close microphones over the 10 ms frames in which both sound (within 30 dB of
/// their loudest)
static double
measure_ratio(const FhScene* const scene, float* const band[])
{
  const size_t step  = (size_t)(scene->rate / 100.0);
  const size_t start = (size_t)(scene->learn.to * scene->rate);
  double       top_solo = 0.0, top_band = 0.0, solo = 0.0, both = 0.0;
  for (int pass = 0; pass < 2; ++pass) {
    for (size_t n = start; n + step <= scene->frames; n += step) {
      double s = 0.0, p = 0.0;
      for (uint32_t m = 0; m < scene->closes; ++m) {
        s += fh_power(scene->solo[m], n, n + step);
        p += fh_power(band[m], n, n + step);
      }
      if (pass == 0) {
        top_solo = fmax(top_solo, s);
        top_band = fmax(top_band, p);
      } else if (s > 1e-3 * top_solo && p > 1e-3 * top_band) {
        solo += s;
        both += p;
      }
    }
  }
  return both > 0.0 ? solo / both : 1.0;
}

static void
multiply(float* const x, const size_t frames, const double gain)
{
  for (size_t n = 0; n < frames; ++n) {
    x[n] *= (float)gain;
  }
}

/// 20 dB up and down in 10 s; the mean power stays
static void
swing(float* const x, const size_t from, const size_t frames, const double rate)
{
  const double mean = 2.8157; // of 10^sin: the modified Bessel function I0(ln 10)
  for (size_t n = from; n < frames; ++n) {
    const double turn = (double)(n - from) / (10.0 * rate);
    x[n] *= (float)sqrt(pow(10.0, sin(2.0 * PI * turn)) / mean);
  }
}

static bool
add_wind(const FhScene* const scene, const uint32_t mic, const int gusts, const double power, const size_t from)
{
  const size_t count = scene->frames - from;
  float* const wind  = (float*)malloc(count * sizeof(float));
  if (wind) {
    fh_make_wind(fh_random(scene->request.seed, 800 + mic + 10 * (uint64_t)gusts + 100 * (uint64_t)scene->request.minute), gusts,
                 scene->rate, wind, count);
    for (size_t n = 0; n < count; ++n) {
      scene->pickup[mic][from + n] += (float)sqrt(power) * wind[n];
    }
  }
  free(wind);
  return wind != NULL;
}

static bool
add_crowd(FhScene* const scene, const FhStage* const stage, const double power, const bool roar)
{
  float* heard[FH_MAX_MICS] = {NULL};
  bool   ok                 = true;
  for (uint32_t m = 0; m < scene->mics; ++m) {
    ok = (heard[m] = (float*)calloc(scene->frames, sizeof(float))) && ok;
  }
  ok = ok && (roar ? fh_add_crowd(fh_random(scene->request.seed, 901), &stage->field, stage->mics, scene->mics, scene->rate, heard,
                                  scene->frames)
                   : fh_stems_get_crowd(scene, stage, heard));
  for (uint32_t m = 0; m < scene->mics; ++m) {
    for (size_t n = 0; ok && n < scene->frames; ++n) {
      const double at   = (double)n / scene->rate;
      const double far  = fmin(fabs(at - 18.0), fabs(at - 34.0)); // two roars of about five seconds
      const double gain = roar ? fmax(0.0, fmin(1.0, 3.0 - far)) : 1.0;
      scene->pickup[m][n] += (float)(sqrt(power) * gain) * heard[m][n];
    }
    free(heard[m]);
  }
  return ok;
}

/// The soloist turns away for every other phrase: 10 dB less and dull at the close microphones
static void
turn_off_axis(const FhScene* const scene)
{
  const double pole = 1.0 - exp(-2.0 * PI * 1500.0 / scene->rate);
  for (uint32_t m = 0; m < scene->closes; ++m) {
    double away = 0.0, low = 0.0;
    size_t phrase = 0;
    for (size_t n = 0; n < scene->frames; ++n) {
      while (phrase + 1 < scene->phrase_count && (double)n > (scene->phrases[phrase + 1].from - 0.2) * scene->rate) {
        ++phrase;
      }
      away += ((phrase % 2 ? 1.0 : 0.0) - away) / (0.03 * scene->rate);
      const double x = (double)scene->solo[m][n];
      low += pole * (x - low);
      scene->solo[m][n] = (float)((1.0 - away) * x + away * ratio_of(-10.0) * low);
    }
  }
}

static void
turn_up_ambient(FhScene* const scene)
{
  scene->trim_at       = 0.5 * (scene->learn.to + (double)scene->frames / scene->rate);
  const uint32_t m     = scene->mics - 1;
  const double   start = scene->trim_at * scene->rate;
  for (size_t n = (size_t)start; n < scene->frames; ++n) {
    const float gain = (float)ratio_of(12.0 * fmin(((double)n - start) / (0.05 * scene->rate), 1.0));
    scene->solo[m][n] *= gain;
    scene->pickup[m][n] *= gain;
  }
}

/// Drum hits behind the soloist, at the level of the band's other drums
static bool
add_hits(const FhScene* const scene, const FhStage* const stage, const double gain)
{
  float* heard[FH_MAX_MICS] = {NULL};
  bool   ok                 = true;
  for (uint32_t m = 0; m < scene->mics; ++m) {
    ok = (heard[m] = (float*)calloc(scene->frames, sizeof(float))) && ok;
  }
  ok = ok && fh_stage_add_hits(stage, &scene->request, scene->learn.to, heard, scene->frames);
  for (uint32_t m = 0; m < scene->mics; ++m) {
    for (size_t n = 0; ok && n < scene->frames; ++n) {
      scene->pickup[m][n] += (float)gain * heard[m][n];
    }
    free(heard[m]);
  }
  return ok;
}

/// Weather and condition. @param power Of the band at each microphone over the scored part
static bool
apply_condition(FhScene* const scene, const FhStage* const stage, const double power[FH_MAX_MICS])
{
  const size_t   scored  = (size_t)(scene->learn.to * scene->rate);
  const uint32_t ambient = scene->mics - 1;
  bool           ok      = true;
  switch (scene->request.condition) {
  case FH_PLAIN:
  case FH_NEAR:
  case FH_FAR:
  case FH_PA: break;
  case FH_NO_BAND:
    for (uint32_t m = 0; m < scene->mics; ++m) {
      memset(scene->pickup[m], 0, scene->frames * sizeof(float));
    }
    break;
  case FH_NO_SOLO:
  case FH_NO_SOLO_WIND:
  case FH_SWING:
    for (uint32_t m = 0; m < scene->mics; ++m) {
      swing(scene->pickup[m], scored, scene->frames, scene->rate);
      if (scene->request.condition == FH_NO_SOLO_WIND && m < ambient) {
        ok = add_wind(scene, m, 1, power[m], scored) && ok;
      }
    }
    break;
  case FH_WIND_CLOSE:
    for (uint32_t m = 0; m < ambient; ++m) {
      ok = add_wind(scene, m, 1, power[m], scored) && ok;
    }
    break;
  case FH_WIND_AMBIENT: ok = add_wind(scene, ambient, 1, power[ambient], scored); break;
  case FH_OFF_AXIS: turn_off_axis(scene); break;
  case FH_DRUMS_BEHIND: ok = add_hits(scene, stage, ratio_of(scene->band_gain)); break;
  case FH_ROAR: ok = add_crowd(scene, stage, power[0], true); break;
  case FH_TRIM:
  case FH_CONDITIONS: break;
  }
  for (uint32_t m = 0; m < scene->mics; ++m) {
    ok = add_wind(scene, m, 0, power[m] * pow(10.0, BREEZE_DB / 10.0), 0) && ok;
  }
  ok = add_crowd(scene, stage, power[0] * pow(10.0, CROWD_DB / 10.0), false) && ok;
  if (scene->request.condition == FH_TRIM) {
    turn_up_ambient(scene);
  }
  return ok;
}

static double
peak(const FhScene* const scene, const uint32_t first, const uint32_t end)
{
  float top = 0.0f;
  for (uint32_t m = first; m < end; ++m) {
    for (size_t n = 0; n < scene->frames; ++n) {
      top = fmaxf(top, fabsf(scene->solo[m][n] + scene->pickup[m][n]));
    }
  }
  return (double)top;
}

/// Set the gains of the microphone inputs. Minutes without soloist share fixed gains, to follow without a step.
static void
set_gains(FhScene* const scene)
{
  const bool   fixed   = scene->request.condition >= FH_NO_SOLO;
  const double close   = fixed ? 0.05 : ratio_of(-3.0) / peak(scene, 0, scene->closes);
  const double ambient = fixed ? 0.05 : ratio_of(-15.0) / peak(scene, scene->closes, scene->mics);
  scene->input_gain[0] = close;
  scene->input_gain[1] = ambient;
  for (uint32_t m = 0; m < scene->mics; ++m) {
    multiply(scene->solo[m], scene->frames, m < scene->closes ? close : ambient);
    multiply(scene->pickup[m], scene->frames, m < scene->closes ? close : ambient);
    for (size_t n = 0; fixed && n < scene->frames; ++n) { // no click where the minutes meet
      const double edge = fmin((double)n, (double)(scene->frames - n)) / (0.02 * scene->rate);
      scene->pickup[m][n] *= (float)fmin(edge, 1.0);
    }
  }
}

bool
fh_scene_build(FhScene* const scene, const FhSceneRequest* const request)
{
  const bool nobody = request->condition >= FH_NO_SOLO;
  FhStage    stage;
  fh_stage_set(&stage, request);
  *scene                  = (FhScene){.request = *request, .rate = request->rate, .closes = stage.closes, .mics = stage.closes + 1};
  scene->frames           = (size_t)((nobody ? 60.0 : FH_SCENE_SECONDS) * request->rate);
  scene->learn            = (FhStretch){0.0, request->minute ? 0.0 : FH_LEARN_SECONDS};
  scene->ambient_distance = stage.ambient_distance;
  scene->ambient_omni     = stage.ambient_omni;
  FhSong song = fh_song(request->seed + 1000 * (uint64_t)request->minute, (double)scene->frames / request->rate);
  if (request->vary) {
    fh_vary_song(request->vary, &song);
  }
  if (!nobody) {
    fh_song_phrases(&song, FH_LEARN_SECONDS, song.length);
    memcpy(scene->phrases, song.phrases, sizeof(scene->phrases));
    scene->phrase_count = song.phrase_count;
  }

  bool ok = true;
  for (uint32_t m = 0; m < scene->mics; ++m) {
    scene->solo[m]   = (float*)calloc(scene->frames, sizeof(float));
    scene->pickup[m] = (float*)calloc(scene->frames, sizeof(float));
    ok               = ok && scene->solo[m] && scene->pickup[m];
  }
  ok = ok && fh_stems_get(request, &stage, &song, scene, scene->pickup);
  if (ok && !nobody) {
    scene->band_gain = 10.0 * log10(measure_ratio(scene, scene->pickup)) - request->ratio;
  }
  double power[FH_MAX_MICS] = {0.0};
  for (uint32_t m = 0; ok && m < scene->mics; ++m) {
    multiply(scene->pickup[m], scene->frames, ratio_of(scene->band_gain));
    power[m] = fh_power(scene->pickup[m], (size_t)(scene->learn.to * scene->rate), scene->frames);
  }
  ok = ok && apply_condition(scene, &stage, power);
  if (ok) {
    set_gains(scene);
  } else {
    fprintf(stderr, "scene: cannot build %s\n", request->spec->name);
    fh_scene_free(scene);
  }
  return ok;
}

void
fh_scene_free(FhScene* const scene)
{
  for (uint32_t m = 0; m < FH_MAX_MICS; ++m) {
    free(scene->solo[m]);
    free(scene->pickup[m]);
    scene->solo[m] = scene->pickup[m] = NULL;
  }
}
