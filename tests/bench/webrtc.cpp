// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What a general library costs for two microphones: the ambient is the far end, noise suppression follows

#include "subject.h"

#include <webrtc/modules/audio_processing/include/audio_processing.h>

#include <algorithm>
#include <cstdlib>

using webrtc::AudioProcessing;
using webrtc::StreamConfig;

void*
fh_webrtc_open(const uint32_t closes, const int size)
{
  (void)closes;
  (void)size;
  AudioProcessing* const apm = AudioProcessing::Create();
  apm->echo_cancellation()->enable_drift_compensation(false);
  apm->echo_cancellation()->Enable(true);
  apm->noise_suppression()->set_level(webrtc::NoiseSuppression::kHigh);
  apm->noise_suppression()->Enable(true);
  return apm;
}

void
fh_webrtc_run(void* const              self,
              const float* const       close[2],
              const float* const       ambient,
              float* const             out[2],
              const uint32_t           frames)
{
  AudioProcessing* const apm = static_cast<AudioProcessing*>(self);
  const StreamConfig     mono(48000, 1);
  float                  ignored[480];
  float*                 far_out[1] = {ignored};
  float*                 near_out[1] = {out[0]};
  (void)frames; // 480, always
  (void)apm->ProcessReverseStream(&ambient, mono, mono, far_out);
  (void)apm->set_stream_delay_ms(0);
  (void)apm->ProcessStream(&close[0], mono, mono, near_out);
}

void
fh_webrtc_close(void* const self)
{
  delete static_cast<AudioProcessing*>(self);
}
