// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file soundcheck.h
/// Soundchecks made from arithmetic, each with one known fault or none. The same numbers on every run.

#ifndef FRONTHASH_TEST_SOUNDCHECK_H
#define FRONTHASH_TEST_SOUNDCHECK_H

#include "check.h"

typedef enum {
  FH_MADE_SOUND,         ///< No fault
  FH_MADE_LATE,          ///< The ambient channel comes 45 ms later still
  FH_MADE_EARLY,         ///< The close channels come 15 ms later
  FH_MADE_SWAPPED,       ///< The (first) close and the ambient input are exchanged
  FH_MADE_INVERTED,      ///< The ambient polarity is
  FH_MADE_INVERTED_PAIR, ///< The second close microphone's is
  FH_MADE_HUM_50,        ///< 50, 100 and 150 Hz in the close channel, FH_MADE_HUM_LEVEL in all
  FH_MADE_HUM_60,        ///< The same from 60 Hz in the ambient channel
  FH_MADE_WIND,          ///< Gusts on the ambient microphone
  FH_MADE_CLIPPED,       ///< The close channels brought 6 dB over full scale and cut off there
  FH_MADE_DEAD,          ///< The ambient channel is silent
  FH_MADE_SAME,          ///< The ambient channel carries the close one
  FH_MADE_NEAR,          ///< The ambient microphone hears the soloist nearly as loud: no separation
  FH_MADE_HOT,           ///< Mallets: bar 20 is 9 dB hot; group: player 3 is 6 dB hot
  FH_MADE_HOT_MIC,       ///< Mallets: the same in the first microphone alone
  FH_MADE_LOW,           ///< Mallets: bar 12 is 12 dB low; group: player 2 is 6 dB low
  FH_MADE_PAIR_LATE,     ///< The second close channel comes 8 ms later
} FhMadeFault;

#define FH_MADE_DELAY 283.4       ///< Frames from close to ambient at 48 kHz without a fault: 5.90 ms
#define FH_MADE_HUM_LEVEL (-46.0) ///< dBFS, mean square of all lines
#define FH_MADE_LOWEST 48         ///< First bar of the run: C3
#define FH_MADE_BARS 37
#define FH_MADE_BAR_TIME 0.45     ///< s from stroke to stroke

typedef struct {
  FhSoundcheck take;
  float*       memory;
} FhMade;

/// Pair: fh_made_free. Aborts without memory.
FhMade fh_make_soundcheck(FhCheckKind kind, size_t closes, double rate, FhMadeFault fault);
void   fh_made_free(FhMade* made);

#endif
