// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "stems.h"

#include "weather.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/// Solo, which each scene has of its own, or band or crowd, which all scenes share whose microphones stand alike
typedef enum { SOLO, BAND, CROWD } Stem;

static void
cache_path(char* const to, const size_t room, const FhSceneRequest* const q, const Stem stem, const char* const ending)
{
  static const char* const stands[] = {[FH_MIC_BELL] = "", [FH_MIC_GROUP] = "", [FH_MIC_BODY] = "-body", [FH_MIC_UNDER] = "-under"};
  const char* const name  = stem == SOLO ? q->spec->name : stem == BAND ? "band" : "crowd";
  const char* const stand = stem == SOLO ? "" : stands[q->spec->technique];
  const char* const place = q->condition == FH_NEAR ? "near" : q->condition == FH_FAR ? "far" : "usual";
  const char* const who   = q->condition >= FH_NO_SOLO ? "-nobody" : "";
  char              drawn[24] = "";
  if (q->vary) {
    snprintf(drawn, sizeof(drawn), "-d%llu", (unsigned long long)q->vary);
  }
  snprintf(to, room, "%s/%s%s%s-%s-%llu-%d-%.0f-%s%.0d%s-v%d%s", q->cache_dir, name, stand, who, place, (unsigned long long)q->seed,
           q->condition >= FH_NO_SOLO ? q->minute : 0, q->rate, q->sampled ? fh_font_names[q->font] : "synth", q->few, drawn, FH_STEMS_VERSION, ending);
}

static bool
load(const FhSceneRequest* const q, const Stem stem, const FhScene* const scene, float* const to[])
{
  char path[1024];
  cache_path(path, sizeof(path), q, stem, "");
  FILE* const file = fopen(path, "rb");
  bool        ok   = file != NULL;
  for (uint32_t m = 0; ok && m < scene->mics; ++m) {
    ok = fread(to[m], sizeof(float), scene->frames, file) == scene->frames;
  }
  if (file) {
    fclose(file);
  }
  return ok;
}

static void
save(const FhSceneRequest* const q, const Stem stem, const FhScene* const scene, float* const from[])
{
  char path[1024], temporary[1024], ending[32];
  snprintf(ending, sizeof(ending), ".%ld", (long)getpid());
  cache_path(path, sizeof(path), q, stem, "");
  cache_path(temporary, sizeof(temporary), q, stem, ending);
  FILE* const file = fopen(temporary, "wb");
  bool        ok   = file != NULL;
  for (uint32_t m = 0; ok && m < scene->mics; ++m) {
    ok = fwrite(from[m], sizeof(float), scene->frames, file) == scene->frames;
  }
  if (file && (fclose(file) || !ok || rename(temporary, path))) {
    remove(temporary); // a cache that cannot be written costs time, nothing else
  }
}

/// Wait for whoever makes the same stem, then keep others waiting. @return a file to close afterwards; -1 without a cache
static int
hold(const FhSceneRequest* const q, const Stem stem)
{
  char path[1024];
  if (!q->cache_dir) {
    return -1;
  }
  mkdir(q->cache_dir, 0777);
  cache_path(path, sizeof(path), q, stem, ".lock");
  const int          file = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  const struct flock all  = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
  if (file >= 0) {
    (void)fcntl(file, F_SETLKW, &all); // without it both make it, which costs time, nothing else
  }
  return file;
}

static bool
get(const FhSceneRequest* const q, const Stem stem, const FhStage* const stage, const FhSong* const song, FhScene* const scene,
    float* const to[])
{
  const int  held  = hold(q, stem);
  const bool known = q->cache_dir && load(q, stem, scene, to);
  for (uint32_t m = 0; !known && m < scene->mics; ++m) {
    memset(to[m], 0, scene->frames * sizeof(float));
  }
  const bool ok = known || (stem == SOLO ? fh_stage_add_solo(stage, q, song, scene->phrases, scene->phrase_count, to, scene->frames)
                            : stem == BAND ? fh_stage_add_band(stage, q, song, to, scene->frames)
                                           : fh_add_crowd(fh_random(q->seed, 900 + 10 * (uint64_t)q->minute), &stage->field, stage->mics,
                                                          scene->mics, scene->rate, to, scene->frames));
  if (ok && !known && q->cache_dir) {
    save(q, stem, scene, to);
  }
  if (held >= 0) {
    close(held);
  }
  return ok;
}

bool
fh_stems_get(const FhSceneRequest* const q,
             const FhStage* const        stage,
             const FhSong* const         song,
             FhScene* const              scene,
             float* const                band[])
{
  return get(q, BAND, stage, song, scene, band) && get(q, SOLO, stage, song, scene, scene->solo);
}

bool
fh_stems_get_crowd(FhScene* const scene, const FhStage* const stage, float* const to[])
{
  FhSceneRequest q = scene->request;
  q.cache_dir      = q.vary ? NULL : q.cache_dir; // other draws are seldom asked for again
  return get(&q, CROWD, stage, NULL, scene, to);
}
