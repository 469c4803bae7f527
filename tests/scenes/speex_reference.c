// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "speex_reference.h"

#include "score.h"

#include <math.h>

#ifndef FH_WITH_SPEEXDSP

double
fh_speex_score(const FhTruth* const truth, const FhScene* const scene)
{
  (void)truth, (void)scene;
  return (double)NAN;
}

#else

#  include <speex/speex_echo.h>
#  include <speex/speex_preprocess.h>

#  include <stdlib.h>

static spx_int16_t
to_int16(const double x)
{
  return (spx_int16_t)lrint(fmax(-32768.0, fmin(32767.0, x * 32768.0)));
}

/// One close microphone through canceller and suppressor
static void
suppress(const FhTruth* const truth, const FhScene* const scene, const uint32_t close, float* const out)
{
  const int              frame   = (int)(10 * truth->tick);
  int                    rate    = (int)scene->rate;
  int                    denoise = 0;
  SpeexEchoState* const  echo    = speex_echo_state_init(frame, 20 * frame);
  SpeexPreprocessState*  rest    = speex_preprocess_state_init(frame, rate);
  spx_int16_t* const     mic     = (spx_int16_t*)calloc(3 * (size_t)frame, sizeof(spx_int16_t));
  spx_int16_t* const     far     = mic + frame;
  spx_int16_t* const     result  = far + frame;
  const uint32_t         ambient = scene->mics - 1;
  speex_echo_ctl(echo, SPEEX_ECHO_SET_SAMPLING_RATE, &rate);
  speex_preprocess_ctl(rest, SPEEX_PREPROCESS_SET_ECHO_STATE, echo);
  speex_preprocess_ctl(rest, SPEEX_PREPROCESS_SET_DENOISE, &denoise);
  for (size_t n = 0; mic && n + (size_t)frame <= truth->frames; n += (size_t)frame) {
    for (int i = 0; i < frame; ++i) {
      const size_t k = n + (size_t)i;
      mic[i]         = to_int16((double)scene->solo[close][k] + (double)scene->pickup[close][k]);
      far[i]         = to_int16((double)scene->solo[ambient][k] + (double)scene->pickup[ambient][k]);
    }
    speex_echo_cancellation(echo, mic, far, result);
    speex_preprocess_run(rest, result);
    for (int i = 0; i < frame; ++i) {
      out[n + (size_t)i] = (float)result[i] / 32768.0f;
    }
  }
  free(mic);
  speex_preprocess_state_destroy(rest);
  speex_echo_state_destroy(echo);
}

/// The suppressor works in overlapped frames: find its delay by the largest correlation with the solo, coarsely then finely
static size_t
find_delay(const float* const out, const float* const solo, const size_t from, const size_t to, const size_t most)
{
  size_t best = 0;
  double top  = -1.0;
  for (size_t d = 0; d <= most; ++d) {
    double sum = 0.0;
    for (size_t n = from; n + most < to && n < from + 200000; n += 3) {
      sum += (double)out[n + d] * (double)solo[n];
    }
    if (sum > top) {
      top  = sum;
      best = d;
    }
  }
  return best;
}

double
fh_speex_score(const FhTruth* const truth, const FhScene* const scene)
{
  const size_t from = truth->first * truth->tick;
  const size_t most = 20 * truth->tick;
  const float* estimate[FH_MAX_CLOSES];
  const float* solo[FH_MAX_CLOSES];
  float*       out[FH_MAX_CLOSES] = {NULL};
  bool         ok                 = truth->frames > from + 2 * most;
  for (uint32_t c = 0; ok && c < truth->closes; ++c) {
    ok = (out[c] = (float*)calloc(truth->frames, sizeof(float))) != NULL;
    if (ok) {
      suppress(truth, scene, c, out[c]);
      solo[c]     = scene->solo[c]; // the library does not pass the band split
      estimate[c] = out[c] + find_delay(out[c], scene->solo[c], from, truth->frames, most);
    }
  }
  const double score = ok ? fh_si_sdr(estimate, solo, truth->closes, from, truth->frames - most) : (double)NAN;
  for (uint32_t c = 0; c < truth->closes; ++c) {
    free(out[c]);
  }
  return score;
}

#endif
