// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/audio.h"

#include "command/base/complain.h"

#include <sndfile.h>

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#define CHUNK 4096
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

static bool
check_info(const SF_INFO* const info, const char* const path)
{
  if (info->frames < 1) {
    return fh_complain("%s holds no sound; record it again", path);
  }
  if (info->channels > FH_AUDIO_CHANNELS) {
    return fh_complain("%s has %d channels; export the microphones alone, at most %d", path, info->channels,
                       FH_AUDIO_CHANNELS);
  }
  if (info->samplerate < 8000 || info->samplerate > 192000) {
    return fh_complain("%s runs at %d Hz; convert it to 8000 to 192000 Hz", path, info->samplerate);
  }
  if ((size_t)info->frames > MAX_SAMPLES / (size_t)info->channels) {
    return fh_complain("%s is too long; cut it into shorter takes", path);
  }
  return true;
}

/// Read all frames; false if the file breaks off or holds a value that is no number
static bool
read_frames(SNDFILE* const file, FhAudio* const audio, const char* const path)
{
  float    chunk[CHUNK * FH_AUDIO_CHANNELS];
  uint32_t n = audio->channels;
  for (size_t at = 0; at < audio->frames;) {
    const size_t    rest = audio->frames - at;
    const sf_count_t got = sf_readf_float(file, chunk, (sf_count_t)(rest < CHUNK ? rest : CHUNK));
    if (got < 1) {
      return fh_complain("%s breaks off after %.1f s of %.1f s; copy it again", path,
                         (double)at / audio->rate, (double)audio->frames / audio->rate);
    }
    for (size_t i = 0; i < (size_t)got * n; ++i) {
      if (!isfinite(chunk[i])) {
        return fh_complain("%s holds values that are not numbers at %.1f s; export it again", path,
                           (double)(at + i / n) / audio->rate);
      }
      audio->data[i % n][at + i / n] = chunk[i];
    }
    at += (size_t)got;
  }
  return true;
}

/// Unsigned number of `count` bytes, the lowest first
static uint64_t
little(const unsigned char* const bytes, const int count)
{
  uint64_t value = 0;
  for (int i = count - 1; i >= 0; --i) {
    value = value << 8 | bytes[i];
  }
  return value;
}

/// Bytes a WAV file should have, from its head: RIFF as in "Multimedia Programming Interface and Data Specifications
/// 1.0", IBM and Microsoft 1991; RF64 as in EBU Tech 3306. 0 for another file, or where the writer did not know.
static uint64_t
riff_bytes(const char* const path)
{
  unsigned char head[28] = {0};
  FILE* const   file     = fopen(path, "rb");
  const size_t  got      = file ? fread(head, 1, sizeof(head), file) : 0;
  if (file) {
    fclose(file);
  }
  if (got < sizeof(head) || memcmp(head + 8, "WAVE", 4) != 0) {
    return 0;
  }
  if (!memcmp(head, "RIFF", 4)) {
    const uint64_t size = little(head + 4, 4);
    return size && size < UINT32_MAX ? size + 8 : 0;
  }
  const bool large = (!memcmp(head, "RF64", 4) || !memcmp(head, "BW64", 4)) && !memcmp(head + 12, "ds64", 4);
  return large ? little(head + 20, 8) + 8 : 0;
}

/// False for a WAV file that ends early, which libsndfile reads as a shorter one. Some writers are off by a few bytes.
static bool
check_whole(const char* const path, const uint64_t bytes, const SF_INFO* const info)
{
  const uint64_t wanted = riff_bytes(path);
  return wanted <= bytes + 8 || fh_complain("%s breaks off after %.1f s, %llu of %llu bytes; copy it again", path,
                                            (double)info->frames / info->samplerate, (unsigned long long)bytes,
                                            (unsigned long long)wanted);
}

bool
fh_audio_read(FhAudio* const audio, const char* const path)
{
  struct stat there;
  if (stat(path, &there)) {
    return fh_complain("%s cannot be found; check the name", path);
  }
  if (!S_ISREG(there.st_mode)) {
    return fh_complain("%s is not a file; name a WAV or FLAC recording", path);
  }
  SF_INFO        info = {0};
  SNDFILE* const file = sf_open(path, SFM_READ, &info);
  if (!file) {
    return fh_complain("%s cannot be read as a sound file (%s); name a WAV or FLAC recording", path,
                       sf_strerror(NULL));
  }
  const bool ok = check_info(&info, path) && check_whole(path, (uint64_t)there.st_size, &info) &&
                  fh_audio_alloc(audio, (uint32_t)info.channels, (uint32_t)info.samplerate, (size_t)info.frames,
                                 info.format) &&
                  read_frames(file, audio, path);
  sf_close(file);
  if (!ok) {
    fh_audio_free(audio);
  }
  return ok;
}

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

static bool
write_frames(SNDFILE* const file, const FhAudio* const audio)
{
  float          chunk[CHUNK * FH_AUDIO_CHANNELS];
  const uint32_t n = audio->channels;
  for (size_t at = 0; at < audio->frames;) {
    const size_t rest  = audio->frames - at;
    const size_t count = rest < CHUNK ? rest : CHUNK;
    for (size_t i = 0; i < count * n; ++i) {
      chunk[i] = audio->data[i % n][at + i / n];
    }
    if (sf_writef_float(file, chunk, (sf_count_t)count) != (sf_count_t)count) {
      return false;
    }
    at += count;
  }
  return true;
}

/// What was written can be read again to its last frame
static bool
reads_back(const char* const path, const SF_INFO* const written, const size_t frames)
{
  float          chunk[CHUNK * FH_AUDIO_CHANNELS];
  SF_INFO        info = {0};
  SNDFILE* const file = sf_open(path, SFM_READ, &info);
  bool           ok   = file && info.channels == written->channels && info.samplerate == written->samplerate &&
            info.format == written->format;
  size_t at = 0;
  for (sf_count_t got = 1; ok && got > 0; at += (size_t)got) {
    got = sf_readf_float(file, chunk, CHUNK);
  }
  ok = ok && at == frames && !sf_error(file);
  if (file) {
    sf_close(file);
  }
  return ok;
}

bool
fh_audio_write(const FhAudio* const audio, FhTemp* const temp)
{
  const int format = choose_format(temp->path, audio->format, (int)audio->channels, (int)audio->rate);
  if (!format) {
    fh_temp_drop(temp);
    return fh_complain("%s: this format cannot be written; name a .wav or .flac file with --output", temp->path);
  }
  SF_INFO        info = {.channels = (int)audio->channels, .samplerate = (int)audio->rate, .format = format};
  SNDFILE* const file = sf_open(temp->temp, SFM_WRITE, &info);
  bool           ok   = file != NULL;
  if (file) {
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    ok = write_frames(file, audio);
    sf_write_sync(file);
    ok = !sf_close(file) && ok;
  }
  // libsndfile does not report every failed write: reading shows it
  const SF_INFO wanted = {.channels = (int)audio->channels, .samplerate = (int)audio->rate, .format = format};
  ok                   = ok && reads_back(temp->temp, &wanted, audio->frames);
  if (!ok) {
    fh_temp_drop(temp);
    return fh_complain("%s cannot be written to its end; is the disk full?", temp->path);
  }
  return true;
}

bool
fh_same_file(const char* const a, const char* const b)
{
  struct stat first;
  struct stat second;
  return !stat(a, &first) && !stat(b, &second) && first.st_dev == second.st_dev && first.st_ino == second.st_ino;
}
