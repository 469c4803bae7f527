// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/family.h"

#include <ctype.h>
#include <string.h>

// Ranges: written notes of orchestration handbooks, sounding. Regions: formants printed by Sengpiel (vowel diagram) and
// Meyer where they exist, else from memory. Levels: forte sound power of Meyer less 11 dB, from memory (violin 89,
// flute 91, oboe and clarinet 93, trumpet and trombone 101, horn 102, tuba 104 dB); mellophone, baritone, saxophones,
// voice and mallets are our estimates beside those; groups are four players. Sizes and distances: usual practice.
// Ears: the most in two marching bands (Sound Advice, note 17: cornet 120, horn 111, trombone and baritone 113, tuba 117,
// piccolo 112, clarinet 119, alto saxophone 113, tenor 115, snare drum 113, bass drum 122 dB). Where it has none: a baritone
// saxophone as a tenor, mallets as a snare drum, a group as its loudest player, others as the least of all.
const FhFamily fh_families[] = {
  {"trumpet", "Trumpet", 52, 86, {1000, 2800}, 90, 120, 0.06, 0.15, 0.08, "cardioid", 0},
  {"mellophone", "Mellophone or horn", 47, 81, {340, 1500}, 91, 111, 0.13, 0.20, 0.10, "cardioid", 0},
  {"trombone", "Trombone", 40, 74, {520, 1800}, 90, 113, 0.10, 0.20, 0.10, "cardioid", 0},
  {"baritone", "Baritone or euphonium", 40, 74, {250, 1200}, 90, 113, 0.13, 0.20, 0.10, "cardioid", 0},
  {"tuba", "Tuba", 28, 58, {120, 800}, 93, 117, 0.20, 0.30, 0.15, "cardioid", 0},
  {"flute", "Flute or piccolo", 60, 108, {600, 3500}, 80, 112, 0.05, 0.10, 0.05, "cardioid", 0},
  {"clarinet", "Clarinet", 50, 94, {400, 2800}, 82, 119, 0.20, 0.20, 0.10, "cardioid", 0},
  {"oboe", "Oboe", 58, 93, {1000, 3200}, 82, 111, 0.20, 0.20, 0.10, "cardioid", 0},
  {"alto-sax", "Alto or tenor sax", 44, 80, {500, 2000}, 87, 115, 0.12, 0.15, 0.10, "cardioid", 0},
  {"baritone-sax", "Baritone sax", 36, 69, {300, 1500}, 88, 115, 0.20, 0.20, 0.10, "cardioid", 0},
  {"violin", "Violin or strings", 55, 105, {400, 3000}, 78, 111, 0.10, 0.20, 0.08, "cardioid", 0},
  {"voice", "Voice", 40, 84, {300, 3200}, 80, 111, 0.03, 0.05, 0.02, "cardioid", 0},
  {"brass-group", "Brass group", 40, 86, {500, 2800}, 96, 120, 0.70, 0.80, 0.50, "cardioid", 0},
  {"wind-group", "Wind group", 50, 96, {400, 3000}, 88, 119, 0.70, 0.80, 0.50, "cardioid", 0},
  {"marimba", "Marimba", 36, 96, {110, 1400}, 84, 113, 0.60, 0.50, 0.25, "cardioid", 90},
  {"vibraphone", "Vibraphone", 53, 89, {170, 1800}, 84, 113, 0.50, 0.50, 0.25, "cardioid", 90},
  {"xylophone", "Xylophone or bells", 65, 108, {600, 4500}, 88, 113, 0.40, 0.50, 0.25, "cardioid", 90},
  {"hand-percussion", "Hand percussion", 36, 84, {150, 4000}, 86, 122, 0.15, 0.20, 0.10, "cardioid", 0},
};
const size_t fh_family_count = sizeof(fh_families) / sizeof(fh_families[0]);

const FhDynamic fh_dynamics[] = {
  {"soft", -14.0},
  {"medium", -6.0},
  {"loud", 0.0},
  {"full", 8.0},
};
const size_t fh_dynamic_count = sizeof(fh_dynamics) / sizeof(fh_dynamics[0]);

static int
fold(const char c)
{
  return c == '_' ? '-' : tolower((unsigned char)c);
}

bool
fh_is_named(const char* const name, const char* const said)
{
  size_t i = 0;
  while (name[i] && fold(name[i]) == fold(said[i])) {
    ++i;
  }
  return !name[i] && !said[i];
}

const FhFamily*
fh_family_find(const char* const name)
{
  const char* const now = fh_is_named("percussion", name) ? "hand-percussion" : name; // its name once
  for (size_t i = 0; i < fh_family_count; ++i) {
    if (fh_is_named(fh_families[i].name, now)) {
      return &fh_families[i];
    }
  }
  return NULL;
}

const FhDynamic*
fh_dynamic_find(const char* const name)
{
  for (size_t i = 0; i < fh_dynamic_count; ++i) {
    if (!strcmp(fh_dynamics[i].name, name)) {
      return &fh_dynamics[i];
    }
  }
  return NULL;
}
