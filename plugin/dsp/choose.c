// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What of the code compiled several times runs on this processor

#include "dsp/engine_state.h"

#ifdef FH_HAVE_AVX2

bool fh_kernel_run_avx2(FhKernel* kernel, const FhBuffers* buffers, uint32_t offset, uint32_t n);
void fh_engine_tick_avx2(FhEngine* engine);
void fh_meters_show_avx2(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);

static bool
has_avx2(void)
{
  return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
}

#endif

FhKernelRun
fh_kernel_choose(void)
{
#ifdef FH_HAVE_AVX2
  if (has_avx2()) {
    return fh_kernel_run_avx2;
  }
#endif
  return fh_kernel_run;
}

FhEngineTick
fh_engine_tick_choose(void)
{
#ifdef FH_HAVE_AVX2
  if (has_avx2()) {
    return fh_engine_tick_avx2;
  }
#endif
  return fh_engine_tick;
}

FhMetersShow
fh_meters_show_choose(void)
{
#ifdef FH_HAVE_AVX2
  if (has_avx2()) {
    return fh_meters_show_avx2;
  }
#endif
  return fh_meters_show;
}
