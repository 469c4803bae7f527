// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What of the code compiled several times runs on this processor

#include "dsp/engine_state.h"

#ifdef FH_HAVE_AVX512

bool fh_kernel_run_avx512(FhKernel* kernel, const FhBuffers* buffers, uint32_t offset, uint32_t n, uint32_t after);

static bool
has_avx512(void)
{
  return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512vl");
}

#endif

#ifdef FH_HAVE_AVX2

bool fh_kernel_run_avx2(FhKernel* kernel, const FhBuffers* buffers, uint32_t offset, uint32_t n, uint32_t after);
void fh_engine_tick_avx2(FhEngine* engine);
void fh_meters_show_avx2(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);

static bool
has_avx2(void)
{
  return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
}

#endif

int
fh_kernel_paths(FhKernelRun paths[FH_KERNEL_PATHS])
{
  int n      = 0;
  paths[n++] = fh_kernel_run;
#ifdef FH_HAVE_AVX2
  if (has_avx2()) {
    paths[n++] = fh_kernel_run_avx2;
#ifdef FH_HAVE_AVX512
    if (has_avx512()) {
      paths[n++] = fh_kernel_run_avx512;
    }
#endif
  }
#endif
  return n;
}

FhKernelRun
fh_kernel_choose(void)
{
  FhKernelRun paths[FH_KERNEL_PATHS];
  return paths[fh_kernel_paths(paths) - 1];
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
