// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file soundcheck.h
/// Soundchecks made from arithmetic, with known faults or none. The same numbers on every run.

#ifndef FRONTHASH_TEST_SOUNDCHECK_H
#define FRONTHASH_TEST_SOUNDCHECK_H

#include "command/check/check.h"

/// Faults, one bit each, so that a take may have several
typedef enum {
  FH_MADE_SOUND         = 0,       ///< No fault
  FH_MADE_LATE          = 1 << 0,  ///< The ambient channel comes 45 ms later still
  FH_MADE_EARLY         = 1 << 1,  ///< The close channels come 15 ms later
  FH_MADE_SWAPPED       = 1 << 2,  ///< The (first) close and the ambient input are exchanged
  FH_MADE_INVERTED      = 1 << 3,  ///< The ambient polarity is
  FH_MADE_INVERTED_PAIR = 1 << 4,  ///< The second close microphone's is
  FH_MADE_HUM_50        = 1 << 5,  ///< 50, 100 and 150 Hz in the close channel, FH_MADE_HUM_LEVEL in all
  FH_MADE_HUM_60        = 1 << 6,  ///< The same from 60 Hz in the ambient channel
  FH_MADE_WIND          = 1 << 7,  ///< Gusts on the ambient microphone
  FH_MADE_CLIPPED       = 1 << 8,  ///< The close channels brought 6 dB over full scale and cut off there
  FH_MADE_DEAD          = 1 << 9,  ///< The ambient channel is silent
  FH_MADE_SAME          = 1 << 10, ///< The ambient channel carries the close one
  FH_MADE_NEAR          = 1 << 11, ///< The ambient microphone hears the soloist nearly as loud: no separation
  FH_MADE_HOT           = 1 << 12, ///< Soloist: note 7 is 11 dB hot; group: player 3 by 6 dB; mallets: bar 20 by 9 dB
  FH_MADE_HOT_MIC       = 1 << 13, ///< Mallets: the same in the first microphone alone
  FH_MADE_LOW           = 1 << 14, ///< Soloist: note 5 is 12 dB low; group: player 2 by 6 dB; mallets: bar 12 by 12 dB
  FH_MADE_PAIR_LATE     = 1 << 15, ///< The second close channel comes 8 ms later
  FH_MADE_FAINT         = 1 << 16, ///< All inputs are 36 dB too low
  FH_MADE_HISS          = 1 << 17, ///< Noise in the first close channel, FH_MADE_HISS_LEVEL
  FH_MADE_REGISTER      = 1 << 18, ///< Soloist: the scale falls by 18 dB from its lowest note to its highest
  FH_MADE_FEW           = 1 << 19, ///< Mallets: six bars and no more
  FH_MADE_HOLE          = 1 << 20, ///< Two microphones stand at both ends of the bars
  FH_MADE_BULGE         = 1 << 21, ///< Both stand in the middle
  FH_MADE_SLID          = 1 << 22, ///< Both stand towards the high end
  FH_MADE_ONE_LOUD      = 1 << 23, ///< The first of two has 20 dB more gain
  FH_MADE_AWAY          = 1 << 24, ///< The soloist turns away: at the close microphone 6 dB less, and 6 dB an octave less over 1.5 kHz
  FH_MADE_FAULTS        = 25,
} FhMadeFault;

#define FH_MADE_DELAY 283.4       ///< Frames from close to ambient at 48 kHz without a fault: 5.90 ms
#define FH_MADE_HUM_LEVEL (-46.0) ///< dBFS, mean square of all lines
#define FH_MADE_HISS_LEVEL (-32.0) ///< dBFS, white up to half the rate of 48 kHz
#define FH_MADE_LOWEST 48         ///< First bar of the run: C3
#define FH_MADE_BARS 37
#define FH_MADE_BAR_TIME 0.45     ///< s from stroke to stroke

typedef struct {
  FhSoundcheck take;
  float*       memory;
} FhMade;

/// Pair: fh_made_free. Aborts without memory.
/// @param faults A sum of FhMadeFault.
/// @param seed Above 1: another take of it, with an uneven hand, other rests, noises and places
FhMade fh_make_soundcheck(FhCheckKind kind, size_t closes, double rate, unsigned faults, unsigned seed);
void   fh_made_free(FhMade* made);

/// What such a soundcheck is checked with
static inline FhCheckOptions
fh_made_options(const FhCheckKind kind)
{
  const bool mallets = kind == FH_CHECK_MALLETS;
  return (FhCheckOptions){.kind     = kind,
                          .players  = kind == FH_CHECK_GROUP ? 4 : 0,
                          .celsius  = 20.0,
                          .partials = {4.0, 10.0},
                          .low      = mallets ? 36 : 40,
                          .high     = 96};
}

#endif
