// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file audio.h
/// Sound files as planar floats, through libsndfile.

#ifndef FRONTHASH_COMMAND_AUDIO_H
#define FRONTHASH_COMMAND_AUDIO_H

#include "command/base/recording.h"
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

/// Make room for some channels of a recording, silent. Pair: fh_audio_free. @return false, having complained: too long, no memory.
bool fh_audio_room(FhAudio* audio, const FhRecording* recording, uint32_t channels, size_t frames);

/// Add channels of a recording, as many as `audio` has, to what is there.
/// @param channel Which of the recording, from 0. @param from First frame in the recording. @param to First frame in `audio`.
/// @param fade Frames over which it comes in and goes out, in a straight line; 0: none
/// @return false, having complained.
bool fh_audio_add(FhAudio* audio, FhRecording* recording, const uint32_t channel[], size_t from, size_t frames, size_t to,
                  size_t fade);

/// Allocate silence. @return false, having complained.
bool fh_audio_alloc(FhAudio* audio, uint32_t channels, uint32_t rate, size_t frames, int format);

/// A sound file that is written piece by piece
typedef struct {
  FhTemp*  temp;
  void*    file; ///< libsndfile's
  uint32_t channels;
  uint32_t rate;   ///< Hz
  int      format; ///< libsndfile's
  size_t   frames; ///< Written so far
} FhSoundOut;

/// Begin a file under its temporary name; the caller commits. The container follows the suffix of the name (wav, flac), RF64 where
/// WAV cannot hold it; the sample type is kept where the container can hold it. Samples above full scale are limited in whole-number
/// formats. Pairs: fh_sound_finish, and always fh_sound_drop.
/// @param frames To come, about. @param format Wanted, libsndfile's. @return false, having complained.
bool fh_sound_open(FhSoundOut* sound, FhTemp* temp, uint32_t channels, uint32_t rate, size_t frames, int format);

/// Write frames of each channel, beginning with `from`. @return false, having complained.
bool fh_sound_write(FhSoundOut* sound, const float* const data[], size_t from, size_t frames);

/// Close the file and read it to its end. @return false, having complained.
bool fh_sound_finish(FhSoundOut* sound);

/// Close a file that was not finished
void fh_sound_drop(FhSoundOut* sound);

/// Write a whole recording likewise. @return false, having complained and dropped the temporary file.
bool fh_audio_write(const FhAudio* audio, FhTemp* temp);

/// True if both names lead to one file.
bool fh_same_file(const char* a, const char* b);

void fh_audio_free(FhAudio* audio);

#endif
