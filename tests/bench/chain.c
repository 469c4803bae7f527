// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Compute-bound references, compiled without vectorisation: a gain, and rows of second-order sections as a textbook has
// them (transposed direct form II; A. V. Oppenheim, R. W. Schafer, "Discrete-Time Signal Processing", ch. 6).

#include "subject.h"

#include <stdlib.h>

enum { MOST_SECTIONS = 256 };

typedef struct {
  float b0, b1, b2, a1, a2, s1, s2;
} Section;

typedef struct {
  int     sections;
  Section section[MOST_SECTIONS];
} Chain;

void*
fh_gain_open(const uint32_t closes, const int size)
{
  (void)closes;
  (void)size;
  float* const gain = (float*)malloc(sizeof(float));
  *gain             = 0.5f;
  return gain;
}

void
fh_gain_run(void* const              self,
            const float* const       close[2],
            const float* const       ambient,
            float* const             out[2],
            const uint32_t           frames)
{
  const float gain = *(const float*)self;
  (void)ambient;
  for (uint32_t i = 0; i < frames; ++i) {
    out[0][i] = gain * close[0][i];
  }
}

void*
fh_chain_open(const uint32_t closes, const int size)
{
  (void)closes;
  Chain* const chain = (Chain*)calloc(1, sizeof(Chain));
  chain->sections    = size;
  for (int i = 0; i < size; ++i) { // the all-pass of a 1200 Hz crossover: the signal keeps its level through any number
    chain->section[i] = (Section){0.8006f, -1.7782f, 1.0f, -1.7782f, 0.8006f, 0.0f, 0.0f};
  }
  return chain;
}

static inline float
section(Section* const s, const float x)
{
  const float y = s->b0 * x + s->s1;
  s->s1         = s->b1 * x - s->a1 * y + s->s2;
  s->s2         = s->b2 * x - s->a2 * y;
  return y;
}

void
fh_chain_run(void* const              self,
             const float* const       close[2],
             const float* const       ambient,
             float* const             out[2],
             const uint32_t           frames)
{
  Chain* const chain = (Chain*)self;
  (void)ambient;
  for (uint32_t i = 0; i < frames; ++i) {
    float x = close[0][i];
    for (int k = 0; k < chain->sections; ++k) {
      x = section(&chain->section[k], x);
    }
    out[0][i] = x;
  }
}

/// As many sections in two rows side by side: a processor that looks ahead works on both at once
void
fh_chains_run(void* const              self,
              const float* const       close[2],
              const float* const       ambient,
              float* const             out[2],
              const uint32_t           frames)
{
  Chain* const chain = (Chain*)self;
  const int    half  = chain->sections / 2;
  for (uint32_t i = 0; i < frames; ++i) {
    float x = close[0][i];
    float y = ambient[i];
    for (int k = 0; k < half; ++k) {
      x = section(&chain->section[k], x);
      y = section(&chain->section[half + k], y);
    }
    if (chain->sections > 2 * half) {
      x = section(&chain->section[2 * half], x);
    }
    out[0][i] = x + y;
  }
}
