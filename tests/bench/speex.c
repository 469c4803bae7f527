// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What a general library costs for two microphones: the ambient is the echo, noise reduction follows

#include "subject.h"

#include <speex/speex_echo.h>
#include <speex/speex_preprocess.h>

#include <stdlib.h>

enum { FRAME = 256, TAIL = 2048, RATE = 48000 };

typedef struct {
  SpeexEchoState*       echo;
  SpeexPreprocessState* preprocess;
} Speex;

void*
fh_speex_open(const uint32_t closes, const int size)
{
  (void)closes;
  (void)size;
  int          rate  = RATE;
  Speex* const self  = (Speex*)malloc(sizeof(Speex));
  self->echo         = speex_echo_state_init(FRAME, TAIL);
  self->preprocess   = speex_preprocess_state_init(FRAME, RATE);
  (void)speex_echo_ctl(self->echo, SPEEX_ECHO_SET_SAMPLING_RATE, &rate);
  (void)speex_preprocess_ctl(self->preprocess, SPEEX_PREPROCESS_SET_ECHO_STATE, self->echo);
  return self;
}

static spx_int16_t
to_16(const float x)
{
  const float limited = x < 1.0f ? x > -1.0f ? x : -1.0f : 1.0f;
  return (spx_int16_t)(32767.0f * limited);
}

void
fh_speex_run(void* const              self_,
             const float* const       close[2],
             const float* const       ambient,
             float* const             out[2],
             const uint32_t           frames)
{
  Speex* const self = (Speex*)self_;
  spx_int16_t  near[FRAME] = {0}, far[FRAME] = {0}, clean[FRAME];
  for (uint32_t i = 0; i < frames; ++i) {
    near[i] = to_16(close[0][i]);
    far[i]  = to_16(ambient[i]);
  }
  speex_echo_cancellation(self->echo, near, far, clean);
  (void)speex_preprocess_run(self->preprocess, clean);
  for (uint32_t i = 0; i < frames; ++i) {
    out[0][i] = (float)clean[i] / 32767.0f;
  }
}

void
fh_speex_close(void* const self_)
{
  Speex* const self = (Speex*)self_;
  speex_preprocess_state_destroy(self->preprocess);
  speex_echo_state_destroy(self->echo);
  free(self);
}
