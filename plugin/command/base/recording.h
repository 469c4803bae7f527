// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file recording.h
/// A sound file of up to 64 channels, read piece by piece: WAV, RF64, W64, CAF, FLAC and what else libsndfile opens. Its length takes
/// no memory.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_RECORDING_H
#define FRONTHASH_COMMAND_RECORDING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_RECORDING_CHANNELS 64
#define FH_RECORDING_CHUNK 4096 ///< Frames that are handy to read at once

/// An open file; zero it before first use
typedef struct {
  const char* path;     ///< As the caller named it; kept, not copied
  void*       file;     ///< libsndfile's
  uint32_t    channels; ///< 1..FH_RECORDING_CHANNELS
  uint32_t    rate;     ///< Hz
  size_t      frames;   ///< At least 1
  int         format;   ///< libsndfile's container and sample type
  size_t      at;       ///< Frame that is read next
  const char* more_path; ///< Of the file that was joined, NULL if none was
  void*       more;     ///< Its libsndfile handle
  size_t      more_frames;
} FhRecording;

/// Open a file. Pair: fh_recording_close.
/// @return false, having complained: missing, not a sound file, broken off, empty, too many channels, rate out of 8000..192000 Hz.
bool fh_recording_open(FhRecording* recording, const char* path);

/// Take the one channel of another file as a further channel, behind the others; where it ends earlier, silence follows.
/// @param slack s by which the two may differ in length. @return false, having complained: more channels, another rate or length.
bool fh_recording_join(FhRecording* recording, const char* path, double slack);

/// Go to a frame that is there. @return false, having complained.
bool fh_recording_seek(FhRecording* recording, size_t frame);

/// Read exactly so many frames, interleaved. @return false, having complained: broken off, samples that are not finite.
bool fh_recording_read(FhRecording* recording, float* chunk, size_t frames);

/// Seconds in a recording
double fh_recording_seconds(const FhRecording* recording);

void fh_recording_close(FhRecording* recording);

#endif
