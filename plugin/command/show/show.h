// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file show.h
/// A show: the stands on the field, the microphone and channels of each, and who comes to it in which order. It is read from a
/// plain text file, which docs/show.md describes, and keeps its comments when it is changed and written again.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_SHOW_H
#define FRONTHASH_COMMAND_SHOW_H

#include "command/base/temp.h"
#include "command/measure/acoustics.h"
#include "command/measure/family.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_SHOW_VERSION 1
#define FH_SHOW_STANDS 64    ///< At most
#define FH_SHOW_SOLOISTS 16  ///< At a stand, at most
#define FH_SHOW_SPEAKERS 16  ///< At most
#define FH_SHOW_CHANNELS 64  ///< Of the desk's interface; numbered from 1
#define FH_SHOW_NAME 128     ///< Bytes of a name with its end
#define FH_SHOW_BYTES 262144 ///< Of a file, at most

/// How a stand's microphone is put up
typedef enum {
  FH_MIC_STAND,   ///< On a stand before one player
  FH_MIC_CLIP,    ///< On the instrument
  FH_MIC_HEADSET, ///< On the player's head
  FH_MIC_PAIR,    ///< Two under one instrument
  FH_MIC_GROUP,   ///< One for several players
  FH_MIC_COUNT
} FhMicKind;

/// The words for them in the file
extern const char* const fh_mic_kinds[FH_MIC_COUNT];

/// On the field, m. x runs to the right and y towards the band, seen from the audience.
typedef struct {
  bool   known;
  double x, y;
} FhSpot;

/// One who comes to a stand. Manners are the soloist's: another one at the same stand needs no new Learn of the field.
typedef struct {
  char            name[FH_SHOW_NAME];
  char            preset[FH_SHOW_NAME]; ///< Empty: the defaults
  const FhFamily* family;               ///< The stand's where the soloist brings none
  size_t          name_end;             ///< In the text: after the name, where a preset can be put in
  size_t          preset_at[2];         ///< In the text: the preset's name from, to; both 0 where there is none
} FhSoloist;

/// One microphone, or two, with the channel in and out. What was learnt of the field belongs here.
typedef struct {
  char             name[FH_SHOW_NAME];
  size_t           line;           ///< In the file, from 1
  uint32_t         input[2];       ///< Channels of the interface, from 1; the second is 0 but for a pair
  uint32_t         output[2];      ///< Likewise; the inputs' numbers where none are given
  const FhFamily*  family;
  FhMicKind        mic;
  const FhPattern* pattern;        ///< The family's usual one where none is given
  double           distance;       ///< Microphone to bell, mouth or bars, m; the family's usual one where none is given
  FhSpot           at;
  uint32_t         players;        ///< At once; 1 but for a group
  char             note[FH_SHOW_NAME]; ///< For whoever sets it up: line of the snake, wireless set, phantom power; may be empty
  size_t           soloist_count;
  FhSoloist        soloist[FH_SHOW_SOLOISTS]; ///< In the order in which they come
} FhStand;

typedef struct {
  char     path[FH_PATH_MAX];
  char*    text;        ///< The whole file
  char     title[FH_SHOW_NAME];
  uint32_t rate;        ///< Hz
  uint32_t ambient;     ///< Channel of the ambient microphone, from 1
  FhSpot   ambient_at;
  FhSpot   band_at;     ///< Middle of the band's nearest row
  double   band_width, band_depth; ///< m; 0 where not given
  size_t   speaker_count;
  FhSpot   speaker_at[FH_SHOW_SPEAKERS];
  size_t   stand_count; ///< At least 1
  FhStand  stand[FH_SHOW_STANDS];
} FhShow;

/// Read a file. Pair: fh_show_free.
/// @return NULL, having complained in one line, which names the line and the column in characters where there is one.
FhShow* fh_show_read(const char* path);

/// Likewise from memory; `path` is what complaints call it.
FhShow* fh_show_parse(const char* path, const char* text, size_t length);

void fh_show_free(FhShow* show);

/// Close microphones of a stand, 1 or 2
uint32_t fh_stand_closes(const FhStand* stand);

/// Find a stand by its name; NULL, having complained with a list, if there is none
const FhStand* fh_show_find(const FhShow* show, const char* name);

/// Name a soloist's preset in the text, everything else in it untouched. @return false, having complained.
bool fh_show_set_preset(FhShow* show, size_t stand, size_t soloist, const char* preset);

/// Write the text where it was read from, whole or not at all. @return false, having complained.
bool fh_show_write(const FhShow* show);

/// Keys of the file, for what holds the documentation against them; NULL after the last
const char* fh_show_key(size_t index);

#endif
