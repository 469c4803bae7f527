// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/transform.h"

#include <kiss_fftr.h>

#include <stdlib.h>

#define SPARES 8

struct FhTransformImpl {
  size_t        size;
  kiss_fftr_cfg forward;
  kiss_fftr_cfg back;
  float*        signal;
  kiss_fft_cpx* bins;
};

static void
destroy(FhTransform* const t)
{
  if (t) {
    kiss_fftr_free(t->forward);
    kiss_fftr_free(t->back);
    free(t->signal);
    free(t->bins);
    free(t);
  }
}

/// Freed, but kept for the next of their size: to make one takes as long as to run it several times
static _Thread_local FhTransform* spares[SPARES];

FhTransform*
fh_transform_new(const size_t size)
{
  for (size_t i = 0; i < SPARES; ++i) {
    FhTransform* const spare = spares[i];
    if (spare && spare->size == size) {
      spares[i] = NULL;
      return spare;
    }
  }
  FhTransform* const t = calloc(1, sizeof(*t));
  if (!t) {
    return NULL;
  }
  t->size    = size;
  t->forward = kiss_fftr_alloc((int)size, 0, NULL, NULL);
  t->back    = kiss_fftr_alloc((int)size, 1, NULL, NULL);
  t->signal  = calloc(size, sizeof(*t->signal));
  t->bins    = calloc(size / 2 + 1, sizeof(*t->bins));
  if (!t->forward || !t->back || !t->signal || !t->bins) {
    destroy(t);
    return NULL;
  }
  return t;
}

void
fh_transform_free(FhTransform* const t)
{
  if (t) {
    size_t i = 0;
    while (i + 1 < SPARES && spares[i]) {
      ++i;
    }
    destroy(spares[i]);
    spares[i] = t;
  }
}

void
fh_transform_forward(FhTransform* const t, const double* const signal, FhBin* const bins)
{
  for (size_t i = 0; i < t->size; ++i) {
    t->signal[i] = (float)signal[i];
  }
  kiss_fftr(t->forward, t->signal, t->bins);
  for (size_t i = 0; i <= t->size / 2; ++i) {
    bins[i][0] = (double)t->bins[i].r;
    bins[i][1] = (double)t->bins[i].i;
  }
}

void
fh_transform_back(FhTransform* const t, const FhBin* const bins, double* const signal)
{
  for (size_t i = 0; i <= t->size / 2; ++i) {
    t->bins[i].r = (float)bins[i][0];
    t->bins[i].i = (float)bins[i][1];
  }
  kiss_fftri(t->back, t->bins, t->signal);
  for (size_t i = 0; i < t->size; ++i) {
    signal[i] = (double)t->signal[i];
  }
}
