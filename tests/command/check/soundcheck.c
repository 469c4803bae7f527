// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "soundcheck.h"

#include "soundcheck_sound.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define SPEED 343.2 // m/s

static bool
has(const FhMaker* const m, const FhMadeFault fault)
{
  return (m->faults & (unsigned)fault) != 0;
}

/// A gain of so many dB
static double
decibels(const double db)
{
  return pow(10.0, db / 20.0);
}

/// Player to microphones: close ones at a hand's length, the ambient FH_MADE_DELAY later
static void
player_paths(const FhMaker* const m, const double gain, FhPath paths[FH_MICS])
{
  const double ambient = has(m, FH_MADE_NEAR) ? 0.6 : 0.063;
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    paths[mic] = mic < m->closes ? (FhPath){0.0, gain} : (FhPath){FH_MADE_DELAY / 48000.0, ambient * gain};
  }
}

/// Where a close microphone stands along a two metre instrument
static double
place_of(const FhMaker* const m, const size_t mic)
{
  const double usual[] = {0.5, 1.5};
  const double ends[]  = {0.15, 1.85};
  const double middle[] = {0.9, 1.1};
  const double slid[]  = {1.2, 2.0};
  return m->closes == 1             ? 1.0
         : has(m, FH_MADE_HOLE)  ? ends[mic]
         : has(m, FH_MADE_BULGE) ? middle[mic]
         : has(m, FH_MADE_SLID)  ? slid[mic]
                                 : usual[mic];
}

/// A bar of a two metre instrument to microphones over it, and to the ambient one behind it
static void
bar_paths(FhMaker* const m, const int index, FhPath paths[FH_MICS])
{
  const double x       = 2.0 * index / (FH_MADE_BARS - 1);
  const double over    = has(m, FH_MADE_HOLE) ? 0.15 : has(m, FH_MADE_BULGE) ? 0.25 : 0.5;
  const double stroke  = decibels(fh_made_vary(m, 1.5));
  const double ambient = hypot(x - 1.0, 3.0);
  for (size_t mic = 0; mic < m->closes; ++mic) {
    const double r = hypot(x - place_of(m, mic), over);
    double       g = stroke * over / r;
    g *= index == 20 && (has(m, FH_MADE_HOT) || (has(m, FH_MADE_HOT_MIC) && mic == 0)) ? decibels(9.0) : 1.0;
    g *= index == 12 && has(m, FH_MADE_LOW) ? decibels(-12.0) : 1.0;
    g *= mic == 0 && has(m, FH_MADE_ONE_LOUD) ? decibels(20.0) : 1.0;
    paths[mic] = (FhPath){r / SPEED, g};
  }
  paths[m->closes] = (FhPath){ambient / SPEED, stroke * 0.5 / ambient};
}

static double
player_gain(FhMaker* const m, const int player)
{
  const bool low = has(m, FH_MADE_LOW) && player == 1;
  const bool hot = has(m, FH_MADE_HOT) && player == 2;
  return low ? decibels(-6.0) : hot ? decibels(6.0) : 1.0;
}

/// A note of the soloist's scale
static double
note_gain(FhMaker* const m, const int note)
{
  const double hot  = has(m, FH_MADE_HOT) && note == 7 ? 11.0 : 0.0;
  const double low  = has(m, FH_MADE_LOW) && note == 5 ? -12.0 : 0.0;
  const double fall = has(m, FH_MADE_REGISTER) ? -18.0 * note / 14.0 : 0.0;
  return decibels(hot + low + fall + fh_made_vary(m, 2.0));
}

static void
play_all(FhMaker* const m)
{
  static const int scale[] = {0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24};
  FhPath           paths[FH_MICS];
  if (m->kind == FH_CHECK_SOLOIST) {
    const int lowest = 57 + (int)lround(fh_made_vary(m, 7.0));
    for (int i = 0; i < 15; ++i) {
      const FhMadeSound s = fh_made_blown(1.5 + 0.5 * i + fh_made_vary(m, 0.03), 0.42, lowest + scale[i]);
      player_paths(m, note_gain(m, i), paths);
      fh_made_play(m, &s, paths);
    }
  } else if (m->kind == FH_CHECK_GROUP) {
    for (int i = 0; i < 16; ++i) { // four players, four notes each, a short breath within and a rest between
      const double      late = fh_made_vary(m, 0.05);
      const FhMadeSound s    = fh_made_blown(1.0 + 4.0 * (i / 4) + 0.55 * (i % 4) + late, 0.42, 60 + scale[i % 4]);
      player_paths(m, player_gain(m, i / 4) * decibels(fh_made_vary(m, 1.5)), paths);
      fh_made_play(m, &s, paths);
    }
  } else {
    for (int i = 0; i < (has(m, FH_MADE_FEW) ? 6 : FH_MADE_BARS); ++i) {
      const FhMadeSound s = fh_made_bar(1.0 + FH_MADE_BAR_TIME * i + fh_made_vary(m, 0.04), FH_MADE_LOWEST + i);
      bar_paths(m, i, paths);
      fh_made_play(m, &s, paths);
    }
  }
}

/// What beams from a bell reaches the microphone at its side no more
static void
turn_away(FhMaker* const m)
{
  const double pole = 1.0 - exp(-2.0 * PI * 1500.0 / m->rate);
  for (size_t mic = 0; mic < m->closes; ++mic) {
    double low = 0.0;
    for (size_t i = 0; i < m->frames; ++i) {
      low += pole * ((double)fh_made_channel(m, mic)[i] - low);
      fh_made_channel(m, mic)[i] = (float)(0.5 * low);
    }
  }
}

/// Noise of the microphones, each its own; in a soloist's take, the field: unlike noises from many places
static void
add_background(FhMaker* const m)
{
  const double floor_level = decibels(-80.0 + fh_made_vary(m, 8.0)) * sqrt(3.0);
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    for (size_t i = 0; i < m->frames; ++i) {
      fh_made_channel(m, mic)[i] += (float)(floor_level * fh_made_noise(m));
    }
  }
  if (m->kind != FH_CHECK_SOLOIST) {
    return;
  }
  const size_t begin = (size_t)((9.5 + fh_made_vary(m, 0.3)) * m->rate);
  const double loud  = 0.012 * decibels(fh_made_vary(m, 4.0));
  const double dull  = 0.15 * decibels(fh_made_vary(m, 4.0)); // about 1.2 kHz, as a far band
  for (int source = 0; source < 12; ++source) {
    double low = 0.0;
    for (size_t i = begin; i < m->frames; ++i) {
      low += dull * (fh_made_noise(m) - low);
      for (size_t mic = 0; mic <= m->closes; ++mic) {
        const size_t at = i + (size_t)((source * 37 + (int)mic * source * 11) % 500);
        if (at < m->frames) {
          fh_made_channel(m, mic)[at] += (float)(loud * low);
        }
      }
    }
  }
}

static void
delay_channel(FhMaker* const m, const size_t mic, const double seconds)
{
  const size_t by = (size_t)lround(seconds * m->rate);
  float* const x  = fh_made_channel(m, mic);
  memmove(x + by, x, (m->frames - by) * sizeof(*x));
  memset(x, 0, by * sizeof(*x));
}

static void
add_hum(FhMaker* const m, const size_t mic, const double hz)
{
  // Relative amplitudes 1, 0.5, 0.4: mean square 0.5 (1 + 0.25 + 0.16)
  const double unit = pow(10.0, FH_MADE_HUM_LEVEL / 20.0) / sqrt(0.5 * 1.41);
  for (size_t i = 0; i < m->frames; ++i) {
    const double w = 2.0 * PI * hz * (double)i / m->rate;
    fh_made_channel(m, mic)[i] += (float)(unit * (sin(w) + 0.5 * sin(2.0 * w + 1.0) + 0.4 * sin(3.0 * w + 2.0)));
  }
}

static void
add_wind(FhMaker* const m, const size_t mic)
{
  double low[2] = {0.0, 0.0};
  for (size_t i = 0; i < m->frames; ++i) {
    const double t    = (double)i / m->rate;
    const double gust = fmax(0.0, sin(2.0 * PI * 0.31 * t) + 0.5 * sin(2.0 * PI * 0.83 * t));
    low[0] += 0.003 * (fh_made_noise(m) - low[0]); // about 25 Hz
    low[1] += 0.003 * (low[0] - low[1]);
    fh_made_channel(m, mic)[i] += (float)(3.0 * gust * low[1]);
  }
}

/// All channels up alike, so that close ones pass full scale by 6 dB and are cut off there
static void
clip(FhMaker* const m)
{
  float peak = 0.0f;
  for (size_t i = 0; i < m->frames; ++i) {
    peak = fmaxf(peak, fabsf(fh_made_channel(m, 0)[i]));
  }
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    for (size_t i = 0; i < m->frames; ++i) {
      fh_made_channel(m, mic)[i] = fminf(fmaxf(fh_made_channel(m, mic)[i] / (0.5f * peak), -1.0f), 1.0f);
    }
  }
}

static void
add_hiss(FhMaker* const m)
{
  for (size_t i = 0; i < m->frames; ++i) {
    fh_made_channel(m, 0)[i] += (float)(decibels(FH_MADE_HISS_LEVEL) * sqrt(3.0) * fh_made_noise(m));
  }
}

static void
scale_channel(FhMaker* const m, const size_t mic, const float gain)
{
  for (size_t i = 0; i < m->frames; ++i) {
    fh_made_channel(m, mic)[i] *= gain;
  }
}

/// What the channels do to the sound, microphone first, plug last
static void
spoil(FhMaker* const m)
{
  const size_t ambient = m->closes;
  if (has(m, FH_MADE_WIND)) {
    add_wind(m, ambient);
  }
  if (has(m, FH_MADE_HUM_50)) {
    add_hum(m, 0, 50.0);
  }
  if (has(m, FH_MADE_HUM_60)) {
    add_hum(m, ambient, 60.0);
  }
  if (has(m, FH_MADE_HISS)) {
    add_hiss(m);
  }
  if (has(m, FH_MADE_INVERTED)) {
    scale_channel(m, ambient, -1.0f);
  }
  if (has(m, FH_MADE_INVERTED_PAIR)) {
    scale_channel(m, 1, -1.0f);
  }
  if (has(m, FH_MADE_LATE)) {
    delay_channel(m, ambient, 0.045);
  }
  for (size_t mic = 0; has(m, FH_MADE_EARLY) && mic < m->closes; ++mic) {
    delay_channel(m, mic, 0.015);
  }
  if (has(m, FH_MADE_PAIR_LATE)) {
    delay_channel(m, 1, 0.008);
  }
  if (has(m, FH_MADE_CLIPPED)) {
    clip(m);
  }
  for (size_t mic = 0; has(m, FH_MADE_FAINT) && mic <= ambient; ++mic) {
    scale_channel(m, mic, (float)decibels(-36.0));
  }
  if (has(m, FH_MADE_DEAD)) {
    memset(fh_made_channel(m, ambient), 0, m->frames * sizeof(float));
  }
  if (has(m, FH_MADE_SAME)) {
    memcpy(fh_made_channel(m, ambient), fh_made_channel(m, 0), m->frames * sizeof(float));
  }
  if (has(m, FH_MADE_SWAPPED)) {
    m->made.take.mic[0]       = fh_made_channel(m, ambient);
    m->made.take.mic[ambient] = fh_made_channel(m, 0);
  }
}

FhMade
fh_make_soundcheck(const FhCheckKind kind, const size_t closes, const double rate, const unsigned faults,
                   const unsigned seed)
{
  static const double seconds[] = {16.0, 18.0, 19.5};
  FhMaker m =
    {.kind = kind, .closes = closes, .rate = rate, .faults = faults, .take = seed, .seed = seed * 2654435761u};
  m.seed        = seed > 1 ? m.seed : 1;
  m.frames      = (size_t)(seconds[kind] * rate);
  m.made.memory = calloc(m.frames * (closes + 1), sizeof(float));
  if (!m.made.memory) {
    abort();
  }
  m.made.take = (FhSoundcheck){.closes = closes, .frames = m.frames, .rate = rate};
  for (size_t mic = 0; mic <= closes; ++mic) {
    m.made.take.mic[mic] = fh_made_channel(&m, mic);
  }
  play_all(&m);
  if (has(&m, FH_MADE_AWAY)) {
    turn_away(&m);
  }
  add_background(&m);
  spoil(&m);
  return m.made;
}

void
fh_made_free(FhMade* const made)
{
  free(made->memory);
  memset(made, 0, sizeof(*made));
}
