// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file instrument.h
/// The instruments of the made-up field, and the two ways to make them sound.
///
/// Playing ranges are the usual sounding ranges; levels are rough forte levels at 1 m, chosen to keep the order
/// of instruments known from orchestral measurements (brass and drums above winds above strings).
/// Thread: any, but one sampler per thread.

#ifndef FRONTHASH_SCENES_INSTRUMENT_H
#define FRONTHASH_SCENES_INSTRUMENT_H

#include "song.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum {
  FH_TRUMPET,
  FH_MELLOPHONE,
  FH_TROMBONE,
  FH_EUPHONIUM,
  FH_TUBA,
  FH_FLUTE,
  FH_CLARINET,
  FH_ALTO_SAX,
  FH_BARI_SAX,
  FH_VIOLIN,
  FH_MARIMBA,
  FH_VIBRAPHONE,
  FH_DRUMS,
  FH_OBOE,
  FH_VOICE,
  FH_XYLOPHONE,
  FH_HAND_DRUMS,
  FH_INSTRUMENTS
} FhInstrumentId;

typedef enum { FH_SOUND_FM, FH_SOUND_BAR, FH_SOUND_DRUM } FhSound;

typedef struct {
  const char* name;
  int         low, high;   ///< MIDI note numbers
  double      level;       ///< Forte at 1 m, dB SPL
  int         program;     ///< General MIDI, from 0; -1 for the drum set
  FhSound     sound;       ///< How the synthesiser makes it
  double      attack;      ///< s, loud; soft notes take up to twice as long
  double      release;     ///< s, time constant
  double      ratio;       ///< Modulator over carrier frequency; of bars: the second partial
  double      index;       ///< Modulation index of a loud note; of bars: share of the second partial
  double      breath;      ///< Noise share
  double      beam;        ///< Hz above which the sound leaves mainly to the front
} FhInstrument;

extern const FhInstrument fh_instruments[FH_INSTRUMENTS];

/// Make a part sound: mono pressure at 1 m with 1.0 = 94 dB SPL, at the instrument's level. @param to is overwritten
/// @param cents Detuning of this player
void fh_synth_part(FhInstrumentId, const FhPart*, double cents, double rate, float* to, size_t frames);

/// Sound fonts of Debian's packages: the same music on other instruments and in other rooms
typedef enum {
  FH_FONT_TIMGM6MB,  ///< timgm6mb-soundfont, what the tests use
  FH_FONT_MUSESCORE, ///< musescore-general-soundfont
  FH_FONT_CSOUND,    ///< csound-soundfont
  FH_FONTS
} FhFont;

extern const char* const fh_font_names[FH_FONTS];

/// @return false where no font has that name
bool fh_font_find(const char* name, FhFont* font);

/// Whether sampled instruments were compiled in and this sound font is there; if not, `why` says what to do
bool fh_sampled_available(FhFont font, const char** why);

/// As fh_synth_part(), from the sound font. @return false (with a line on stderr) when it cannot be loaded
bool fh_sampled_part(FhFont, FhInstrumentId, const FhPart*, double cents, double rate, float* to, size_t frames);

/// Scale a part to a level: mean square over the 10 ms frames within 30 dB of the loudest. Silence stays.
void fh_set_level(float* signal, size_t frames, double rate, double level);

#endif
