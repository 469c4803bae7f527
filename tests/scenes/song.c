// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "song.h"

#include "random.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

typedef enum { BREAK, PAD, RISE, GROOVE, HITS, LOUD } Texture;

// The first ten seconds hold loud and soft bars and no silence; then the plan repeats from bar 6
static const Texture plan[] = {LOUD, LOUD, PAD, GROOVE, PAD, HITS, // learn
                               GROOVE, GROOVE, HITS, BREAK, PAD, PAD, RISE, RISE, LOUD, LOUD, PAD, BREAK, GROOVE, LOUD};
#define PLAN_COUNT (int)(sizeof(plan) / sizeof(plan[0]))
#define PLAN_REPEAT 6

static const int scales[2][7] = {{0, 2, 4, 5, 7, 9, 11}, {0, 2, 3, 5, 7, 8, 10}};
static const int degrees[4]   = {0, 5, 3, 4}; // I vi IV V

FhSong
fh_song(const uint64_t seed, const double length)
{
  static const int roots[] = {10, 3, 5, 8, 0}; // flat keys, as bands play
  FhRandom         r       = fh_random(seed, 1);
  const double     bpm     = fh_random_in(&r, 104.0, 144.0);
  return (FhSong){.seed = seed, .beat = 60.0 / bpm, .length = length, .root = roots[fh_random_below(&r, 5)], .minor = fh_random_below(&r, 2),
                  .backing = 0.6, .phrase = {2.0, 4.5}, .pause = {1.2, 3.6}};
}

void
fh_part_add(FhPart* const part, const FhNote note)
{
  if (part->count == part->room) {
    part->room  = part->room ? part->room * 2 : 256;
    part->notes = (FhNote*)realloc(part->notes, part->room * sizeof(FhNote));
    if (!part->notes) {
      fputs("scene: out of memory\n", stderr);
      exit(EXIT_FAILURE);
    }
  }
  part->notes[part->count++] = note;
}

void
fh_part_free(FhPart* const part)
{
  free(part->notes);
  *part = (FhPart){NULL, 0, 0, 0};
}

static Texture
texture(const FhSong* const song, const int number)
{
  const int bar = number + song->opening;
  return bar < PLAN_COUNT ? plan[bar] : plan[PLAN_REPEAT + (bar - PLAN_REPEAT) % (PLAN_COUNT - PLAN_REPEAT)];
}

/// Strength of the band at a beat of a bar
static double
strength(const FhSong* const song, const int bar, const double beat)
{
  switch (texture(song, bar)) {
  case BREAK: return 0.0;
  case PAD: return 0.35;
  case GROOVE: return 0.65;
  case HITS:
  case LOUD: return 1.0;
  case RISE: break;
  }
  const double second = bar > 0 && texture(song, bar - 1) == RISE ? 4.0 : 0.0;
  return 0.3 + 0.7 * (beat + second) / 8.0;
}

/// MIDI note of a scale degree, moved by octaves into low..high
static int
pitch(const FhSong* const song, const int degree, const int low, const int high)
{
  const int step = ((degree % 7) + 7) % 7;
  int       key  = song->root + scales[song->minor][step] + 12 * (degree / 7);
  while (key < low) {
    key += 12;
  }
  while (key > high && key - 12 >= low) {
    key -= 12;
  }
  return key;
}

typedef struct {
  const FhSong* song;
  FhPart*       part;
  double        start; ///< of the bar, s
  int           bar;
  int           low, high;
} Bar;

/// Music written for a soloist has the band back it more softly than it plays alone, as common practice has it
static double
backing(const FhSong* const song, const Texture t, const double at)
{
  for (size_t i = 0; i < song->phrase_count; ++i) {
    if (at > song->phrases[i].from - 0.1 && at < song->phrases[i].to) {
      return t == HITS ? 0.9 : song->backing;
    }
  }
  return 1.0;
}

static void
put(const Bar* const b, const double beat, const double beats, const int key, const double accent)
{
  const double start = b->start + beat * b->song->beat;
  const double level = strength(b->song, b->bar, beat) * accent * backing(b->song, texture(b->song, b->bar), start);
  if (level > 0.0 && start + 0.1 < b->song->length) {
    fh_part_add(b->part, (FhNote){start, fmin(beats * b->song->beat, b->song->length - start), (float)key, (float)fmin(level, 1.0)});
  }
}

static void
melody_bar(const Bar* const b, const int voice)
{
  const FhSong* const s      = b->song;
  FhRandom            r      = fh_random(s->seed, 1000 + (uint64_t)b->bar); // one line for all voices
  const int           chord  = degrees[b->bar % 4];
  const int           middle = (b->low + b->high) / 2 - 4;
  const Texture       t      = texture(b->song, b->bar);
  int                 degree = chord + 2 * fh_random_below(&r, 3);
  if (t == HITS) {
    put(b, 0.0, 0.4, pitch(s, chord, middle, b->high), 1.0);
    put(b, 2.5, 0.3, pitch(s, chord + 2, middle, b->high), 1.0);
    return;
  }
  for (double beat = 0.0; beat < 4.0;) {
    const double beats = t == PAD ? 2.0 : t == RISE ? 0.5 : fh_random_below(&r, 3) ? 0.5 : 1.0;
    if (fh_random_below(&r, 6) || t == PAD) {
      put(b, beat, beats * 0.9, pitch(s, degree + (voice % 3 == 2 ? 2 : 0), middle, b->high), 0.95);
    }
    degree += fh_random_below(&r, 5) - 2;
    beat += beats;
  }
}

static void
chord_bar(const Bar* const b, const int voice)
{
  const int key = pitch(b->song, degrees[b->bar % 4] + 2 * (voice % 3), (b->low + b->high) / 2 - 6, b->high);
  switch (texture(b->song, b->bar)) {
  case BREAK: break;
  case PAD: put(b, 0.0, 3.9, key, 1.0); break;
  case LOUD:
    put(b, 0.0, 1.8, key, 1.0);
    put(b, 2.0, 1.8, key, 0.9);
    break;
  case HITS:
    put(b, 0.0, 0.4, key, 1.0);
    put(b, 2.5, 0.3, key, 1.0);
    break;
  case RISE:
    for (int i = 0; i < 8; ++i) {
      put(b, i * 0.5, 0.5, key, 1.0);
    }
    break;
  case GROOVE:
    for (int i = 0; i < 4; ++i) {
      put(b, i + 0.5, 0.35, key, 1.0);
    }
    break;
  }
}

static void
bass_bar(const Bar* const b)
{
  const int     key = pitch(b->song, degrees[b->bar % 4], b->low, b->low + 14);
  const Texture t   = texture(b->song, b->bar);
  if (t == PAD) {
    put(b, 0.0, 3.9, key, 1.0);
  } else if (t == HITS) {
    put(b, 0.0, 0.5, key, 1.0);
    put(b, 2.5, 0.4, key, 1.0);
  } else if (t != BREAK) {
    for (int i = 0; i < 4; ++i) {
      put(b, i, 0.45, key, 1.0);
      if (t != LOUD || i % 2) {
        put(b, i + 0.5, 0.4, key, 0.8);
      }
    }
  }
}

static void
drum_bar(const Bar* const b, const FhRole role)
{
  static const int toms[4] = {50, 48, 45, 43};
  const Texture    t       = texture(b->song, b->bar);
  FhRandom         r       = fh_random(b->song->seed, 2000 + (uint64_t)b->bar * 8 + role);
  if (t == BREAK || (t == PAD && role != FH_CYMBALS)) {
    return;
  }
  if (role == FH_CYMBALS) {
    put(b, 0.0, 2.0, t == PAD ? 51 : 49, t == GROOVE ? 0.5 : 1.0);
    for (int i = 1; i < 4 && (t == GROOVE || t == PAD); ++i) {
      put(b, i, 1.0, 51, 0.5);
    }
    return;
  }
  if (t == HITS) {
    put(b, 0.0, 0.2, role == FH_BASS_DRUM ? 35 : 38, 1.0);
    put(b, 2.5, 0.2, role == FH_BASS_DRUM ? 35 : 38, 1.0);
    return;
  }
  for (int i = 0; i < 16; ++i) {
    const double beat = i * 0.25;
    const int    hit  = fh_random_below(&r, 3);
    if (role == FH_BASS_DRUM && (i % 4 == 0 || (i % 2 == 0 && !hit))) {
      put(b, beat, 0.3, 35, i % 8 == 0 ? 1.0 : 0.8);
    } else if (role == FH_SNARE && (t == RISE || i % 4 == 0 || hit)) {
      put(b, beat, 0.2, 38, i % 8 == 4 ? 1.0 : 0.55);
    } else if (role == FH_TENORS && hit == 1) {
      put(b, beat, 0.2, toms[fh_random_below(&r, 4)], 0.8);
    }
  }
}

void
fh_song_band_part(const FhSong* const song,
                  const FhRole        role,
                  const int           voice,
                  const int           low,
                  const int           high,
                  FhPart* const       part)
{
  const double bar_length = 4.0 * song->beat;
  for (int bar = 0; bar * bar_length < song->length; ++bar) {
    const Bar b = {song, part, bar * bar_length, bar, low, high};
    switch (role) {
    case FH_MELODY: melody_bar(&b, voice); break;
    case FH_CHORD: chord_bar(&b, voice); break;
    case FH_BASS: bass_bar(&b); break;
    case FH_SNARE:
    case FH_TENORS:
    case FH_BASS_DRUM:
    case FH_CYMBALS: drum_bar(&b, role); break;
    }
  }
}

void
fh_song_phrases(FhSong* const song, const double from, const double to)
{
  FhRandom r         = fh_random(song->seed, 3);
  double   at        = from + fh_random_in(&r, 0.4, 1.2);
  song->phrase_count = 0;
  while (song->phrase_count < FH_MAX_PHRASES && at + 2.0 < to) {
    const double end = fmin(at + fh_random_in(&r, song->phrase.from, song->phrase.to), to - 0.4);
    song->phrases[song->phrase_count++] = (FhStretch){at, end};
    at = end + fh_random_in(&r, song->pause.from, song->pause.to);
  }
}

typedef enum { LEGATO, STACCATO, SUSTAINED, RUN, MIXED } Manner;

void
fh_song_solo_phrase(const FhSong* const song,
                    const FhStretch     stretch,
                    const size_t        index,
                    const int           voice,
                    const int           low,
                    const int           high,
                    FhPart* const       part)
{
  static const double strengths[] = {0.7, 0.45, 0.95, 0.6, 0.35, 0.8};
  FhRandom            r           = fh_random(song->seed, 4000 + index); // same rhythm for all voices
  const Manner        manner      = (Manner)((index + song->seed) % 5);
  const double        level       = strengths[(index + song->seed / 5) % 6];
  const int           middle      = low + (high - low) / 4;
  int                 degree      = 2 * fh_random_below(&r, 4);
  double              at          = stretch.from;
  int                 rested      = 0;
  while (at + 0.12 < stretch.to) {
    const Manner m     = manner == MIXED ? (Manner)fh_random_below(&r, 4) : manner;
    const double swell = fh_random_in(&r, 0.8, 1.1);
    double       step  = song->beat * (fh_random_below(&r, 2) ? 1.0 : 0.5);
    double       share = 1.0;
    if (m == STACCATO) {
      step  = song->beat * 0.5;
      share = 0.45;
    } else if (m == SUSTAINED) {
      step  = song->beat * (2.0 + fh_random_below(&r, 2));
      share = 0.95;
    } else if (m == RUN) {
      step = song->beat * 0.25;
    }
    step             = fmin(step, stretch.to - at);
    const int shift  = voice == 0 ? 0 : -2 * voice;
    fh_part_add(part, (FhNote){at, step * share, (float)pitch(song, degree + shift, middle, high), (float)fmin(level * swell, 1.0)});
    degree += fh_random_below(&r, 2) ? 1 + fh_random_below(&r, 2) : -1 - fh_random_below(&r, 2);
    at += step;
    if (!rested && at > stretch.from + 0.3 * (stretch.to - stretch.from) && !fh_random_below(&r, 3)) {
      at += fh_random_below(&r, 4) ? fh_random_in(&r, 0.3, 0.8) : fh_random_in(&r, 1.0, 3.0);
      rested = 1;
    }
  }
}
