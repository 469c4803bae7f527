// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/bands.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

const float fh_crossovers[FH_CROSSOVERS] = {150.0f, 300.0f, 600.0f, 1200.0f, 2400.0f, 4800.0f, 9600.0f};

/// Set all lanes of a section, which stand for crossovers by half and, in the upper four lanes, by quarter
static void
set_section(FhSection* const section, const int places[4], const double rate)
{
  for (int lane = 0; lane < 8; ++lane) {
    const double hz = fmin((double)fh_crossovers[places[lane / 2]], 0.49 * rate);
    const double g  = tan(3.14159265358979324 * hz / rate);
    const double a  = 1.0 / (1.0 + g * (g + 1.41421356237309505));

    section->rise[lane] = (float)(4.0 * g * g * a);
    section->keep[lane] = (float)(1.0 - a * g * (4.0 * g + 2.82842712474619010));
    // As exact as the all-pass is flat: from the coefficients as they have been rounded
    section->turn[lane] = (float)((double)section->keep[lane] + (double)section->rise[lane] - 1.0);
  }
}

void
fh_bands_init(FhBands* const bands, const double rate)
{
  // Crossover by lanes in twos: lower and upper half, then the same again or for the upper quarters
  set_section(&bands->top, (const int[]){3, 3, 1, 5}, rate);
  set_section(&bands->quarter, (const int[]){0, 4, 2, 6}, rate);
  set_section(&bands->align_quarter, (const int[]){2, 6, 0, 4}, rate);
  for (int i = 0; i < FH_ALIGNS; ++i) {
    set_section(&bands->align[i], (const int[]){4 + i, i, 4 + i, i}, rate);
  }
  fh_bands_reset(bands);
}

void
fh_bands_reset(FhBands* const bands)
{
  const size_t from = offsetof(FhBands, top_state);
  memset((char*)bands + from, 0, sizeof(*bands) - from);
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
