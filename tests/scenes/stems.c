// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "stems.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void
cache_path(char* const to, const size_t room, const FhSceneRequest* const q, const char* const ending)
{
  const char* const place = q->condition == FH_NEAR ? "near" : q->condition == FH_FAR ? "far" : "usual";
  const char* const who   = q->condition >= FH_NO_SOLO ? "-nobody" : "";
  snprintf(to, room, "%s/%s%s-%s-%llu-%d-%.0f-%s%.0d-v%d%s", q->cache_dir, q->spec->name, who, place, (unsigned long long)q->seed,
           q->condition >= FH_NO_SOLO ? q->minute : 0, q->rate, q->sampled ? fh_font_names[q->font] : "synth", q->few, FH_STEMS_VERSION, ending);
}

static bool
load(const FhSceneRequest* const q, const FhScene* const scene, float* const band[])
{
  char path[1024];
  cache_path(path, sizeof(path), q, "");
  FILE* const file = fopen(path, "rb");
  bool        ok   = file != NULL;
  for (uint32_t m = 0; ok && m < scene->mics; ++m) {
    ok = fread(scene->solo[m], sizeof(float), scene->frames, file) == scene->frames &&
         fread(band[m], sizeof(float), scene->frames, file) == scene->frames;
  }
  if (file) {
    fclose(file);
  }
  return ok;
}

static void
save(const FhSceneRequest* const q, const FhScene* const scene, float* const band[])
{
  char path[1024], temporary[1024], ending[32];
  snprintf(ending, sizeof(ending), ".%ld", (long)getpid());
  cache_path(path, sizeof(path), q, "");
  cache_path(temporary, sizeof(temporary), q, ending);
  FILE* const file = fopen(temporary, "wb");
  bool        ok   = file != NULL;
  for (uint32_t m = 0; ok && m < scene->mics; ++m) {
    ok = fwrite(scene->solo[m], sizeof(float), scene->frames, file) == scene->frames &&
         fwrite(band[m], sizeof(float), scene->frames, file) == scene->frames;
  }
  if (file && (fclose(file) || !ok || rename(temporary, path))) {
    remove(temporary); // a cache that cannot be written costs time, nothing else
  }
}

/// Wait for whoever makes the same stems, then keep others waiting. @return a file to close afterwards; -1 without a cache
static int
hold(const FhSceneRequest* const q)
{
  char path[1024];
  if (!q->cache_dir) {
    return -1;
  }
  mkdir(q->cache_dir, 0777);
  cache_path(path, sizeof(path), q, ".lock");
  const int          file = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  const struct flock all  = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
  if (file >= 0) {
    (void)fcntl(file, F_SETLKW, &all); // without it both make them, which costs time, nothing else
  }
  return file;
}

static bool
make(const FhSceneRequest* const q,
     const FhStage* const        stage,
     const FhSong* const         song,
     FhScene* const              scene,
     float* const                band[])
{
  for (uint32_t m = 0; m < scene->mics; ++m) {
    memset(scene->solo[m], 0, scene->frames * sizeof(float));
    memset(band[m], 0, scene->frames * sizeof(float));
  }
  return fh_stage_add_band(stage, q, song, band, scene->frames) &&
         fh_stage_add_solo(stage, q, song, scene->phrases, scene->phrase_count, scene->solo, scene->frames);
}

bool
fh_stems_get(const FhSceneRequest* const q,
             const FhStage* const        stage,
             const FhSong* const         song,
             FhScene* const              scene,
             float* const                band[])
{
  const int  held  = hold(q);
  const bool known = q->cache_dir && load(q, scene, band);
  const bool ok    = known || make(q, stage, song, scene, band);
  if (ok && !known && q->cache_dir) {
    save(q, scene, band);
  }
  if (held >= 0) {
    close(held);
  }
  return ok;
}
