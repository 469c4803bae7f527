// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file audio.h
/// Sound files as planar floats, through libsndfile.

#ifndef FRONTHASH_COMMAND_AUDIO_H
#define FRONTHASH_COMMAND_AUDIO_H

#include "command/base/temp.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_AUDIO_CHANNELS 8

/// A whole recording in memory; zero it before first use
typedef struct {
  uint32_t channels;                ///< 1..FH_AUDIO_CHANNELS
  uint32_t rate;                    ///< Hz
  size_t   frames;
  int      format;                  ///< libsndfile's container and sample type
  float*   data[FH_AUDIO_CHANNELS]; ///< Samples per channel, full scale is 1
} FhAudio;

/// Read a whole file. Pair: fh_audio_free.
/// @return false, having complained: missing, not a sound file, broken off, empty, too many channels, too long,
/// rate out of 8000..192000 Hz, samples that are not finite.
bool fh_audio_read(FhAudio* audio, const char* path);

/// Allocate silence. @return false, having complained.
bool fh_audio_alloc(FhAudio* audio, uint32_t channels, uint32_t rate, size_t frames, int format);

/// Write a file under its temporary name; the caller commits. The container follows the suffix of the name
/// (wav, flac), the sample type is kept where the container can hold it. Samples above full scale are limited
/// in whole-number formats.
/// @return false, having complained and dropped the temporary file.
bool fh_audio_write(const FhAudio* audio, FhTemp* temp);

/// True if both names lead to one file.
bool fh_same_file(const char* a, const char* b);

void fh_audio_free(FhAudio* audio);

#endif
