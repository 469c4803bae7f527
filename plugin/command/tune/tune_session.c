// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/tune/preset_write.h"
#include "command/tune/tuning_choices.h"
#include "command/tune/tune_session.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

const char* const fh_tune_run_names[FH_TUNE_RUNS] = {"before", "after"};

/// TAKE's name without folder and suffix
static int
stem_of(const char* const take, const char** const stem)
{
  const char* const slash = strrchr(take, '/');
  *stem                   = slash ? slash + 1 : take;
  const char* const dot   = strrchr(*stem, '.');
  return dot && dot != *stem ? (int)(dot - *stem) : (int)strlen(*stem);
}

static bool
name_things(FhTuneSession* const s)
{
  const FhTuneOptions* const o      = &s->options;
  const char*          stem   = NULL;
  const int            length = stem_of(o->desk.take, &stem);
  const int n =
    o->desk.soloist ? snprintf(s->label, sizeof(s->label), "%s%s%s", o->desk.soloist, o->title ? ": " : "", o->title ? o->title : "")
                           : snprintf(s->label, sizeof(s->label), "%.*s%s%s", length, stem, o->title ? ": " : "",
                                      o->title ? o->title : "");
  if (n < 0 || (size_t)n >= sizeof(s->label)) {
    return fh_complain("the preset's name is too long; name a shorter one with --soloist and --title");
  }
  if (!fh_preset_may_call(s->label)) {
    return false;
  }
  if (o->output) {
    if ((size_t)snprintf(s->folder, sizeof(s->folder), "%s", o->output) >= sizeof(s->folder)) {
      return fh_complain("the folder's name is too long; name a shorter one with --output");
    }
  } else if (!fh_preset_folder(s->label, s->folder)) {
    return false;
  }
  return fh_preset_may_write(s->folder, o->replace);
}

/// Open sounds and pictures under their temporary names
static bool
open_outputs(FhTuneSession* const s)
{
  const FhTuneOptions* const o       = &s->options;
  const char*          name    = NULL;
  const int            length  = stem_of(o->desk.take, &name) + (int)(name - o->desk.take);
  const char* const    dot     = strrchr(name, '.');
  const char* const    suffix  = dot && !strcasecmp(dot, ".flac") ? ".flac" : ".wav";
  for (int i = 0; i < FH_TUNE_RUNS; ++i) {
    char stem[FH_PATH_MAX - 16];
    char path[FH_PATH_MAX];
    const int n = o->renders ? snprintf(stem, sizeof(stem), "%s-%s", o->renders, fh_tune_run_names[i])
                             : snprintf(stem, sizeof(stem), "%.*s-%s", length, o->desk.take, fh_tune_run_names[i]);
    if (n < 0 || (size_t)n >= sizeof(stem)) {
      return fh_complain("the file name is too long; name a shorter one with --renders");
    }
    snprintf(path, sizeof(path), "%s%s", stem, suffix);
    if (fh_same_file(path, o->desk.take) || (o->ambient && fh_same_file(path, o->ambient))) {
      return fh_complain("%s is the recording itself; name others with --renders", path);
    }
    if (!fh_temp_open(&s->outputs.sound[i], path, o->replace)) {
      return false;
    }
    snprintf(path, sizeof(path), "%s.png", stem);
    if (!fh_temp_open(&s->outputs.picture[i], path, o->replace)) {
      return false;
    }
  }
  return true;
}

/// Run the take with one preset or none, in a fresh instance, and write sound and picture
static bool
render(FhTuneSession* const s, const int which, const char* const preset)
{
  FhRun         run  = {0};
  FhHost* const host = fh_host_new(s->options.bundle, s->take.variant, s->take.sound.rate);
  bool          ok   = host && (!preset || fh_host_preset(host, preset)) && fh_take_run(host, &s->take, &run);
  if (ok) {
    char            title[320];
    const FhPicture how = {.title = title, .width = 1200, .height = 760, .scale = 1};
    snprintf(title, sizeof(title), "%s, %s", s->label, which == FH_TUNE_BEFORE ? "before tuning" : "through the preset");
    fh_tuning_gather(&s->tuning, &run, &s->evidence[which]);
    s->figures[which] = fh_take_figures(&s->take, &run, &s->standing);
    ok = (!fh_view_png(s->outputs.picture[which].temp, &how, run.frames, run.frame_count) ||
          fh_complain("%s cannot be drawn; is the disk full?", s->outputs.picture[which].path)) &&
         fh_audio_write(&run.out, &s->outputs.sound[which]);
  }
  fh_run_free(&run);
  fh_host_free(host);
  return ok;
}

/// Load what is worked on, with the stretches that were named moved to where they are in it
static bool
load(FhTuneSession* const s, FhRecording* const recording, const FhSurvey* const survey, const FhChannels* const mics)
{
  FhStretches* const named[] = {&s->division.band, &s->division.solo};
  FhStretches        asked   = {0};
  FhStretches        parts;
  s->division.band = s->options.band;
  s->division.solo = s->options.solo;
  for (int k = 0; survey->count && k < 2; ++k) {
    for (size_t i = 0; i < named[k]->count && asked.count < FH_LIST_MAX; ++i) {
      if (named[k]->at[i].end > fh_recording_seconds(recording)) {
        return fh_complain("%g-%g s ends after the take, which lasts %.1f s; name a stretch within it", named[k]->at[i].start,
                           named[k]->at[i].end, fh_recording_seconds(recording));
      }
      asked.at[asked.count++] = named[k]->at[i];
    }
  }
  fh_survey_choose(survey, recording, mics, &asked, &parts);
  for (int k = 0; survey->count && k < 2; ++k) {
    for (size_t i = 0; i < named[k]->count; ++i) {
      named[k]->at[i].start = fh_parts_time(&parts, named[k]->at[i].start);
      named[k]->at[i].end   = fh_parts_time(&parts, named[k]->at[i].end);
    }
  }
  return fh_take_load(&s->take, recording, mics, &parts);
}

bool
fh_tune_session(FhTuneSession* const s, FhRecording* const recording, const FhSurvey* const survey, const FhChannels* const mics)
{
  const FhTuneOptions* const o = &s->options;
  if (!load(s, recording, survey, mics) || !fh_levels_make(&s->levels, &s->take) ||
      !fh_divide(&s->division, &s->levels, &s->take) || !name_things(s) || !open_outputs(s)) {
    return false;
  }
  s->host = fh_host_new(o->bundle, s->take.variant, s->take.sound.rate);
  if (!s->host || (o->preset && !fh_host_preset(s->host, o->preset)) ||
      !fh_tune(&s->tuning, s->host, &s->take, &s->levels, &s->division) || !fh_take_standing(&s->take, &s->standing)) {
    return false;
  }
  s->written = o->keep || fh_tuning_changes(&s->tuning);
  if (!s->written) {
    fh_figures_judge(&s->figures[FH_TUNE_AFTER], &s->standing);
    return true;
  }
  if (!fh_preset_write(s->host, s->folder, s->label, o->replace)) {
    return false;
  }
  char folder[FH_PATH_MAX]; // with a slash in it, a name is a folder
  snprintf(folder, sizeof(folder), "%s%.*s", strchr(s->folder, '/') ? "" : "./", FH_PATH_MAX - 3, s->folder);
  bool ok = render(s, FH_TUNE_BEFORE, o->preset) && render(s, FH_TUNE_AFTER, folder);
  for (int i = 0; ok && i < FH_TUNE_RUNS; ++i) {
    ok = fh_temp_commit(&s->outputs.sound[i]) && fh_temp_commit(&s->outputs.picture[i]);
  }
  return ok;
}

void
fh_tune_session_free(FhTuneSession* const s)
{
  for (int i = 0; i < FH_TUNE_RUNS; ++i) {
    fh_temp_drop(&s->outputs.sound[i]);
    fh_temp_drop(&s->outputs.picture[i]);
  }
  fh_tuning_free(&s->tuning);
  fh_levels_free(&s->levels);
  fh_take_free(&s->take);
  fh_host_free(s->host);
}

/// One take
