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

/// A record a millisecond. Powers are in hundredths of a dB.
typedef struct {
  int16_t close[FH_BANDS];    ///< Mean square over the millisecond, dBFS
  int16_t ambient[FH_BANDS];  ///< Likewise
  int16_t coupling[FH_BANDS]; ///< Predicted pickup over ambient, as learnt and followed so far
  int16_t floor[FH_BANDS];    ///< What is always there in the close microphone, dBFS
  int16_t activity;           ///< FhActivity, or -1 before the part that counts
  int16_t gate;               ///< What the present decision makes of it, dB
} Record;

static void
print_help(void)
{
  puts("Usage: fh-takes --output FILE [OPTION]... NAME\n\n"
       "Run the engine over a scene (fh-scene --list) with known truth and write what it measured in each millisecond, with the\n"
       "truth, as records of 34 numbers of 16 bits: bands 1 to 8 of close, ambient, coupling and floor in hundredths of a dB;\n"
       "activity (-1 learning, 0 between, 1 active, 2 resting); gain of the gate as it is, in hundredths of a dB.\n\n"
       "  --seed N, --ratio DB, --condition NAME, --font NAME   as fh-scene; seeds below 100 only\n"
       "  --unlearnt                 nobody presses learn\n"
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

static void
run_ms(FhEngine* const e, const FhScene* const scene, const size_t from, Record* const record)
{
  double close[FH_BANDS] = {0.0}, ambient[FH_BANDS] = {0.0};
  float  mics[FH_MAX_MICS][FH_MAX_TICK], sound[FH_MAX_CLOSES][FH_MAX_TICK];
  const size_t ticks = (size_t)(scene->rate / 1000.0) / e->tick;
  for (size_t tick = 0; tick < ticks; ++tick) {
    for (uint32_t m = 0; m < scene->mics; ++m) {
      for (size_t i = 0; i < e->tick; ++i) {
        mics[m][i] = scene->solo[m][from + tick * e->tick + i] + scene->pickup[m][from + tick * e->tick + i];
      }
    }
    const float* const in[]  = {mics[0], mics[1]};
    float* const       out[] = {sound[0], sound[1]};
    fh_engine_run(e, in, mics[scene->closes], out, NULL, e->tick);
    for (int k = 0; k < FH_BANDS; ++k) {
      close[k] += (double)e->kernel.sums.close[k] / (double)(e->tick * scene->closes * ticks);
      ambient[k] += (double)e->kernel.sums.ambient[k] / (double)(e->tick * ticks);
    }
  }
  for (int k = 0; k < FH_BANDS; ++k) {
    record->close[k]    = centi_db(close[k]);
    record->ambient[k]  = centi_db(ambient[k]);
    record->coupling[k] = centi_db((double)e->detector.path[FH_PATH_PHRASE].coupling[k]);
    record->floor[k]    = centi_db((double)e->detector.floor.close[k]);
  }
  const double gate = (double)fh_engine_gate(e);
  record->gate      = centi_db(gate * gate);
}

/// @return Whether everything could be made and written
static bool
write_take(const FhSceneRequest* const request, const bool unlearnt, const char* const path)
{
  FhScene scene;
  FhTruth truth;
  FhRig   rig;
  if (!fh_scene_build(&scene, request)) {
    return false;
  }
  FILE* const file = fopen(path, "wb");
  bool        ok   = file && fh_truth_make(&truth, &scene) && fh_rig_make(&rig, scene.rate, scene.closes);
  for (size_t t = 0; ok && t < truth.ticks; ++t) {
    const bool learn        = !unlearnt && t > 0 && (double)t < 1e3 * scene.learn.to;
    Record     record       = {.activity = t < truth.first ? -1 : (int16_t)truth.activity[t]};
    rig.controls[FH_LEARN] = learn ? FH_LEARN_AMBIENT : FH_LEARN_OFF;
    fh_engine_set(rig.engine, rig.controls);
    run_ms(rig.engine, &scene, t * truth.tick, &record);
    ok = fwrite(&record, sizeof(record), 1, file) == 1;
  }
  ok = file && !fclose(file) && ok;
  if (!ok) {
    remove(path);
  }
  return ok; // memory goes with the program
}

int
main(const int argc, char** const argv)
{
  FhSceneRequest request  = {NULL, 1, 10.0, 48000.0, true, FH_PLAIN, 0, NULL, FH_FONT_TIMGM6MB};
  const char*    path     = NULL;
  bool           unlearnt = false;
  for (int i = 1; i < argc; ++i) {
    const char* const arg   = argv[i];
    const char* const value = i + 1 < argc ? argv[i + 1] : "";
    char*             end   = NULL;
    if (!strcmp(arg, "--help")) {
      return print_help(), EXIT_SUCCESS;
    } else if (!strcmp(arg, "--unlearnt")) {
      unlearnt = true;
      continue;
    } else if (arg[0] != '-') {
      request.spec = fh_scene_find(arg);
      continue;
    }
    ++i;
    if (!strcmp(arg, "--output")) {
      path = value;
    } else if (!strcmp(arg, "--cache")) {
      request.cache_dir = value;
    } else if (!strcmp(arg, "--font") && fh_font_find(value, &request.font)) {
      continue;
    } else if (!strcmp(arg, "--condition")) {
      int c = 0;
      while (c < FH_CONDITIONS && strcmp(value, fh_condition_names[c]) != 0) {
        ++c;
      }
      if (c == FH_CONDITIONS || c == FH_PA) {
        return fail("no such condition to train on: ", value);
      }
      request.condition = (FhCondition)c;
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
  if (!fh_sampled_available(request.font, &why)) {
    return fail(why, "");
  }
  if (request.seed >= FIRST_TO_ACCEPT) {
    return fail("music with seeds from 100 on is kept to accept by: choose a lower --seed", "");
  }
  if (!write_take(&request, unlearnt, path)) {
    return fail("cannot write ", path);
  }
  return EXIT_SUCCESS;
}
