// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/audio.h"

#include "command/base/complain.h"

#include <stdlib.h>
#include <sys/stat.h>

#define MAX_SAMPLES ((size_t)1 << 30) // 4 GiB of floats

bool
fh_audio_alloc(FhAudio* const audio,
               const uint32_t channels,
               const uint32_t rate,
               const size_t   frames,
               const int      format)
{
  *audio = (FhAudio){.channels = channels, .rate = rate, .frames = frames, .format = format};
  for (uint32_t c = 0; c < channels; ++c) {
    audio->data[c] = (float*)calloc(frames ? frames : 1, sizeof(float));
    if (!audio->data[c]) {
      fh_audio_free(audio);
      return fh_complain("not enough memory for %zu frames; cut the take into shorter ones", frames);
    }
  }
  return true;
}

void
fh_audio_free(FhAudio* const audio)
{
  for (uint32_t c = 0; c < FH_AUDIO_CHANNELS; ++c) {
    free(audio->data[c]);
  }
  *audio = (FhAudio){0};
}

bool
fh_audio_read(FhAudio* const audio, const char* const path)
{
  FhRecording recording = {0};
  if (!fh_recording_open(&recording, path)) {
    return false;
  }
  bool ok = recording.channels <= FH_AUDIO_CHANNELS ||
            fh_complain("%s has %u channels; export the microphones alone, at most %d", path, recording.channels,
                        FH_AUDIO_CHANNELS);
  uint32_t channel[FH_AUDIO_CHANNELS];
  for (uint32_t c = 0; c < FH_AUDIO_CHANNELS; ++c) {
    channel[c] = c;
  }
  ok = ok && fh_audio_room(audio, &recording, recording.channels, recording.frames) &&
       fh_audio_add(audio, &recording, channel, 0, recording.frames, 0, 0);
  fh_recording_close(&recording);
  if (!ok) {
    fh_audio_free(audio);
  }
  return ok;
}

bool
fh_audio_room(FhAudio* const audio, const FhRecording* const recording, const uint32_t channels, const size_t frames)
{
  if (frames > MAX_SAMPLES / channels) {
    return fh_complain("%s is too long; cut it into shorter takes", recording->path);
  }
  return fh_audio_alloc(audio, channels, recording->rate, frames, recording->format);
}

bool
fh_audio_add(FhAudio* const      audio,
             FhRecording* const  recording,
             const uint32_t      channel[],
             const size_t        from,
             const size_t        frames,
             const size_t        to,
             const size_t        fade)
{
  const uint32_t n     = recording->channels;
  float* const   chunk = malloc(FH_RECORDING_CHUNK * n * sizeof(float));
  bool ok = (chunk || fh_complain("not enough memory; close other programs")) && fh_recording_seek(recording, from);
  for (size_t at = 0; ok && at < frames;) {
    const size_t count = frames - at < FH_RECORDING_CHUNK ? frames - at : FH_RECORDING_CHUNK;
    ok                 = fh_recording_read(recording, chunk, count);
    for (size_t i = 0; ok && i < count; ++i) {
      const size_t edge = at + i + 1 < frames - at - i ? at + i + 1 : frames - at - i; // frames to the nearer end
      const float  gain = edge < fade ? (float)edge / (float)fade : 1.0f;
      for (uint32_t c = 0; c < audio->channels; ++c) {
        audio->data[c][to + at + i] += gain * chunk[i * n + channel[c]];
      }
    }
    at += count;
  }
  free(chunk);
  return ok;
}

bool
fh_same_file(const char* const a, const char* const b)
{
  struct stat first;
  struct stat second;
  return !stat(a, &first) && !stat(b, &second) && first.st_dev == second.st_dev && first.st_ino == second.st_ino;
}
