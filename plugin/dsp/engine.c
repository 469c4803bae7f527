// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/engine.h"

size_t
fh_engine_size(const double rate, const uint32_t closes)
{
  (void)rate;
  (void)closes;
  return 64;
}
