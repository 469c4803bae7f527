// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file render.h
/// Channels of a recording on their way through the plugin into files of their own, all in one pass over the recording.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_RENDER_H
#define FRONTHASH_COMMAND_RENDER_H

#include "command/measure/take.h"
#include "command/run/voice.h"

#include <stdbool.h>
#include <stddef.h>

/// One of them; zero it before first use
typedef struct {
  const char* title;   ///< Of the picture
  FhChannels  mics;
  FhHost*     host;    ///< With its settings and what it has learnt
  FhTemp      sound;   ///< Open
  FhTemp      picture; ///< Open, or its path empty: none
  FhSoundOut  out;
  FhVoice     voice;
  uint32_t    latency; ///< Frames
  FhFigures   figures; ///< Filled in
} FhRenderJob;

/// Let the plugin learn from a stretch of a recording. @param option Where the stretch came from, for complaints.
/// @return false, having complained.
bool fh_render_learn(FhHost* host, FhRecording* recording, const FhChannels* mics, FhLearn what, const FhStretch* stretch,
                     const char* option);

/// Run all and write their files: all whole, or none. @return false, having complained.
bool fh_render(FhRecording* recording, FhRenderJob* jobs, size_t count);

/// Free what jobs hold: hosts, voices, files that were not committed
void fh_render_free(FhRenderJob* jobs, size_t count);

#endif
