// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-scene: write a made-up field take and its truth as sound files.

#include "scene.h"

#include <sndfile.h>

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#define BLOCK 4096

static void
print_help(void)
{
  puts("Usage: fh-scene [NAME] [OPTION]... --output DIR\n"
       "       fh-scene --list\n\n"
       "Make a made-up field take: a soloist before a marching band, with the truth kept apart.\n"
       "Writes DIR/take.wav (close microphone(s) first, ambient last), truth-solo.wav, truth-pickup.wav\n"
       "(same channels; they add up to the take) and scene.txt. NAME is trumpet unless given.\n\n"
       "  --list            print the scenes and conditions\n"
       "  --output DIR      where to write; made if missing\n"
       "  --seed N          other music and places (default 1)\n"
       "  --ratio DB        solo over pickup while both sound (default 10)\n"
       "  --rate HZ         44100, 48000 (default), 88200 or 96000\n"
       "  --condition NAME  plain (default), swing, wind-close ...\n"
       "  --sampled         sampled instruments (needs fluidsynth and its sound font) instead of synthesis\n"
       "  --cache DIR       where rendered stems are kept\n"
       "  --font NAME       of sampled instruments: timgm6mb (default), musescore-general or csound\n"
       "  --help            show this");
}

static void
print_list(void)
{
  size_t                   count = 0;
  const FhSceneSpec* const list  = fh_scene_list(&count);
  for (size_t i = 0; i < count; ++i) {
    printf("%-14s %s\n", list[i].name, list[i].about);
  }
  printf("conditions:");
  for (int c = 0; c < FH_CONDITIONS; ++c) {
    printf(" %s", c == FH_PA ? "" : fh_condition_names[c]);
  }
  printf("\n");
}

static int
fail(const char* const what, const char* const which)
{
  fprintf(stderr, "fh-scene: %s%s\n", what, which);
  return EXIT_FAILURE;
}

static bool
parse_number(const char* const text, const double low, const double high, double* const to)
{
  char* end = NULL;
  *to       = strtod(text, &end);
  return end != text && !*end && *to >= low && *to <= high;
}

static bool
parse_condition(const char* const name, FhCondition* const to)
{
  for (int c = 0; c < FH_CONDITIONS; ++c) {
    if (!strcmp(name, fh_condition_names[c]) && c != FH_PA) {
      *to = (FhCondition)c;
      return true;
    }
  }
  return false;
}

typedef enum { TAKE, SOLO, PICKUP } Which;

static bool
write_wav(const char* const dir, const char* const name, const FhScene* const scene, const Which which)
{
  char path[1024], temporary[1060];
  snprintf(path, sizeof(path), "%s/%s", dir, name);
  snprintf(temporary, sizeof(temporary), "%s.part", path);
  SF_INFO  info = {0, (int)scene->rate, (int)scene->mics, SF_FORMAT_WAV | SF_FORMAT_PCM_24, 0, 0};
  SNDFILE* file = sf_open(temporary, SFM_WRITE, &info);
  bool     ok   = file != NULL;
  float block[BLOCK * FH_MAX_MICS];
  for (size_t start = 0; ok && start < scene->frames; start += BLOCK) {
    const size_t count = scene->frames - start < BLOCK ? scene->frames - start : BLOCK;
    for (size_t i = 0; i < count * scene->mics; ++i) {
      const size_t   n = start + i / scene->mics;
      const uint32_t m = (uint32_t)(i % scene->mics);
      block[i]         = which == SOLO     ? scene->solo[m][n]
                         : which == PICKUP ? scene->pickup[m][n]
                                           : scene->solo[m][n] + scene->pickup[m][n];
    }
    ok = sf_writef_float(file, block, (sf_count_t)count) == (sf_count_t)count;
  }
  ok = file && !sf_close(file) && ok && !rename(temporary, path);
  if (!ok) {
    remove(temporary);
    fprintf(stderr, "fh-scene: cannot write %s\n", path);
  }
  return ok;
}

static bool
write_text(const char* const dir, const FhScene* const scene)
{
  const FhSceneRequest* const q = &scene->request;
  char                        path[1024], temporary[1060];
  snprintf(path, sizeof(path), "%s/scene.txt", dir);
  snprintf(temporary, sizeof(temporary), "%s.part", path);
  FILE* const f = fopen(temporary, "w");
  if (!f) {
    return fail("cannot write ", path), false;
  }
  fprintf(f, "scene %s: %s\n", q->spec->name, q->spec->about);
  fprintf(f, "condition %s, seed %llu, %s instruments, %.0f Hz\n", fh_condition_names[q->condition],
          (unsigned long long)q->seed, q->sampled ? fh_font_names[q->font] : "synthesised", scene->rate);
  fprintf(f, "channels: %s, ambient\n", scene->closes == 2 ? "close_1, close_2" : "close");
  fprintf(f, "close microphone: %.2f m from the %s\n", q->spec->distance, q->spec->soloists > 1 ? "players" : "instrument");
  fprintf(f, "ambient microphone: %.1f m toward the band, %s\n", scene->ambient_distance, scene->ambient_omni ? "omni" : "cardioid");
  fprintf(f, "band: 26 players 8 to 35 m behind the microphones, 30 m wide, crowd in the stands, light wind\n");
  fprintf(f, "solo over pickup while both sound: %.1f dB", q->ratio);
  if (scene->phrase_count) {
    fprintf(f, "\n  (the 26 players made %.1f dB louder: 200 players are 9 dB more, the rest is a band louder than its soloist)",
            scene->band_gain);
  }
  fprintf(f, "\n\nlearn ambient: %.1f - %.1f s (band only)\n", scene->learn.from, scene->learn.to);
  for (size_t i = 0; i < scene->phrase_count; ++i) {
    fprintf(f, "phrase %zu: %.2f - %.2f s\n", i + 1, scene->phrases[i].from, scene->phrases[i].to);
  }
  if (scene->trim_at > 0.0) {
    fprintf(f, "ambient turned up 12 dB at %.2f s\n", scene->trim_at);
  }
  const bool ok = !ferror(f);
  return !fclose(f) && ok && !rename(temporary, path);
}

static int
make(const FhSceneRequest* const request, const char* const dir)
{
  if (mkdir(dir, 0777) && errno != EEXIST) {
    return fail("name another with --output, or make first what it is to be in: cannot make the folder ", dir);
  }
  FhScene scene;
  if (!fh_scene_build(&scene, request)) {
    return EXIT_FAILURE;
  }
  const bool ok = write_wav(dir, "take.wav", &scene, TAKE) && write_wav(dir, "truth-solo.wav", &scene, SOLO) &&
                  write_wav(dir, "truth-pickup.wav", &scene, PICKUP) && write_text(dir, &scene);
  if (ok) {
    printf("%s/take.wav: %s, %.0f s; learn the ambient from %.1f to %.1f s\n", dir, request->spec->about,
           (double)scene.frames / scene.rate, scene.learn.from, scene.learn.to);
  }
  fh_scene_free(&scene);
  return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}

int
main(const int argc, char** const argv)
{
  FhSceneRequest request = {fh_scene_find("trumpet"), 1, 10.0, 48000.0, false, FH_PLAIN, 0, NULL, FH_FONT_TIMGM6MB, 0, 0};
  const char*    dir     = NULL;
  for (int i = 1; i < argc; ++i) {
    const char* const arg   = argv[i];
    const char* const value = i + 1 < argc ? argv[i + 1] : "";
    double            x     = 0.0;
    if (!strcmp(arg, "--help")) {
      return print_help(), EXIT_SUCCESS;
    }
    if (!strcmp(arg, "--list")) {
      return print_list(), EXIT_SUCCESS;
    }
    if (!strcmp(arg, "--sampled")) {
      request.sampled = true;
      continue;
    }
    if (arg[0] != '-') {
      if (!(request.spec = fh_scene_find(arg))) {
        return fail("no such scene (see --list): ", arg);
      }
      continue;
    }
    ++i;
    if (!strcmp(arg, "--output") && *value) {
      dir = value;
    } else if (!strcmp(arg, "--cache") && *value) {
      request.cache_dir = value;
    } else if (!strcmp(arg, "--seed") && parse_number(value, 0, 1e9, &x)) {
      request.seed = (uint64_t)x;
    } else if (!strcmp(arg, "--ratio") && parse_number(value, -20, 60, &x)) {
      request.ratio = x;
    } else if (!strcmp(arg, "--rate") && parse_number(value, 8000, 96000, &x)) {
      request.rate = x;
    } else if ((!strcmp(arg, "--condition") && parse_condition(value, &request.condition)) ||
               (!strcmp(arg, "--font") && fh_font_find(value, &request.font))) {
      continue;
    } else {
      fprintf(stderr, "fh-scene: %s %s: not understood; --help shows the options\n", arg, value);
      return EXIT_FAILURE;
    }
  }
  const char* why = NULL;
  if (!dir) {
    return fail("say where to write: --output DIR", "");
  }
  if (request.sampled && !fh_sampled_available(request.font, &why)) {
    return fail(why, "");
  }
  return make(&request, dir);
}
