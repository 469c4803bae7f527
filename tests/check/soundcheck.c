// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "soundcheck.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define SPEED 343.2 // m/s

/// What is being made
typedef struct {
  FhMade      made;
  FhCheckKind kind;
  FhMadeFault fault;
  double      rate;
  size_t      frames;
  size_t      closes;
  uint32_t    seed;
} Maker;

static double
noise(Maker* const m)
{
  m->seed = m->seed * 1664525u + 1013904223u;
  return (double)(int32_t)m->seed / 2147483648.0; // rms 1 / sqrt 3
}

static float*
channel(const Maker* const m, const size_t mic)
{
  return m->made.memory + mic * m->frames;
}

/// Distance a sound has come by and the gain it has there
typedef struct {
  double seconds;
  double gain;
} Path;

/// One sound of partials into every microphone, each with its own delay: evaluated at the delayed time, so that
/// fractions of a frame are exact
typedef struct {
  double start, length; ///< s
  double hz;
  int    partials;
  double ratio[12];
  double level[12];
  double decay[12]; ///< 1/s
  double attack;    ///< s
  double noise;     ///< Click or breath at the attack
} Sound;

/// Add the partials into `out`, from time `t` (since the start of the sound) on, by turning a phasor
static void
add_partials(const Sound* const s, const double rate, const double t, double* const out, const size_t frames)
{
  for (int p = 0; p < s->partials; ++p) {
    const double turn = 2.0 * PI * s->hz * s->ratio[p];
    const double fall = exp(-s->decay[p] / rate);
    const double c    = fall * cos(turn / rate);
    const double q    = fall * sin(turn / rate);
    const double size = s->level[p] * exp(-s->decay[p] * t);
    double       re   = size * cos(turn * t + 1.7 * p);
    double       im   = size * sin(turn * t + 1.7 * p);
    for (size_t i = 0; i < frames; ++i) {
      out[i] += im;
      const double next = re * c - im * q;
      im                = re * q + im * c;
      re                = next;
    }
  }
}

static void
play(Maker* const m, const Sound* const s, const Path paths[FH_MICS])
{
  // The click is noise smoothed between its samples, so that it, too, can be delayed by fractions
  const size_t  clicks = (size_t)(0.04 * m->rate);
  double* const table  = calloc(clicks + 2, sizeof(double));
  for (size_t i = 0; table && i < clicks; ++i) {
    table[i] = noise(m);
  }
  const size_t  length = (size_t)(s->length * m->rate);
  double* const sum    = malloc((length + 1) * sizeof(double));
  for (size_t mic = 0; table && sum && mic <= m->closes; ++mic) {
    const double begin = (s->start + paths[mic].seconds) * m->rate;
    const size_t first = (size_t)ceil(begin);
    memset(sum, 0, (length + 1) * sizeof(double));
    add_partials(s, m->rate, ((double)first - begin) / m->rate, sum, length);
    for (size_t i = 0; i < length && first + i < m->frames; ++i) {
      const double t    = ((double)(first + i) - begin) / m->rate;
      const double at   = t * m->rate / 2.0; // a click of half the bandwidth
      const size_t k    = (size_t)at;
      const double turn = 0.5 - 0.5 * cos(PI * (at - (double)k));
      const double c    = k < clicks ? table[k] * (1.0 - turn) + table[k + 1] * turn : 0.0;
      const double in   = fmin(1.0, t / s->attack);
      const double out  = fmax(0.0, fmin(1.0, (s->length - t) / 0.03));
      const double x    = in * out * (sum[i] + s->noise * exp(-t / 0.004) * c);
      channel(m, mic)[first + i] += (float)(paths[mic].gain * x);
    }
  }
  free(sum);
  free(table);
}

/// A blown note: harmonics with a formant near 1.2 kHz
static Sound
blown(const double start, const double length, const int note)
{
  Sound s = {.start = start, .length = length, .hz = 440.0 * pow(2.0, (note - 69) / 12.0), .attack = 0.025, .noise = 0.3};
  for (int p = 0; p < 12 && s.hz * (p + 1) < 9000.0; ++p) {
    const double hz = s.hz * (p + 1);
    s.ratio[p]      = p + 1;
    s.level[p]      = 0.1 / (1.0 + pow(hz / 1200.0, 2.0));
    s.partials      = p + 1;
  }
  return s;
}

/// A bar: tuned partials, the higher the sooner gone
static Sound
bar(const double start, const int note)
{
  static const double ratios[] = {1.0, 4.0, 9.9};
  static const double levels[] = {0.16, 0.05, 0.02};
  Sound s = {.start = start, .length = 1.6, .hz = 440.0 * pow(2.0, (note - 69) / 12.0), .attack = 0.0008, .noise = 0.08};
  s.partials = 3;
  for (int p = 0; p < 3; ++p) {
    s.ratio[p] = ratios[p];
    s.level[p] = s.hz * ratios[p] < 10000.0 ? levels[p] : 0.0;
    s.decay[p] = 2.0 + s.hz * ratios[p] / 150.0;
  }
  return s;
}

/// Player to microphones: close ones at a hand's length, the ambient FH_MADE_DELAY later
static void
player_paths(const Maker* const m, const double gain, Path paths[FH_MICS])
{
  const double ambient = m->fault == FH_MADE_NEAR ? 0.6 : 0.063;
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    paths[mic] = mic < m->closes ? (Path){0.0, gain} : (Path){FH_MADE_DELAY / 48000.0, ambient * gain};
  }
}

/// A bar of a two metre instrument to microphones over it, and to the ambient one behind it
static void
bar_paths(const Maker* const m, const int index, Path paths[FH_MICS])
{
  const double x       = 2.0 * index / (FH_MADE_BARS - 1);
  const double pair[]  = {0.5, 1.5};
  const double hot     = pow(10.0, 9.0 / 20.0);
  const double low     = pow(10.0, -12.0 / 20.0);
  const double ambient = hypot(x - 1.0, 3.0);
  for (size_t mic = 0; mic < m->closes; ++mic) {
    const double r = hypot(x - (m->closes == 2 ? pair[mic] : 1.0), 0.5);
    double       g = 0.5 / r;
    g *= index == 20 && (m->fault == FH_MADE_HOT || (m->fault == FH_MADE_HOT_MIC && mic == 0)) ? hot : 1.0;
    g *= index == 12 && m->fault == FH_MADE_LOW ? low : 1.0;
    paths[mic] = (Path){r / SPEED, g};
  }
  paths[m->closes] = (Path){ambient / SPEED, 0.5 / ambient};
}

static double
player_gain(const Maker* const m, const int player)
{
  const bool changed = (m->fault == FH_MADE_LOW && player == 1) || (m->fault == FH_MADE_HOT && player == 2);
  return changed ? pow(10.0, (m->fault == FH_MADE_LOW ? -6.0 : 6.0) / 20.0) : 1.0;
}

static void
play_all(Maker* const m)
{
  static const int scale[] = {0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24};
  Path             paths[FH_MICS];
  if (m->kind == FH_CHECK_SOLOIST) {
    player_paths(m, 1.0, paths);
    for (int i = 0; i < 15; ++i) {
      const Sound s = blown(1.5 + 0.5 * i, 0.42, 57 + scale[i]);
      play(m, &s, paths);
    }
  } else if (m->kind == FH_CHECK_GROUP) {
    for (int i = 0; i < 16; ++i) { // four players, four notes each, a short breath within and a rest between
      const Sound s = blown(1.0 + 4.0 * (i / 4) + 0.55 * (i % 4), 0.42, 60 + scale[i % 4]);
      player_paths(m, player_gain(m, i / 4), paths);
      play(m, &s, paths);
    }
  } else {
    for (int i = 0; i < FH_MADE_BARS; ++i) {
      const Sound s = bar(1.0 + FH_MADE_BAR_TIME * i, FH_MADE_LOWEST + i);
      bar_paths(m, i, paths);
      play(m, &s, paths);
    }
  }
}

/// Noise of the microphones, each its own; in a soloist's take, the field: unlike noises from many places
static void
add_background(Maker* const m)
{
  const double floor_level = pow(10.0, -80.0 / 20.0) * sqrt(3.0);
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    for (size_t i = 0; i < m->frames; ++i) {
      channel(m, mic)[i] += (float)(floor_level * noise(m));
    }
  }
  if (m->kind != FH_CHECK_SOLOIST) {
    return;
  }
  const size_t begin = (size_t)(9.5 * m->rate);
  for (int source = 0; source < 12; ++source) {
    double low = 0.0, before = 0.0;
    for (size_t i = begin; i < m->frames; ++i) {
      before = noise(m);
      low += 0.15 * (before - low); // about 1.2 kHz, as a far band
      for (size_t mic = 0; mic <= m->closes; ++mic) {
        const size_t at = i + (size_t)((source * 37 + (int)mic * source * 11) % 500);
        if (at < m->frames) {
          channel(m, mic)[at] += (float)(0.012 * low);
        }
      }
    }
  }
}

static void
delay_channel(Maker* const m, const size_t mic, const double seconds)
{
  const size_t by = (size_t)lround(seconds * m->rate);
  float* const x  = channel(m, mic);
  memmove(x + by, x, (m->frames - by) * sizeof(*x));
  memset(x, 0, by * sizeof(*x));
}

static void
add_hum(Maker* const m, const size_t mic, const double hz)
{
  // Relative amplitudes 1, 0.5, 0.4: mean square 0.5 (1 + 0.25 + 0.16)
  const double unit = pow(10.0, FH_MADE_HUM_LEVEL / 20.0) / sqrt(0.5 * 1.41);
  for (size_t i = 0; i < m->frames; ++i) {
    const double w = 2.0 * PI * hz * (double)i / m->rate;
    channel(m, mic)[i] += (float)(unit * (sin(w) + 0.5 * sin(2.0 * w + 1.0) + 0.4 * sin(3.0 * w + 2.0)));
  }
}

static void
add_wind(Maker* const m, const size_t mic)
{
  double low[2] = {0.0, 0.0};
  for (size_t i = 0; i < m->frames; ++i) {
    const double t    = (double)i / m->rate;
    const double gust = fmax(0.0, sin(2.0 * PI * 0.31 * t) + 0.5 * sin(2.0 * PI * 0.83 * t));
    low[0] += 0.003 * (noise(m) - low[0]); // about 25 Hz
    low[1] += 0.003 * (low[0] - low[1]);
    channel(m, mic)[i] += (float)(3.0 * gust * low[1]);
  }
}

/// All channels up alike, so that close ones pass full scale by 6 dB and are cut off there
static void
clip(Maker* const m)
{
  float peak = 0.0f;
  for (size_t i = 0; i < m->frames; ++i) {
    peak = fmaxf(peak, fabsf(channel(m, 0)[i]));
  }
  for (size_t mic = 0; mic <= m->closes; ++mic) {
    for (size_t i = 0; i < m->frames; ++i) {
      channel(m, mic)[i] = fminf(fmaxf(channel(m, mic)[i] / (0.5f * peak), -1.0f), 1.0f);
    }
  }
}

static void
spoil(Maker* const m)
{
  const size_t ambient = m->closes;
  switch (m->fault) {
  case FH_MADE_LATE:
    delay_channel(m, ambient, 0.045);
    break;
  case FH_MADE_EARLY:
    for (size_t mic = 0; mic < m->closes; ++mic) {
      delay_channel(m, mic, 0.015);
    }
    break;
  case FH_MADE_PAIR_LATE:
    delay_channel(m, 1, 0.008);
    break;
  case FH_MADE_INVERTED:
  case FH_MADE_INVERTED_PAIR:
    for (size_t i = 0; i < m->frames; ++i) {
      float* const x = channel(m, m->fault == FH_MADE_INVERTED ? ambient : 1);
      x[i]           = -x[i];
    }
    break;
  case FH_MADE_HUM_50:
    add_hum(m, 0, 50.0);
    break;
  case FH_MADE_HUM_60:
    add_hum(m, ambient, 60.0);
    break;
  case FH_MADE_WIND:
    add_wind(m, ambient);
    break;
  case FH_MADE_CLIPPED:
    clip(m);
    break;
  case FH_MADE_DEAD:
    memset(channel(m, ambient), 0, m->frames * sizeof(float));
    break;
  case FH_MADE_SAME:
    memcpy(channel(m, ambient), channel(m, 0), m->frames * sizeof(float));
    break;
  case FH_MADE_SWAPPED:
    m->made.take.mic[0]       = channel(m, ambient);
    m->made.take.mic[ambient] = channel(m, 0);
    break;
  case FH_MADE_SOUND:
  case FH_MADE_NEAR:
  case FH_MADE_HOT:
  case FH_MADE_HOT_MIC:
  case FH_MADE_LOW:
    break; // made so from the start
  }
}

FhMade
fh_make_soundcheck(const FhCheckKind kind, const size_t closes, const double rate, const FhMadeFault fault)
{
  static const double seconds[] = {16.0, 18.0, 19.5};
  Maker m = {.kind = kind, .closes = closes, .rate = rate, .fault = fault, .seed = 1};
  m.frames      = (size_t)(seconds[kind] * rate);
  m.made.memory = calloc(m.frames * (closes + 1), sizeof(float));
  if (!m.made.memory) {
    abort();
  }
  m.made.take = (FhSoundcheck){.closes = closes, .frames = m.frames, .rate = rate};
  for (size_t mic = 0; mic <= closes; ++mic) {
    m.made.take.mic[mic] = channel(&m, mic);
  }
  play_all(&m);
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
