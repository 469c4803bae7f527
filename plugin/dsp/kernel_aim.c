// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What the kernel is told outside the sample-rate loop

#include "dsp/kernel.h"

#include <string.h>

void
fh_kernel_init(FhKernel* const kernel, const double rate, const uint32_t closes, const uint32_t tick, FhLate* const late)
{
  *kernel = (FhKernel){.closes = closes, .tick = tick, .per_frame = 1.0f / (float)tick, .late = late};
  fh_bands_init(&kernel->bands, rate, closes);
  fh_kernel_reset(kernel);
}

/// Weights of the lower (0) or upper (1) band of each quarter
static fh_v8
lanes(const fh_v8 weight, const int upper)
{
  return upper ? __builtin_shufflevector(weight, weight, 1, 3, 1, 3, 5, 7, 5, 7)
               : __builtin_shufflevector(weight, weight, 0, 2, 0, 2, 4, 6, 4, 6);
}

void
fh_kernel_reset(FhKernel* const kernel)
{
  kernel->running = (FhKernelRunning){.weight = {fh_v8_set(1.0f), fh_v8_set(1.0f)}, .mix = {.dry = 1.0f}};
  fh_kernel_delay(kernel, kernel->latency);
}

void
fh_kernel_delay(FhKernel* const kernel, const uint32_t latency)
{
  kernel->latency          = latency;
  kernel->running.position = 0;
  memset(kernel->late, 0, (latency + 1u) * sizeof(FhLate));
}

void
fh_kernel_aim(FhKernel* const kernel, const fh_v8 weight, const FhMix* const from, const FhMix* const to)
{
  FhKernelRunning* const now = &kernel->running;
  const float            per = kernel->per_frame;
  for (int upper = 0; upper < 2; ++upper) {
    now->weight_step[upper] = (lanes(weight, upper) - now->weight[upper]) * per;
  }
  now->mix          = *from;
  now->mix_step.all = (to->all - from->all) * per;
}
