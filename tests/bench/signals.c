// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "signals.h"

#include "../noise.h"

#include <math.h>
#include <stdlib.h>

static const char* const names[FH_SIGNALS] = {"quiet", "loud", "denormal tail", "NaN burst", "gate chatter"};

/// One frame: the soloist alone and the field
static void
frame(const FhSignal signal, const uint32_t i, uint32_t* const seed, float* const solo, float* const field)
{
  const double t    = i / FH_BENCH_RATE;
  const float  tone = (float)(sin(2.0 * 3.14159265358979 * 440.0 * t) + 0.5 * sin(2.0 * 3.14159265358979 * 3300.0 * t));

  *solo  = 0.0f;
  *field = (float)fh_noise(seed);
  switch (signal) {
  case FH_SIGNAL_QUIET:
    *field *= 1.7e-4f;
    break;
  case FH_SIGNAL_LOUD:
    *solo = 0.47f * tone;
    *field *= 0.43f;
    break;
  case FH_SIGNAL_TAIL: // from -600 dBFS into nothing every 100 ms: the smallest normal number lies at -759 dBFS
    *field *= (float)pow(10.0, -30.0 - 200.0 * fmod(t, 0.1));
    break;
  case FH_SIGNAL_NAN:
    *field *= 0.05f;
    if (fmod(t, 0.02) < 0.005) {
      *solo = i % 2 ? NAN : -INFINITY;
    }
    break;
  case FH_SIGNAL_CHATTER:
    *solo = fmod(t, 0.03) < 0.015 ? 0.3f * tone : 0.0f;
    *field *= 0.05f;
    break;
  case FH_SIGNALS:
    break;
  }
}

FhBenchAudio
fh_bench_audio(const FhSignal signal)
{
  FhBenchAudio a = {names[signal], {NULL, NULL}, NULL};
  for (int c = 0; c < 2; ++c) {
    a.close[c] = (float*)calloc(FH_BENCH_FRAMES, sizeof(float));
  }
  a.ambient = (float*)calloc(FH_BENCH_FRAMES, sizeof(float));

  uint32_t seed = 5u;
  for (uint32_t i = 0; i < FH_BENCH_FRAMES; ++i) {
    float solo, field;
    frame(signal, i, &seed, &solo, &field);
    // The second close microphone stands a little apart, and neither hears the field as the ambient does
    const uint32_t before = i > 20u ? i - 20u : 0u;
    a.ambient[i]          = field;
    a.close[0][i]         = solo + 0.1f * a.ambient[before];
    a.close[1][i]         = 0.8f * solo + 0.1f * a.ambient[before > 7u ? before - 7u : 0u];
  }
  return a;
}

void
fh_bench_audio_free(FhBenchAudio* const audio)
{
  free(audio->close[0]);
  free(audio->close[1]);
  free(audio->ambient);
}
