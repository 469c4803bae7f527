// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-takes: run the engine over scenes with known truth and write what it measured, with the truth, to train a decision on.

#include "through.h"
#include "truth.h"

#include "dsp/engine_state.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_TO_ACCEPT 100
#define FH_MAX_SIDES 2 // close, ambient

/// A record a millisecond. Powers are in hundredths of a dB. Solo and field are kept apart, so that any mix can be made later
typedef struct {
  int16_t solo[FH_MAX_SIDES][FH_BANDS];    ///< Mean square of the solo over the millisecond, dBFS: close, ambient
  int16_t field[FH_MAX_SIDES][FH_BANDS];   ///< Likewise of everything else
  int16_t cross[FH_MAX_SIDES][FH_BANDS];   ///< Correlation of the two, -1 to 1, in 1/10000
  int16_t coupling[FH_BANDS];              ///< Predicted pickup over ambient, as learnt and followed so far
  int16_t floor[FH_BANDS];                 ///< What is always there in the close microphone, dBFS
  int16_t spread[FH_BANDS];                ///< What the ratio passes once in a hundred at rest, from its median
  int16_t activity;                        ///< FhActivity, or -1 before the part that counts
  int16_t gate;                            ///< What the present decision makes of it, dB
} Record;

static void
print_help(void)
{
  puts("Usage: fh-takes --output FILE [OPTION]... NAME\n\n"
       "Run the engine over a scene (fh-scene --list) with known truth and write what it measured in each millisecond, with the\n"
       "truth, as records of 74 numbers of 16 bits, bands 1 to 8 of each: solo close, solo ambient, field close, field ambient\n"
       "(hundredths of a dB); correlation of solo and field close, ambient (1/10000); coupling, floor, spread (hundredths of a\n"
       "dB); activity (-1 learning, 0 between, 1 active, 2 resting); gain of the gate as it is (hundredths of a dB).\n\n"
       "  --seed N, --ratio DB, --condition NAME, --font NAME   as fh-scene; seeds below 100 only; font synth: synthesis\n"
       "  --few N                    only so many sections play, and each now and then\n"
       "  --vary N                   other places, sounds and music, by draw number N\n"
       "  --learn S                  learn for so many seconds; 0: nobody presses learn\n"
       "  --learn-from S             from then on, also while the soloist plays; by default from the start\n"
       "  --cache DIR                where rendered stems are kept");
}

static int
fail(const char* const what, const char* const which)
{
  fprintf(stderr, "fh-takes: %s%s\n", what, which);
  return EXIT_FAILURE;
}

static int16_t
centi_db(const double power)
{
  const double db = 1000.0 * log10(power + 1e-15);
  return (int16_t)(db < -32000.0 ? -32000.0 : db > 32000.0 ? 32000.0 : db);
}

/// The take as it is, and either part of it alone: three engines, whose band powers tell solo, field and what both have in common
enum { MIX, SOLO, FIELD, PARTS };

typedef struct {
  FhRig rig[PARTS];
} Rigs;

typedef struct {
  double side[FH_MAX_SIDES][FH_BANDS];
} Powers;

static void
run_part(FhEngine* const e, const FhScene* const scene, const int part, const size_t from, Powers* const powers)
{
  float        mics[FH_MAX_MICS][FH_MAX_TICK], sound[FH_MAX_CLOSES][FH_MAX_TICK];
  const size_t ticks = (size_t)(scene->rate / 1000.0) / e->setup.tick;
  *powers            = (Powers){{{0.0}}};
  for (size_t tick = 0; tick < ticks; ++tick) {
    for (uint32_t m = 0; m < scene->mics; ++m) {
      for (size_t i = 0; i < e->setup.tick; ++i) {
        const size_t n = from + tick * e->setup.tick + i;
        mics[m][i]     = (part == FIELD ? 0.0f : scene->solo[m][n]) + (part == SOLO ? 0.0f : scene->pickup[m][n]);
      }
    }
    const float* const in[]  = {mics[0], mics[1]};
    float* const       out[] = {sound[0], sound[1]};
    fh_engine_run(e, in, mics[scene->closes], out, NULL, e->setup.tick);
    for (int k = 0; k < FH_BANDS; ++k) {
      powers->side[0][k] += (double)e->kernel.running.sums.close[k] / (double)(e->setup.tick * scene->closes * ticks);
      powers->side[1][k] += (double)e->kernel.running.sums.ambient[k] / (double)(e->setup.tick * ticks);
    }
  }
}

static void
run_ms(Rigs* const rigs, const FhScene* const scene, const size_t from, Record* const record)
{
  Powers powers[PARTS];
  for (int part = 0; part < PARTS; ++part) {
    run_part(rigs->rig[part].engine, scene, part, from, &powers[part]);
  }
  const FhEngine* const e = rigs->rig[MIX].engine;
  for (int k = 0; k < FH_BANDS; ++k) {
    for (int side = 0; side < FH_MAX_SIDES; ++side) {
      const double solo = powers[SOLO].side[side][k], field = powers[FIELD].side[side][k];
      const double both        = 0.5 * (powers[MIX].side[side][k] - solo - field) / (sqrt(solo * field) + 1e-15);
      record->solo[side][k]  = centi_db(solo);
      record->field[side][k] = centi_db(field);
      record->cross[side][k] = (int16_t)(1e4 * fmax(-1.0, fmin(1.0, both)));
    }
    record->coupling[k] = centi_db((double)e->running.detector.path[FH_PATH_PHRASE].coupling[k]);
    record->floor[k]    = centi_db((double)e->running.detector.floor.close[k]);
    record->spread[k]   = (int16_t)(100.0f * e->learnt.field.ratio[FH_PATH_NOTE].top[k]);
  }
  const double gate = (double)fh_engine_gate(e);
  record->gate      = centi_db(gate * gate);
}

/// @return Whether everything could be made and written
static bool
write_take(const FhSceneRequest* const request, const double from_s, const double learn_s, const char* const path)
{
  FhScene scene;
  FhTruth truth;
  Rigs    rigs;
  if (!fh_scene_build(&scene, request)) {
    return false;
  }
  FILE* const file = fopen(path, "wb");
  bool        ok   = file && fh_truth_make(&truth, &scene);
  for (int part = 0; part < PARTS; ++part) {
    ok = ok && fh_rig_make(&rigs.rig[part], scene.rate, scene.closes);
  }
  for (size_t t = 0; ok && t < truth.ticks; ++t) {
    FhRig* const rig        = &rigs.rig[MIX];
    const double late       = (double)t - 1e3 * from_s;
    const bool   learn      = t > 0 && late >= 0.0 && late < 1e3 * learn_s;
    Record       record     = {.activity = t < truth.first || learn ? -1 : (int16_t)truth.activity[t]};
    rig->controls[FH_LEARN] = learn ? FH_LEARN_AMBIENT : FH_LEARN_OFF;
    fh_engine_set(rig->engine, rig->controls);
    run_ms(&rigs, &scene, t * truth.tick, &record);
    ok = fwrite(&record, sizeof(record), 1, file) == 1;
  }
  ok = file && !fclose(file) && ok;
  if (!ok) {
    remove(path);
  }
  return ok; // memory goes with the program
}

/// @return FH_CONDITIONS where there is none of that name, or it is none to train on
static FhCondition
find_condition(const char* const name)
{
  int c = 0;
  while (c < FH_CONDITIONS && (c == FH_PA || strcmp(name, fh_condition_names[c]) != 0)) {
    ++c;
  }
  return (FhCondition)c;
}

int
main(const int argc, char** const argv)
{
  FhSceneRequest request  = {NULL, 1, 10.0, 48000.0, true, FH_PLAIN, 0, NULL, FH_FONT_TIMGM6MB, 0, 0};
  const char*    path    = NULL;
  double         learn_s = FH_LEARN_SECONDS, from_s = 0.0;
  for (int i = 1; i < argc; ++i) {
    const char* const arg   = argv[i];
    const char* const value = i + 1 < argc ? argv[i + 1] : "";
    char*             end   = NULL;
    if (!strcmp(arg, "--help")) {
      return print_help(), EXIT_SUCCESS;
    } else if (arg[0] != '-') {
      request.spec = fh_scene_find(arg);
      continue;
    }
    ++i;
    if (!strcmp(arg, "--output")) {
      path = value;
    } else if (!strcmp(arg, "--cache")) {
      request.cache_dir = value;
    } else if (!strcmp(arg, "--font") && (request.sampled = strcmp(value, "synth") != 0, !request.sampled || fh_font_find(value, &request.font))) {
      continue;
    } else if (!strcmp(arg, "--condition")) {
      request.condition = find_condition(value);
      if (request.condition == FH_CONDITIONS) {
        return fail("no such condition to train on: ", value);
      }
    } else if (!strcmp(arg, "--learn") && (learn_s = strtod(value, &end), end != value)) {
      continue;
    } else if (!strcmp(arg, "--learn-from") && (from_s = strtod(value, &end), end != value)) {
      continue;
    } else if (!strcmp(arg, "--few") && (request.few = (int)strtol(value, &end, 10), end != value)) {
      continue;
    } else if (!strcmp(arg, "--vary") && (request.vary = strtoull(value, &end, 10), end != value)) {
      continue;
    } else if (!strcmp(arg, "--ratio") && (request.ratio = strtod(value, &end), end != value)) {
      continue;
    } else if (!strcmp(arg, "--seed") && (request.seed = strtoull(value, &end, 10), end != value)) {
      continue;
    } else {
      return fail("not understood; --help shows the options: ", arg);
    }
  }
  const char* why = NULL;
  if (!path || !request.spec) {
    return fail("name a scene and --output FILE; --help shows the options", "");
  }
  if (request.sampled && !fh_sampled_available(request.font, &why)) {
    return fail(why, "");
  }
  if (request.seed >= FIRST_TO_ACCEPT) {
    return fail("music with seeds from 100 on is kept to accept by: choose a lower --seed", "");
  }
  if (!write_take(&request, from_s, learn_s, path)) {
    return fail("cannot write ", path);
  }
  return EXIT_SUCCESS;
}
