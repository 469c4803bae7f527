// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/bands.h"

#include <math.h>
#include <string.h>

const float fh_crossovers[FH_CROSSOVERS] = {150.0f, 300.0f, 600.0f, 1200.0f, 2400.0f, 4800.0f, 9600.0f};

// Crossover in the lower and upper half of the lanes, section by section
static const int places[FH_SECTIONS][2] = {
  [FH_SECTION_ROOT] = {3, 3},
  [FH_SECTION_ALIGN] = {4, 0},
  [FH_SECTION_ALIGN + 1] = {5, 1},
  [FH_SECTION_ALIGN + 2] = {6, 2},
  [FH_SECTION_HALF] = {1, 5},
  [FH_SECTION_ALIGN_LOW] = {2, 6},
  [FH_SECTION_ALIGN_HIGH] = {0, 4},
  [FH_SECTION_LOW] = {0, 4},
  [FH_SECTION_HIGH] = {2, 6},
};

void
fh_bands_init(FhBands* const bands, const double rate)
{
  for (int i = 0; i < FH_SECTIONS; ++i) {
    for (int lane = 0; lane < 8; ++lane) {
      const double hz = fmin((double)fh_crossovers[places[i][lane / FH_MICS]], 0.49 * rate);
      const double g  = tan(3.14159265358979324 * hz / rate);
      const double a1 = 1.0 / (1.0 + g * (g + 1.41421356237309505));

      bands->section[i].g[lane]  = (float)g;
      bands->section[i].a1[lane] = (float)a1;
      bands->section[i].a2[lane] = (float)(g * a1);
      bands->section[i].a3[lane] = (float)(g * g * a1);
    }
  }
  fh_bands_reset(bands);
}

void
fh_bands_reset(FhBands* const bands)
{
  memset(bands->first, 0, sizeof(bands->first));
  memset(bands->second, 0, sizeof(bands->second));
}

int
fh_bands_usable(const double rate)
{
  int n = 1;
  while (n < FH_BANDS && (double)fh_crossovers[n - 1] * 1.41421356237309505 < 0.5 * rate) {
    ++n;
  }
  return n;
}
