// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file voice.h
/// One microphone channel run through the plugin piece by piece: the latency is taken out, figures are kept up, and a picture's worth
/// of frames is kept. The length of what is run takes no memory.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_VOICE_H
#define FRONTHASH_COMMAND_VOICE_H

#include "command/run/run.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_TRACE_FRAMES 16384 ///< Kept of a run at most, evenly over it

/// Controls over time: every block while there is room, later every second, every fourth
typedef struct {
  FhFrame* frame;
  size_t   count;
  size_t   step; ///< Blocks to one frame
  size_t   seen; ///< Blocks so far
} FhTrace;

/// A channel on its way; zero it before first use
typedef struct {
  FhHost*  host;
  uint32_t closes;
  uint32_t block;     ///< Frames at once, about 10 ms
  uint32_t latency;   ///< Frames the plugin declares
  uint32_t rate;      ///< Hz
  float*   memory;    ///< Holds the buffers below
  float*   in[3];     ///< Close microphones, then the ambient: from the first frame whose block is not complete at the output
  float*   out[2];    ///< The processed close microphones, likewise
  float*   scratch[3]; ///< What the plugin gave last, then silence
  size_t   fed;       ///< Frames into the plugin so far
  size_t   heard;     ///< Of them sound
  size_t   base;      ///< Frame that the buffers begin with
  size_t   out_count; ///< Frames in `out`
  size_t   done;      ///< Of them given to the caller, to go at the next call
  FhFrame  pending[8]; ///< Controls after each block that is not complete at the output
  size_t   ends[8];   ///< Frames heard by then
  size_t   pending_count;
  FhTally  tally;
  FhTrace  trace;     ///< Kept only if begun with `traced`
} FhVoice;

/// Rewind the host and begin. Pair: fh_voice_free, which leaves the host alone. @return false, having complained.
bool fh_voice_begin(FhVoice* voice, FhHost* host, uint32_t rate, bool traced);

/// Run sound, at most a block of it; at its end run silence (NULL) for as many frames as the latency has.
/// @return How many frames of processed sound have come; they are in `out` until the next call.
size_t fh_voice_run(FhVoice* voice, const float* const in[], uint32_t frames);

void fh_voice_free(FhVoice* voice);

#endif
