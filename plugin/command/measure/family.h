// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file family.h
/// What is known of each instrument family: range, main region, level, size, the usual microphone.
///
/// Thread: constants, any thread.

#ifndef FRONTHASH_COMMAND_FAMILY_H
#define FRONTHASH_COMMAND_FAMILY_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
  const char* name;         ///< As on the command line and in show files, and of the factory preset's file
  const char* label;        ///< As printed, and before the colon of the preset's label
  int         low, high;    ///< Sounding range, MIDI note numbers (60 is C4, A4 is 440 Hz)
  double      region[2];    ///< Where most of the sound that tells it apart lies, Hz
  double      level;        ///< Loud (forte), dB at 1 m free field
  double      ear;          ///< Most at the player's own ear in a marching band playing full, dB(A)
  double      radius;       ///< Half the size of the source, m
  double      mic_distance; ///< Usual distance of the close microphone, m
  double      mic_nearest;  ///< Nearer than this the tone suffers or the player hits it, m
  const char* pattern;      ///< Usual pattern of the close microphone
  double      aim;          ///< How far past the band it aims: 0 before a bell, 90 over or under bars, degrees
} FhFamily;

extern const FhFamily fh_families[];
extern const size_t   fh_family_count;

/// Whether two names are the same: capitals are small letters, and an underscore is a hyphen.
bool fh_is_named(const char* name, const char* said);

/// Find a family by its name, or an older one; NULL if there is none
const FhFamily* fh_family_find(const char* name);

/// How loud: name, and dB relative to forte (rounded from Meyer, Acoustics and the Performance of Music; from memory)
typedef struct {
  const char* name;
  double      offset;
} FhDynamic;

extern const FhDynamic fh_dynamics[];
extern const size_t    fh_dynamic_count;

const FhDynamic* fh_dynamic_find(const char* name);

#endif
