// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/voice.h"

#include "command/base/complain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool
fh_voice_begin(FhVoice* const voice, FhHost* const host, const uint32_t rate, const bool traced)
{
  const uint32_t closes = host->variant->closes;
  *voice                = (FhVoice){.host = host, .closes = closes, .block = rate / 100, .rate = rate, .trace = {.step = 1}};
  fh_host_rewind(host);
  float* const nothing[3] = {NULL};
  fh_host_run(host, (const float* const*)nothing, nothing, 0); // a block of no frames brings the latency
  voice->latency = (uint32_t)fmaxf(0.0f, host->v[FH_LATENCY]);

  const size_t room = voice->latency + 2 * voice->block;
  voice->memory     = calloc(5 * room + 3 * (size_t)voice->block, sizeof(float));
  if (traced) {
    voice->trace.frame = calloc(FH_TRACE_FRAMES, sizeof(FhFrame));
  }
  if (!voice->memory || (traced && !voice->trace.frame) || voice->latency > 4 * voice->block) {
    fh_voice_free(voice);
    return fh_complain("not enough memory; close other programs");
  }
  float* at = voice->memory;
  for (int i = 0; i < 3; ++i, at += room) {
    voice->in[i] = at;
  }
  for (int i = 0; i < 2; ++i, at += room) {
    voice->out[i] = at;
  }
  for (int i = 0; i < 3; ++i, at += voice->block) {
    voice->scratch[i] = at;
  }
  return true;
}

/// Forget what the caller has got
static void
forget_done(FhVoice* const voice)
{
  const size_t done = voice->done;
  for (uint32_t c = 0; done && c <= voice->closes; ++c) {
    memmove(voice->in[c], voice->in[c] + done, (voice->heard - voice->base - done) * sizeof(float));
    if (c < voice->closes) {
      memmove(voice->out[c], voice->out[c] + done, (voice->out_count - done) * sizeof(float));
    }
  }
  voice->base += done;
  voice->out_count -= done;
  voice->done = 0;
}

static void
keep_frame(FhTrace* const trace, const FhFrame* const frame)
{
  if (!trace->frame || trace->seen++ % trace->step) {
    return;
  }
  if (trace->count == FH_TRACE_FRAMES) {
    trace->count /= 2;
    trace->step *= 2;
    for (size_t i = 1; i < trace->count; ++i) {
      trace->frame[i] = trace->frame[2 * i];
    }
  }
  trace->frame[trace->count++] = *frame;
}

/// The controls as they are after the block, in the time of the sound
static void
note_frame(FhVoice* const voice)
{
  FhFrame* const frame = &voice->pending[voice->pending_count];
  frame->seconds       = (double)voice->heard / voice->rate;
  memcpy(frame->v, voice->host->v, sizeof(frame->v));
  voice->ends[voice->pending_count++] = voice->heard;
  keep_frame(&voice->trace, frame);
}

/// Count the blocks whose output has come
static void
tally_complete(FhVoice* const voice)
{
  size_t complete = 0;
  while (complete < voice->pending_count && voice->ends[complete] <= voice->base + voice->out_count) {
    const float* in[3];
    const float* out[2];
    const size_t end = voice->ends[complete] - voice->base;
    for (uint32_t c = 0; c <= voice->closes; ++c) {
      in[c] = voice->in[c] + voice->done;
    }
    for (uint32_t c = 0; c < voice->closes; ++c) {
      out[c] = voice->out[c] + voice->done;
    }
    fh_tally_add(&voice->tally, &voice->pending[complete], voice->closes, in, out, end - voice->done, voice->rate);
    voice->done = end;
    ++complete;
  }
  voice->pending_count -= complete;
  memmove(voice->pending, voice->pending + complete, voice->pending_count * sizeof(voice->pending[0]));
  memmove(voice->ends, voice->ends + complete, voice->pending_count * sizeof(voice->ends[0]));
}

size_t
fh_voice_run(FhVoice* const voice, const float* const in[], const uint32_t frames)
{
  const float* from[3];
  forget_done(voice);
  for (uint32_t c = 0; c <= voice->closes; ++c) {
    from[c] = in ? in[c] : voice->scratch[2];
    if (in) {
      memcpy(voice->in[c] + (voice->heard - voice->base), in[c], frames * sizeof(float));
    }
  }
  memset(voice->scratch[2], 0, voice->block * sizeof(float));
  fh_host_run(voice->host, from, voice->scratch, frames);
  voice->heard += in ? frames : 0;
  const size_t skip  = voice->fed < voice->latency ? voice->latency - voice->fed : 0; // before the sound
  const size_t left  = voice->heard - voice->base - voice->out_count;                 // nothing after it
  const size_t count = skip >= frames ? 0 : frames - skip < left ? frames - skip : left;
  for (uint32_t c = 0; count && c < voice->closes; ++c) {
    memcpy(voice->out[c] + voice->out_count, voice->scratch[c] + skip, count * sizeof(float));
  }
  voice->fed += frames;
  voice->out_count += count;
  if (in) {
    note_frame(voice);
  }
  tally_complete(voice);
  return voice->done;
}

void
fh_voice_free(FhVoice* const voice)
{
  free(voice->memory);
  free(voice->trace.frame);
  *voice = (FhVoice){0};
}
