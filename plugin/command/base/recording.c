// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/recording.h"

#include "command/base/complain.h"

#include <sndfile.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#define JOINED 1024 // frames of two files at once

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

/// Bytes a file should have, from its head: RIFF as in "Multimedia Programming Interface and Data Specifications
/// 1.0", IBM and Microsoft 1991; RF64 as in EBU Tech 3306; W64 as in the specification of Sonic Foundry's Wave-64. 0 for another file,
/// or where the writer did not know. libsndfile itself refuses a CAF file that is not whole.
static uint64_t
wanted_bytes(const char* const path)
{
  unsigned char head[28] = {0};
  FILE* const   file     = fopen(path, "rb");
  const size_t  got      = file ? fread(head, 1, sizeof(head), file) : 0;
  uint64_t      wanted   = 0;
  if (got == sizeof(head) && !memcmp(head, "riff", 4)) {
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
fh_recording_join(FhRecording* const recording, const char* const path, const double slack)
{
  FhRecording other = {0};
  if (!fh_recording_open(&other, path)) {
    return false;
  }
  bool ok = true;
  if (other.channels != 1) {
    ok = fh_complain("%s has %u channels; --ambient takes a file of one", path, other.channels);
  } else if (other.rate != recording->rate) {
    ok = fh_complain("%s runs at %u Hz and %s at %u Hz; convert one to the rate of the other", recording->path,
                     recording->rate, path, other.rate);
  } else if (fabs((double)other.frames - (double)recording->frames) > slack * recording->rate) {
    ok = fh_complain("%s lasts %.1f s and %s %.1f s; export both from one recording, of one length", recording->path,
                     fh_recording_seconds(recording), path, fh_recording_seconds(&other));
  }
  if (!ok) {
    fh_recording_close(&other);
    return false;
  }
  recording->more_path   = path;
  recording->more        = other.file;
  recording->more_frames = other.frames;
  ++recording->channels;
  return true;
}

static bool
seek_file(void* const file, const char* const path, const size_t frame, const uint32_t rate)
{
  return sf_seek(file, (sf_count_t)frame, SEEK_SET) == (sf_count_t)frame ||
         fh_complain("%s cannot be read from %.1f s on; copy it again", path, (double)frame / rate);
}

bool
fh_recording_seek(FhRecording* const recording, const size_t frame)
{
  if (frame == recording->at) {
    return true;
  }
  const size_t more = frame < recording->more_frames ? frame : recording->more_frames;
  recording->at     = frame;
  return seek_file(recording->file, recording->path, frame, recording->rate) &&
         (!recording->more || seek_file(recording->more, recording->more_path, more, recording->rate));
}

/// Read frames of `n` channels that a file must have at `at`
static bool
read_file(void* const file, const char* const path, float* const chunk, const size_t frames, const uint32_t n, const size_t at,
          const FhRecording* const recording)
{
  for (size_t done = 0; done < frames;) {
    const sf_count_t got = sf_readf_float(file, chunk + done * n, (sf_count_t)(frames - done));
    if (got < 1) {
      return fh_complain("%s breaks off after %.1f s of %.1f s; copy it again", path, (double)(at + done) / recording->rate,
                         fh_recording_seconds(recording));
    }
    done += (size_t)got;
  }
  for (size_t i = 0; i < frames * n; ++i) {
    if (!isfinite(chunk[i])) {
      return fh_complain("%s holds values that are not numbers at %.1f s; export it again", path,
                         (double)(at + i / n) / recording->rate);
    }
  }
  return true;
}

/// Read few frames of both files and put them side by side
static bool
read_joined(FhRecording* const recording, float* const chunk, const size_t frames)
{
  float          more[JOINED]  = {0.0f};
  const uint32_t n             = recording->channels - 1;
  const size_t   left          = recording->at < recording->more_frames ? recording->more_frames - recording->at : 0;
  if (!read_file(recording->file, recording->path, chunk, frames, n, recording->at, recording) ||
      !read_file(recording->more, recording->more_path, more, left < frames ? left : frames, 1, recording->at, recording)) {
    return false;
  }
  for (size_t i = frames; i-- > 0;) {
    memmove(chunk + i * (n + 1), chunk + i * n, n * sizeof(float));
    chunk[i * (n + 1) + n] = more[i];
  }
  return true;
}

bool
fh_recording_read(FhRecording* const recording, float* const chunk, const size_t frames)
{
  const size_t piece = recording->more ? JOINED : frames;
  for (size_t done = 0; done < frames;) {
    const size_t count = frames - done < piece ? frames - done : piece;
    float* const to    = chunk + done * recording->channels;
    const bool   ok    = recording->more ? read_joined(recording, to, count)
                                         : read_file(recording->file, recording->path, to, count, recording->channels,
                                                     recording->at, recording);
    if (!ok) {
      return false;
    }
    done += count;
    recording->at += count;
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
  if (recording->more) {
    sf_close(recording->more);
  }
  recording->file = recording->more = NULL;
}
