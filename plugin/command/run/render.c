// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/render.h"

#include "command/base/complain.h"
#include "command/base/progress.h"
#include "command/measure/excerpt.h"

#include <math.h>
#include <stdlib.h>

#define BEFORE 1.0 // s read before a stretch that is learnt, for filters and averages to settle
#define MOST 60.0  // s of it: the plugin learns from 15 s

bool
fh_render_learn(FhHost* const          host,
                FhRecording* const     recording,
                const FhChannels* const mics,
                const FhLearn          what,
                const FhStretch* const stretch,
                const char* const      option)
{
  const double    length = fh_recording_seconds(recording);
  const double    end    = fmin(fmin(stretch->end, stretch->start + MOST), length);
  const FhStretch wanted = {stretch->start, stretch->end > length + 0.5 ? stretch->end : end};
  const FhStretches part = {.count = 1, .at = {{fmin(fmax(0.0, stretch->start - BEFORE), length), end}}};
  FhTake          take   = {0};
  bool            ok     = true;
  if (wanted.end > length + 0.5) {
    return fh_complain("--%s %g-%g ends after the take, which lasts %.1f s; name a stretch within it", option, stretch->start,
                       stretch->end, length);
  }
  ok = fh_take_load(&take, recording, mics, &part) && fh_take_learn(host, &take, what, &wanted, option);
  fh_take_free(&take);
  return ok;
}

static bool
begin(const FhRecording* const recording, FhRenderJob* const job)
{
  const bool ok =
    fh_voice_begin(&job->voice, job->host, recording->rate, *job->picture.path != '\0') &&
    fh_sound_open(&job->out, &job->sound, (uint32_t)job->mics.count - 1, recording->rate, recording->frames, recording->format);
  job->latency = job->voice.latency;
  return ok;
}

/// Run one block, which is silence where `chunk` is NULL, and write what has come of it
static bool
run_block(FhRenderJob* const job, const float* const chunk, const uint32_t channels, const uint32_t frames, float* const lines[3])
{
  for (size_t c = 0; chunk && c < job->mics.count; ++c) {
    for (uint32_t i = 0; i < frames; ++i) {
      lines[c][i] = chunk[i * channels + job->mics.at[c]];
    }
  }
  const size_t done = fh_voice_run(&job->voice, chunk ? (const float* const*)lines : NULL, frames);
  return fh_sound_write(&job->out, (const float* const*)job->voice.out, 0, done);
}

static bool
run_all(FhRecording* const recording, FhRenderJob* const jobs, const size_t count, float* const memory)
{
  const uint32_t block    = recording->rate / 100;
  float* const   chunk    = memory + 3 * (size_t)block;
  float* const   lines[3] = {memory, memory + block, memory + 2 * (size_t)block};
  FhProgress     progress = fh_progress_start("rendering");
  bool           ok       = fh_recording_seek(recording, 0);
  while (ok && recording->at < recording->frames) {
    const size_t   rest = recording->frames - recording->at;
    const uint32_t n    = rest < block ? (uint32_t)rest : block;
    ok                  = fh_recording_read(recording, chunk, n);
    for (size_t i = 0; ok && i < count; ++i) {
      ok = run_block(&jobs[i], chunk, recording->channels, n, lines);
    }
    fh_progress_show(&progress, (double)recording->at / (double)recording->frames);
  }
  for (size_t i = 0; ok && i < count; ++i) {
    for (uint32_t left = jobs[i].latency; ok && left;) {
      const uint32_t n = left < block ? left : block;
      ok               = run_block(&jobs[i], NULL, 0, n, lines);
      left -= n;
    }
  }
  fh_progress_end(&progress);
  return ok;
}

static bool
finish(FhRenderJob* const job)
{
  const FhPicture how   = {.title = job->title, .width = 1200, .height = 760, .scale = 1};
  FhTrace* const  trace = &job->voice.trace;
  job->figures          = fh_tally_figures(&job->voice.tally);
  if (*job->picture.path) {
    fh_forgive_start(trace->frame, trace->count);
    if (fh_view_png(job->picture.temp, &how, trace->frame, trace->count)) {
      return fh_complain("%s cannot be drawn; is the disk full?", job->picture.path);
    }
  }
  return fh_sound_finish(&job->out);
}

/// Separation and verdicts, by what check would hear of the recording
static bool
judge(FhRecording* const recording, FhRenderJob* const jobs, const size_t count)
{
  FhSurvey survey = {0};
  bool     ok     = fh_survey_make(&survey, recording, false);
  for (size_t i = 0; ok && i < count; ++i) {
    FhStretches parts;
    FhStandsOut standing;
    FhTake      take = {0};
    fh_survey_choose(&survey, recording, &jobs[i].mics, NULL, &parts);
    ok = fh_take_load(&take, recording, &jobs[i].mics, &parts) && fh_take_standing(&take, &standing);
    fh_take_free(&take);
    if (ok) {
      fh_figures_judge(&jobs[i].figures, &standing);
    }
  }
  fh_survey_free(&survey);
  return ok;
}

bool
fh_render(FhRecording* const recording, FhRenderJob* const jobs, const size_t count)
{
  float* const memory = malloc((recording->channels + 3) * (size_t)(recording->rate / 100) * sizeof(float));
  bool         ok     = memory || fh_complain("not enough memory; close other programs");
  for (size_t i = 0; ok && i < count; ++i) {
    ok = begin(recording, &jobs[i]);
  }
  ok = ok && run_all(recording, jobs, count, memory);
  for (size_t i = 0; ok && i < count; ++i) {
    ok = finish(&jobs[i]);
  }
  ok = ok && judge(recording, jobs, count);
  for (size_t i = 0; ok && i < count; ++i) {
    ok = (!*jobs[i].picture.path || fh_temp_commit(&jobs[i].picture)) && fh_temp_commit(&jobs[i].sound);
  }
  free(memory);
  return ok;
}

void
fh_render_free(FhRenderJob* const jobs, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    fh_sound_drop(&jobs[i].out);
    fh_temp_drop(&jobs[i].sound);
    fh_temp_drop(&jobs[i].picture);
    fh_voice_free(&jobs[i].voice);
    fh_host_free(jobs[i].host);
  }
}
