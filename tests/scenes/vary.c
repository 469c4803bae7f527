// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "vary.h"

#include "random.h"

#include <math.h>

#define PI 3.14159265358979323846

enum { STAGE = 20, SONG = 21, PLAYERS = 1000 }; // streams of chance

/// Between two values, each octave alike
static double
octaves(FhRandom* const r, const double low, const double high)
{
  return low * pow(high / low, fh_random_in(r, 0.0, 1.0));
}

static FhPoint
turned(const FhPoint d, const double azimuth, const double up)
{
  const double c = cos(azimuth), s = sin(azimuth);
  return fh_direction(c * d.x - s * d.y, s * d.x + c * d.y, d.z + up);
}

void
fh_vary_stage(const uint64_t vary, FhStage* const stage)
{
  FhRandom r        = fh_random(vary, STAGE);
  stage->nearness   = octaves(&r, 0.6, 3.0);
  stage->stretch[0] = octaves(&r, 0.4, 1.6);
  stage->stretch[1] = octaves(&r, 0.5, 1.6);
  stage->field      = (FhField){fh_random_in(&r, -2.0, 36.0), fh_random_in(&r, 20.0, 95.0), fh_random_in(&r, 0.1, 0.9), -octaves(&r, 8.0, 60.0),
                                octaves(&r, 45.0, 120.0), fh_random_in(&r, 0.0, 0.7)};
  for (uint32_t m = 0; m < stage->closes; ++m) {
    stage->mics[m].facing = turned(stage->mics[m].facing, fh_random_in(&r, -0.6, 0.6), fh_random_in(&r, -0.4, 0.4));
    stage->mics[m].omni   = fh_random_in(&r, 0.3, 0.75);
  }
  FhMic* const ambient = &stage->mics[stage->closes];
  const double away = octaves(&r, 0.7, 14.0), bearing = fh_random_in(&r, -0.5 * PI, 0.5 * PI); // of the soloist, from the band's side
  const int    omni = fh_random_below(&r, 2);
  if (stage->ambient_distance > 0.0) {
    ambient->at = (FhPoint){away * sin(bearing), away * cos(bearing), fh_random_in(&r, 1.0, 3.0)};
  }
  ambient->facing = turned(ambient->facing, fh_random_in(&r, -1.0, 1.0), fh_random_in(&r, -0.5, 1.0));
  ambient->omni   = omni ? 1.0 : fh_random_in(&r, 0.35, 0.8);
}

void
fh_vary_song(const uint64_t vary, FhSong* const song)
{
  FhRandom r    = fh_random(vary, SONG);
  song->beat    = 60.0 / octaves(&r, 56.0, 190.0);
  song->root    = fh_random_below(&r, 12);
  song->opening = fh_random_below(&r, 20);
  song->backing = fh_random_in(&r, 0.3, 1.0);
  const double phrase = octaves(&r, 0.7, 8.0), pause = octaves(&r, 0.4, 5.0);
  song->phrase = (FhStretch){phrase, phrase * fh_random_in(&r, 1.1, 3.0)};
  song->pause  = (FhStretch){pause, pause * fh_random_in(&r, 1.1, 3.0)};
}

FhVaried
fh_vary_player(const uint64_t vary, const uint64_t who, const bool soloist, const FhInstrument* const in)
{
  // General MIDI, from 1: chromatic percussion, plucked, bowed, choirs, brass, reeds, pipes, and some that no field has
  static const int programs[] = {1,  9,  10, 11, 12, 13, 14, 15, 16, 20, 22, 25, 26, 27, 33, 34, 41, 42, 43, 44, 46, 47, 49,
                                 52, 53, 54, 57, 58, 59, 60, 61, 62, 65, 66, 67, 68, 69, 70, 71, 72, 73, 74, 75, 76, 77, 78,
                                 79, 80, 81, 82, 83, 86, 92, 105, 106, 107, 108, 109, 110, 111, 112, 113, 115};
  if (!vary) {
    return (FhVaried){0, in->low, in->high, 0.0};
  }
  FhRandom r   = fh_random(vary, PLAYERS + who);
  FhVaried to  = {0, in->low, in->high, fh_random_in(&r, -6.0, 6.0)};
  const int n  = fh_random_below(&r, sizeof(programs) / sizeof(programs[0]));
  const int up = fh_random_below(&r, 13) - 6;
  if (in->program >= 0 && fh_random_in(&r, 0.0, 1.0) < (soloist ? 0.6 : 0.35)) {
    to.sound = programs[n];
    to.low   = in->low + up < 28 ? 28 : in->low + up;
    to.high  = in->high + up > 96 ? 96 : in->high + up;
  }
  return to;
}

FhInstrument
fh_vary_instrument(const int sound, const FhInstrument* const instrument)
{
  static const double ratios[] = {0.5, 1.0, 1.0, 2.0, 3.0};
  FhInstrument        in       = *instrument;
  if (sound) {
    FhRandom r = fh_random((uint64_t)sound, 30);
    in.attack *= octaves(&r, 0.2, 3.0);
    in.release *= octaves(&r, 0.5, 3.0);
    in.index *= octaves(&r, 0.1, 2.0);
    in.breath *= octaves(&r, 0.3, 5.0);
    in.ratio = in.sound == FH_SOUND_FM ? ratios[fh_random_below(&r, 5)] : in.ratio;
  }
  return in;
}
