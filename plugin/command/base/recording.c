// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/recording.h"

#include "command/base/complain.h"

#include <sndfile.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static bool
check_info(const SF_INFO* const info, const char* const path)
{
  if (info->frames < 1) {
    return fh_complain("%s holds no sound; record it again", path);
  }
  if (info->channels > FH_RECORDING_CHANNELS) {
    return fh_complain("%s has %d channels; export the microphones alone, at most %d", path, info->channels,
                       FH_RECORDING_CHANNELS);
  }
  if (info->samplerate < 8000 || info->samplerate > 192000) {
    return fh_complain("%s runs at %d Hz; convert it to 8000 to 192000 Hz", path, info->samplerate);
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

/// The same with the highest first
static uint64_t
big(const unsigned char* const bytes, const int count)
{
  uint64_t value = 0;
  for (int i = 0; i < count; ++i) {
    value = value << 8 | bytes[i];
  }
  return value;
}

/// End of the data chunk of a CAF file, as in "Apple Core Audio Format Specification 1.0"; 0 where it has none or goes to the end
static uint64_t
caf_bytes(FILE* const file)
{
  unsigned char head[12];
  uint64_t      at = 8;
  for (int chunk = 0; chunk < 64 && !fseek(file, (long)at, SEEK_SET) && fread(head, 1, 12, file) == 12; ++chunk) {
    const uint64_t size = big(head + 4, 8);
    if (size > INT64_MAX - at - 12) {
      return 0; // unknown when it was written
    }
    at += 12 + size;
    if (!memcmp(head, "data", 4)) {
      return at;
    }
  }
  return 0;
}

/// Bytes a file should have, from its head: RIFF as in "Multimedia Programming Interface and Data Specifications
/// 1.0", IBM and Microsoft 1991; RF64 as in EBU Tech 3306; W64 as in the specification of Sonic Foundry's Wave-64. 0 for another file,
/// or where the writer did not know.
static uint64_t
wanted_bytes(const char* const path)
{
  unsigned char head[28] = {0};
  FILE* const   file     = fopen(path, "rb");
  const size_t  got      = file ? fread(head, 1, sizeof(head), file) : 0;
  uint64_t      wanted   = 0;
  if (got == sizeof(head) && !memcmp(head, "caff", 4)) {
    wanted = caf_bytes(file);
  } else if (got == sizeof(head) && !memcmp(head, "riff", 4)) {
    wanted = little(head + 16, 8); // after a mark of 16 bytes; the head counts
    wanted = wanted > INT64_MAX ? 0 : wanted;
  } else if (got == sizeof(head) && !memcmp(head + 8, "WAVE", 4)) {
    const uint64_t size  = little(head + 4, 4);
    const bool     large = (!memcmp(head, "RF64", 4) || !memcmp(head, "BW64", 4)) && !memcmp(head + 12, "ds64", 4);
    if (!memcmp(head, "RIFF", 4)) {
      wanted = size && size < UINT32_MAX ? size + 8 : 0;
    } else if (large) {
      wanted = little(head + 20, 8) + 8;
    }
  }
  if (file) {
    fclose(file);
  }
  return wanted;
}

/// False for a file that ends early, which libsndfile reads as a shorter one. Some writers are off by a few bytes.
static bool
check_whole(const char* const path, const uint64_t bytes, const SF_INFO* const info)
{
  const uint64_t wanted = wanted_bytes(path);
  return wanted <= bytes + 8 || fh_complain("%s breaks off after %.1f s, %llu of %llu bytes; copy it again", path,
                                            (double)info->frames / info->samplerate, (unsigned long long)bytes,
                                            (unsigned long long)wanted);
}

bool
fh_recording_open(FhRecording* const recording, const char* const path)
{
  struct stat there;
  *recording = (FhRecording){.path = path};
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
  recording->file     = file;
  recording->channels = (uint32_t)info.channels;
  recording->rate     = (uint32_t)info.samplerate;
  recording->frames   = (size_t)info.frames;
  recording->format   = info.format;
  if (!check_info(&info, path) || !check_whole(path, (uint64_t)there.st_size, &info)) {
    fh_recording_close(recording);
    return false;
  }
  return true;
}

bool
fh_recording_seek(FhRecording* const recording, const size_t frame)
{
  if (frame != recording->at && sf_seek(recording->file, (sf_count_t)frame, SEEK_SET) != (sf_count_t)frame) {
    return fh_complain("%s cannot be read from %.1f s on; copy it again", recording->path,
                       (double)frame / recording->rate);
  }
  recording->at = frame;
  return true;
}

bool
fh_recording_read(FhRecording* const recording, float* const chunk, const size_t frames)
{
  const uint32_t n = recording->channels;
  for (size_t done = 0; done < frames;) {
    const sf_count_t got = sf_readf_float(recording->file, chunk + done * n, (sf_count_t)(frames - done));
    if (got < 1) {
      return fh_complain("%s breaks off after %.1f s of %.1f s; copy it again", recording->path,
                         (double)recording->at / recording->rate, fh_recording_seconds(recording));
    }
    for (size_t i = done * n; i < (done + (size_t)got) * n; ++i) {
      if (!isfinite(chunk[i])) {
        return fh_complain("%s holds values that are not numbers at %.1f s; export it again", recording->path,
                           (double)(recording->at + i / n - done) / recording->rate);
      }
    }
    done += (size_t)got;
    recording->at += (size_t)got;
  }
  return true;
}

double
fh_recording_seconds(const FhRecording* const recording)
{
  return (double)recording->frames / recording->rate;
}

void
fh_recording_close(FhRecording* const recording)
{
  if (recording->file) {
    sf_close(recording->file);
  }
  recording->file = NULL;
}
