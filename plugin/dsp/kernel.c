// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Compiled once per instruction set, with FH_KERNEL_RUN naming the result

#include "dsp/kernel.h"

/// Keep a sample only if it is a number of sensible size (below +48 dBFS); anything else becomes silence
static inline fh_v4
wholesome(const fh_v4 x)
{
  const fh_v4 limit = fh_v4_set(256.0f);
  const fh_i4 keep  = (x < limit) & (x > -limit);
  return (fh_v4)(keep & (fh_i4)x);
}

static inline fh_v4
larger_magnitude(const fh_v4 peak, const fh_v4 x)
{
  const fh_v4 magnitude = (fh_v4)((fh_i4)x & 0x7fffffff);
  const fh_i4 above     = magnitude > peak;
  return (fh_v4)((above & (fh_i4)magnitude) | (~above & (fh_i4)peak));
}

static inline fh_v4
fold(const fh_v8 x)
{
  return __builtin_shufflevector(x, x, 0, 1, 2, 3) + __builtin_shufflevector(x, x, 4, 5, 6, 7);
}

void
FH_KERNEL_RUN(FhKernel* const kernel, fh_v4* const frames, const uint32_t n)
{
  FhBands  bands    = kernel->bands; // in locals, so that the compiler may keep them in registers
  FhSums   sums     = kernel->sums;
  FhMix    mix      = kernel->mix;
  uint32_t position = kernel->position;

  for (uint32_t i = 0; i < n; ++i) {
    const fh_v4 x       = wholesome(frames[i]);
    const fh_v4 ambient = __builtin_shufflevector(x, x, 2, 2, 2, 2);
    const fh_v4 apart   = x - ambient;
    sums.raw += x * x;
    sums.difference += apart * apart;
    sums.peak = larger_magnitude(sums.peak, x);

    fh_v8* const line = kernel->band_line + (size_t)position * FH_FOLDED;
    fh_v8        band[FH_FOLDED];
    fh_bands_split(&bands, x, band);
    for (int j = 0; j < FH_FOLDED; ++j) {
      sums.power[j] += band[j] * band[j];
      line[j] = band[j];
    }
    kernel->raw_line[position] = x;
    position                   = position == kernel->latency ? 0 : position + 1;

    const fh_v8* const late = kernel->band_line + (size_t)position * FH_FOLDED;
    const fh_v4        dry  = kernel->raw_line[position];

    fh_v8 wet  = late[0] * kernel->gain[0];
    fh_v8 open = late[0];
    for (int j = 1; j < FH_FOLDED; ++j) {
      wet += late[j] * kernel->gain[j];
      open += late[j];
    }
    for (int j = 0; j < FH_FOLDED; ++j) {
      kernel->gain[j] += kernel->step[j];
    }

    const fh_v4 out = mix.wet * fold(wet) + mix.open * fold(open) + mix.dry * dry +
                      mix.ambient * __builtin_shufflevector(dry, dry, 2, 2, 2, 2);
    frames[i] = __builtin_shufflevector(out, dry, 0, 1, 6, 7);
    mix.wet += kernel->mix_step.wet;
    mix.open += kernel->mix_step.open;
    mix.dry += kernel->mix_step.dry;
    mix.ambient += kernel->mix_step.ambient;
  }

  kernel->bands    = bands;
  kernel->sums     = sums;
  kernel->mix      = mix;
  kernel->position = position;
}
