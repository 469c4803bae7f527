// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "instrument.h"

#include <math.h>

const FhInstrument fh_instruments[FH_INSTRUMENTS] = {
  // name        low high level prog sound          attack release ratio index breath beam
  {"trumpet",    52, 84, 98,   56, FH_SOUND_FM,   0.020, 0.020, 1.0, 5.0, 0.005, 900},
  {"mellophone", 48, 79, 95,   60, FH_SOUND_FM,   0.030, 0.025, 1.0, 3.0, 0.005, 700},
  {"trombone",   40, 72, 98,   57, FH_SOUND_FM,   0.030, 0.025, 1.0, 5.0, 0.005, 600},
  {"euphonium",  40, 70, 95,   58, FH_SOUND_FM,   0.035, 0.030, 1.0, 2.2, 0.005, 400},
  {"tuba",       29, 58, 97,   58, FH_SOUND_FM,   0.045, 0.035, 1.0, 2.2, 0.005, 400},
  {"flute",      60, 93, 88,   73, FH_SOUND_FM,   0.040, 0.030, 1.0, 0.6, 0.040, 3000},
  {"clarinet",   50, 86, 88,   71, FH_SOUND_FM,   0.025, 0.025, 2.0, 1.6, 0.010, 2000},
  {"alto-sax",   49, 80, 92,   65, FH_SOUND_FM,   0.025, 0.020, 1.0, 3.2, 0.020, 1500},
  {"bari-sax",   36, 69, 93,   67, FH_SOUND_FM,   0.030, 0.025, 1.0, 3.6, 0.020, 1200},
  {"violin",     55, 93, 82,   40, FH_SOUND_FM,   0.050, 0.040, 1.0, 2.5, 0.010, 2500},
  {"marimba",    48, 84, 90,   12, FH_SOUND_BAR,  0.002, 0.250, 4.0, 0.3, 0.010, 8000},
  {"vibraphone", 53, 89, 88,   11, FH_SOUND_BAR,  0.001, 0.900, 4.0, 0.2, 0.002, 8000},
  {"drums",      35, 59, 102,  -1, FH_SOUND_DRUM, 0.001, 0.100, 1.0, 1.0, 1.000, 8000},
  {"oboe",       58, 87, 88,   68, FH_SOUND_FM,   0.020, 0.020, 1.0, 4.0, 0.005, 2000},
  {"voice",      48, 76, 84,   52, FH_SOUND_FM,   0.050, 0.040, 1.0, 2.0, 0.020, 2500},
  {"xylophone",  65, 100, 92,  13, FH_SOUND_BAR,  0.001, 0.120, 3.0, 0.3, 0.010, 8000},
  {"hand-drums", 60, 66, 92,   -1, FH_SOUND_DRUM, 0.001, 0.080, 1.0, 1.0, 0.200, 8000}, // bongos, congas, timbales
};

void
fh_set_level(float* const signal, const size_t frames, const double rate, const double level)
{
  const size_t step = (size_t)(rate / 100.0);
  double       top  = 0.0;
  for (int pass = 0; pass < 2; ++pass) {
    double sum   = 0.0;
    size_t count = 0;
    for (size_t n = 0; n + step <= frames; n += step) {
      double s = 0.0;
      for (size_t i = 0; i < step; ++i) {
        s += (double)signal[n + i] * (double)signal[n + i];
      }
      if (pass == 0) {
        top = fmax(top, s);
      } else if (s > 1e-3 * top) {
        sum += s;
        count += step;
      }
    }
    if (pass == 1 && sum > 0.0) {
      const float gain = (float)(pow(10.0, (level - 94.0) / 20.0) / sqrt(sum / (double)count));
      for (size_t n = 0; n < frames; ++n) {
        signal[n] *= gain;
      }
    }
  }
}
