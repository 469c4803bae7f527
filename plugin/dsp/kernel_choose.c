// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/kernel.h"

FhKernelRun
fh_kernel_choose(void)
{
#ifdef FH_HAVE_AVX2
  if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) {
    return fh_kernel_run_avx2;
  }
#endif
  return fh_kernel_run_baseline;
}
