// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/audio.h"

#include "command/base/complain.h"

#include <sndfile.h>

#include <string.h>
#include <strings.h>

#define CHUNK 32768 // samples
#define LARGE ((uint64_t)4000000000) // bytes: nearly what a WAV file can hold

/// Container by the suffix of the name, sample type as near to the wanted one as the container has
static int
choose_format(const char* const path, const int wanted, const int channels, const int rate)
{
  const char* const dot       = strrchr(path, '.');
  int               container = wanted & (int)SF_FORMAT_TYPEMASK;
  if (dot && !strcasecmp(dot, ".flac")) {
    container = SF_FORMAT_FLAC;
  } else if (dot && !strcasecmp(dot, ".wav") && container != SF_FORMAT_WAVEX && container != SF_FORMAT_RF64) {
    container = SF_FORMAT_WAV;
  }
  const int types[] = {wanted & (int)SF_FORMAT_SUBMASK, SF_FORMAT_PCM_24};
  for (size_t i = 0; i < 2; ++i) {
    const SF_INFO info = {.channels = channels, .samplerate = rate, .format = container | types[i]};
    if (sf_format_check(&info)) {
      return info.format;
    }
  }
  return 0;
}

/// What was written can be read again to its last frame
static bool
reads_back(const char* const path, const SF_INFO* const written, const size_t frames)
{
  float          chunk[CHUNK];
  SF_INFO        info = {0};
  SNDFILE* const file = sf_open(path, SFM_READ, &info);
  bool           ok   = file && info.channels == written->channels && info.samplerate == written->samplerate &&
            info.format == written->format;
  size_t at = 0;
  for (sf_count_t got = 1; ok && got > 0; at += (size_t)got) {
    got = sf_readf_float(file, chunk, CHUNK / written->channels);
  }
  ok = ok && at == frames && !sf_error(file);
  if (file) {
    sf_close(file);
  }
  return ok;
}

bool
fh_sound_open(FhSoundOut* const sound, FhTemp* const temp, const uint32_t channels, const uint32_t rate, const size_t frames,
              const int format)
{
  int chosen = choose_format(temp->path, format, (int)channels, (int)rate);
  *sound     = (FhSoundOut){.temp = temp, .channels = channels, .rate = rate};
  if (!chosen) {
    return fh_complain("%s: this format cannot be written; name a .wav or .flac file with --output", temp->path);
  }
  if ((chosen & (int)SF_FORMAT_TYPEMASK) != SF_FORMAT_FLAC && (uint64_t)frames * channels * sizeof(float) > LARGE) {
    chosen = SF_FORMAT_RF64 | (chosen & (int)SF_FORMAT_SUBMASK);
  }
  SF_INFO info = {.channels = (int)channels, .samplerate = (int)rate, .format = chosen};
  sound->file  = sf_open(temp->temp, SFM_WRITE, &info);
  if (!sound->file) {
    return fh_complain("%s cannot be written; is the disk full?", temp->path);
  }
  sound->format = chosen;
  sf_command(sound->file, SFC_SET_CLIPPING, NULL, SF_TRUE);
  return true;
}

bool
fh_sound_write(FhSoundOut* const sound, const float* const data[], const size_t from, const size_t frames)
{
  float          chunk[CHUNK];
  const uint32_t n     = sound->channels;
  const size_t   piece = CHUNK / n;
  for (size_t at = 0; at < frames;) {
    const size_t count = frames - at < piece ? frames - at : piece;
    for (size_t i = 0; i < count * n; ++i) {
      chunk[i] = data[i % n][from + at + i / n];
    }
    if (sf_writef_float(sound->file, chunk, (sf_count_t)count) != (sf_count_t)count) {
      return fh_complain("%s cannot be written to its end; is the disk full?", sound->temp->path);
    }
    at += count;
    sound->frames += count;
  }
  return true;
}

bool
fh_sound_finish(FhSoundOut* const sound)
{
  sf_write_sync(sound->file);
  const bool closed = !sf_close(sound->file);
  sound->file       = NULL;
  // libsndfile does not report every failed write: reading shows it
  const SF_INFO wanted = {.channels = (int)sound->channels, .samplerate = (int)sound->rate, .format = sound->format};
  return (closed && reads_back(sound->temp->temp, &wanted, sound->frames)) ||
         fh_complain("%s cannot be written to its end; is the disk full?", sound->temp->path);
}

void
fh_sound_drop(FhSoundOut* const sound)
{
  if (sound->file) {
    sf_close(sound->file);
    sound->file = NULL;
  }
}

bool
fh_audio_write(const FhAudio* const audio, FhTemp* const temp)
{
  FhSoundOut sound;
  const bool ok = fh_sound_open(&sound, temp, audio->channels, audio->rate, audio->frames, audio->format) &&
                  fh_sound_write(&sound, (const float* const*)audio->data, 0, audio->frames) && fh_sound_finish(&sound);
  fh_sound_drop(&sound);
  if (!ok) {
    fh_temp_drop(temp);
  }
  return ok;
}
