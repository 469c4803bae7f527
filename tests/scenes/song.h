// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file song.h
/// Made-up music: what every band player and every soloist plays, as notes.
///
/// Band and soloist share key and tempo. The band runs through loud hits, soft pads, crescendos, a groove and
/// silent bars: at full strength between the soloist's phrases, as a softer backing under them but for the hits.
/// The soloist plays separate phrases with legato, staccato, long and soft notes and rests inside.
/// Thread: any.

#ifndef FRONTHASH_SCENES_SONG_H
#define FRONTHASH_SCENES_SONG_H

#include <stddef.h>
#include <stdint.h>

#define FH_MAX_PHRASES 16

typedef struct {
  double start;    ///< s
  double length;   ///< s, until the player stops
  float  key;      ///< MIDI note number; a drum player's General MIDI drum
  float  strength; ///< 0..1
} FhNote;

typedef struct {
  FhNote* notes;
  size_t  count, room;
  int     sound; ///< 0: the instrument's own; else another, chosen by this number
} FhPart;

typedef enum { FH_MELODY, FH_CHORD, FH_BASS, FH_SNARE, FH_TENORS, FH_BASS_DRUM, FH_CYMBALS } FhRole;

typedef struct {
  double from, to; ///< s
} FhStretch;

/// Tempo, key and where the soloist plays
typedef struct {
  uint64_t  seed;
  double    beat;    ///< s
  double    length;  ///< s
  int       root;    ///< Pitch class of the key
  int       minor;   ///< 0 or 1
  int       opening; ///< Where in its plan the band begins, bars
  double    backing; ///< How softly the band plays under the soloist but for hits, of its own strength
  FhStretch phrase;  ///< How long a phrase may be, s
  FhStretch pause;   ///< And what is between two
  FhStretch phrases[FH_MAX_PHRASES];
  size_t    phrase_count;
} FhSong;

/// Choose tempo and key from a seed
FhSong fh_song(uint64_t seed, double length);

/// Write one band player's part. @param voice Number of the player within the role: picks the chord note.
/// @param low, high Playing range as MIDI note numbers. Free with fh_part_free().
void fh_song_band_part(const FhSong*, FhRole, int voice, int low, int high, FhPart* part);

/// Choose when the soloist plays
void fh_song_phrases(FhSong*, double from, double to);

/// Append one phrase of the solo. Notes end inside the stretch. @param voice 0 lead, 1.. harmony below
/// @param index Number of the phrase; chooses articulation and strength
void fh_song_solo_phrase(const FhSong*, FhStretch, size_t index, int voice, int low, int high, FhPart* part);

/// Append one note; exits the program when memory is out
void fh_part_add(FhPart*, FhNote);
void fh_part_free(FhPart*);

#endif
