// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/run.h"

#include "command/base/complain.h"
#include "command/base/progress.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WARM_UP 1.0   // s before a stretch, for filters and averages to settle
#define SHORTEST_LEARN 1.0 // s; the plugin ignores less

/// Run frames start..end of the take and throw the output away
static bool
run_silently(FhHost* const host, const FhTake* const take, const size_t start, const size_t end)
{
  FhAudio scratch = {0};
  if (!fh_audio_alloc(&scratch, host->variant->outs, take->sound.rate, take->sound.rate / 100, 0)) {
    return false;
  }
  for (size_t at = start; at < end;) {
    const size_t rest = end - at;
    const size_t n    = rest < scratch.frames ? rest : scratch.frames;
    const float* in[3];
    for (uint32_t c = 0; c <= host->variant->closes; ++c) {
      in[c] = take->sound.data[c] + at;
    }
    fh_host_run(host, in, scratch.data, (uint32_t)n);
    at += n;
  }
  fh_audio_free(&scratch);
  return true;
}

bool
fh_take_learn(FhHost* const          host,
              const FhTake* const    take,
              const FhLearn          what,
              const FhStretch* const stretch,
              const char* const      option)
{
  const double seconds = fh_take_seconds(take);
  if (stretch->end > take->from + seconds + 0.5) {
    return fh_complain("--%s %g-%g ends after the take, which lasts %.1f s; name a stretch within it", option,
                       stretch->start, stretch->end, seconds);
  }
  if (stretch->end - stretch->start < SHORTEST_LEARN) {
    return fh_complain("--%s %g-%g is too short; name a stretch of at least %g s", option, stretch->start, stretch->end,
                       SHORTEST_LEARN);
  }
  const double rate  = take->sound.rate;
  const double start = stretch->start - take->from;
  const double warm  = fmax(0.0, start - WARM_UP);
  const size_t first = (size_t)(start * rate);
  const size_t last  = (size_t)fmin((stretch->end - take->from) * rate, (double)take->sound.frames);

  fh_host_rewind(host);
  host->v[FH_LEARN] = FH_LEARN_OFF;
  bool ok           = run_silently(host, take, (size_t)(warm * rate), first);
  // The edge must be seen even when there is nothing to warm up with
  fh_host_run(host, (const float*[]){take->sound.data[0], take->sound.data[0], take->sound.data[0]},
              (float*[]){NULL, NULL, NULL}, 0);
  host->v[FH_LEARN] = (float)what;
  ok                = ok && run_silently(host, take, first, last);
  host->v[FH_LEARN] = FH_LEARN_OFF;
  ok                = ok && run_silently(host, take, last - (last > 1 ? 1 : 0), last);
  if (ok && host->v[FH_LEARNT] < 100.0f) {
    ok = fh_complain("nothing can be learnt from %g-%g s: are both microphones there? Name another stretch",
                     stretch->start, stretch->end);
  }
  fh_host_rewind(host);
  return ok;
}

/// Allocate output and frames of a run
static bool
prepare_run(const FhTake* const take, const uint32_t closes, FhRun* const run)
{
  const FhAudio* const sound = &take->sound;

  *run             = (FhRun){.block = sound->rate / 100};
  run->frame_count = sound->frames / run->block + 1;
  run->frames      = (FhFrame*)calloc(run->frame_count, sizeof(FhFrame));
  if (!run->frames) {
    return fh_complain("not enough memory; cut the take into shorter ones");
  }
  return fh_audio_alloc(&run->out, closes, sound->rate, sound->frames, sound->format);
}

/// Run one block that begins at frame `at`, silence after the take's end, and keep what comes out `latency` later
static uint32_t
run_block(FhHost* const host, const FhTake* const take, FhRun* const run, FhAudio* const scratch, const size_t at)
{
  const FhVariant* const variant = host->variant;
  const size_t           end     = take->sound.frames;
  const size_t           sound   = at < end ? end - at : 0;
  const uint32_t         n       = sound && sound < run->block ? (uint32_t)sound : run->block;
  const float*           in[3];
  for (uint32_t c = 0; c <= variant->closes; ++c) {
    in[c] = sound ? take->sound.data[c] + at : scratch->data[variant->outs];
  }
  fh_host_run(host, in, scratch->data, n);
  for (uint32_t c = 0; c < variant->closes; ++c) {
    for (size_t i = at < run->latency ? run->latency - at : 0; i < n && at + i - run->latency < end; ++i) {
      run->out.data[c][at + i - run->latency] = scratch->data[c][i];
    }
  }
  return n;
}

void
fh_forgive_start(FhFrame* const frames, const size_t count)
{
  size_t waiting = 0;
  while (waiting < count && lrintf(frames[waiting].v[FH_FAULT]) == FH_FAULT_NO_AMBIENT) {
    ++waiting;
  }
  if (waiting < count && frames[waiting].seconds < FH_FIRST_SOUND) {
    for (size_t i = 0; i < waiting; ++i) {
      frames[i].v[FH_FAULT] = (float)FH_FAULT_NONE;
    }
  }
}

bool
fh_take_run(FhHost* const host, const FhTake* const take, FhRun* const run)
{
  FhAudio scratch = {0}; // outputs, then one channel of silence
  if (!prepare_run(take, host->variant->closes, run) ||
      !fh_audio_alloc(&scratch, host->variant->outs + 1, take->sound.rate, run->block, 0)) {
    fh_run_free(run);
    return false;
  }
  fh_host_rewind(host);
  const float* const nothing[] = {scratch.data[0], scratch.data[0], scratch.data[0]};
  fh_host_run(host, nothing, scratch.data, 0); // a block of no frames brings the latency
  run->latency = (uint32_t)fmaxf(0.0f, host->v[FH_LATENCY]);

  FhProgress   progress = fh_progress_start("rendering");
  const size_t end      = take->sound.frames + run->latency;
  size_t       frame    = 0;
  for (size_t at = 0; at < end;) {
    at += run_block(host, take, run, &scratch, at);
    if (at <= take->sound.frames && frame < run->frame_count) {
      FhFrame* const f = &run->frames[frame++];
      f->seconds       = (double)at / take->sound.rate;
      memcpy(f->v, host->v, sizeof(f->v));
    }
    fh_progress_show(&progress, (double)at / (double)end);
  }
  fh_progress_end(&progress);
  run->frame_count = frame;
  fh_forgive_start(run->frames, run->frame_count);
  fh_audio_free(&scratch);
  return true;
}

void
fh_run_free(FhRun* const run)
{
  fh_audio_free(&run->out);
  free(run->frames);
  run->frames = NULL;
}
