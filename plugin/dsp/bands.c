// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/bands.h"

#include <math.h>

const float fh_crossovers[FH_CROSSOVERS] = {150.0f, 300.0f, 600.0f, 1200.0f, 2400.0f, 4800.0f, 9600.0f};

/// Set a section to a crossover in each lane
static void
set_section(FhSection* const section, const int places[8], const double rate)
{
  for (int lane = 0; lane < 8; ++lane) {
    const double hz = fmin((double)fh_crossovers[places[lane]], 0.49 * rate);
    const double g  = tan(3.14159265358979324 * hz / rate);
    const double a  = 1.0 / (1.0 + g * (g + 1.41421356237309505));

    section->rise[lane]  = (float)(4.0 * g * g * a);
    section->first[lane] = section->rise[lane] * 0.0625f;
    section->keep[lane]  = (float)(1.0 - a * g * (4.0 * g + 2.82842712474619010));
    // As exact as the all-pass is flat: from the coefficients as they have been rounded
    section->turn[lane]  = (float)((double)section->keep[lane] + (double)section->rise[lane] - 1.0);
  }
}

void
fh_bands_init(FhBands* const bands, const double rate, const uint32_t closes)
{
  set_section(&bands->top, (const int[]){1, 1, 3, 3, 5, 5, 3, 3}, rate);
  set_section(&bands->quarter, (const int[]){0, 2, 0, 2, 4, 6, 4, 6}, rate);
  set_section(&bands->ambient, (const int[]){1, 3, 0, 2, 5, 3, 4, 6}, rate);
  if (closes > 1u) {
    set_section(&bands->join, (const int[]){2, 0, 2, 0, 6, 4, 6, 4}, rate);
  } else {
    set_section(&bands->join, (const int[]){2, 0, 4, 5, 6, 4, 0, 1}, rate);
  }
  set_section(&bands->chain, (const int[]){4, 4, 5, 5, 0, 0, 1, 1}, rate);
  set_section(&bands->last, (const int[]){6, 6, 6, 6, 2, 2, 2, 2}, rate);
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
