// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file make_take.c
/// Makes small takes for the tests of the command: `make_take FILE KIND`, or `make_take FILE mix S,F,A...`, with the amplitudes of
/// soloist, of the field in the close microphone, and of the ambient microphone for each channel; missing ones are 0.
///
/// The field is noise whose level swells and falls, heard by both microphones with a part of its own in each (wind,
/// echoes); the soloist is a tone with overtones in phrases of known times, 26 dB nearer to the close microphone.
/// The same numbers on every run.

#include "../noise.h"

#include <sndfile.h>

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000
#define SECONDS 24
#define FRAMES (RATE * SECONDS)
#define PI 3.14159265358979323846
#define FIELD_DELAY 240 // frames by which the field reaches the close microphone later: 5 ms
#define FAR_DELAY 1440  // the same where the ambient microphone stands far ahead: 30 ms

enum { CLOSE, SECOND, AMBIENT, SILENCE, SOLO, FIELD, LATE, AHEAD, LEAK, ROWS };

/// Phrases of the soloist, s
static const double phrases[][2] = {{8, 10.5}, {12, 14}, {15.5, 18}, {20, 22}};

static uint32_t noise_seed = 1;

static double
soloist(const double t)
{
  for (size_t i = 0; i < sizeof(phrases) / sizeof(phrases[0]); ++i) {
    if (t >= phrases[i][0] && t < phrases[i][1]) {
      const double in   = fmin(1.0, (t - phrases[i][0]) / 0.03);
      const double out  = fmin(1.0, (phrases[i][1] - t) / 0.05);
      double       tone = 0.0;
      for (int h = 1; h <= 8; ++h) {
        tone += sin(2.0 * PI * 330.0 * h * t) / h;
      }
      return 0.16 * in * out * tone;
    }
  }
  return 0.0;
}

/// Drum hits, 7 a second at most, dying within a tenth of a second
static double
hit_level(const size_t frame)
{
  static const size_t gaps[] = {7200, 9600, 14400, 7200, 19200};
  static size_t       start  = 0; // frames are asked for in their order
  static size_t       i      = 0;
  for (; start + gaps[i] <= frame; i = (i + 1) % 5) {
    start += gaps[i];
  }
  return 0.02 + 0.2 * exp(-(double)(frame - start) / (0.03 * RATE));
}

static double
field_level(const double t)
{
  return 0.06 * (1.0 + 0.6 * sin(2.0 * PI * 0.21 * t));
}

/// The three microphones' sound, channel by channel: close, second close, ambient; then what makes up the close one
static void
make(float mics[][FRAMES])
{
  static float field[FRAMES + FIELD_DELAY];
  double       low = 0.0;
  for (size_t i = 0; i < FRAMES + FIELD_DELAY; ++i) {
    low += 0.35 * (fh_noise(&noise_seed) - low); // duller than white
    field[i] = (float)(3.0 * low * field_level((double)i / RATE));
  }
  static float hits[FRAMES + FAR_DELAY];
  for (size_t i = 0; i < FRAMES + FAR_DELAY; ++i) {
    low += 0.35 * (fh_noise(&noise_seed) - low);
    hits[i] = (float)(3.0 * low * hit_level(i));
  }
  for (size_t i = 0; i < FRAMES; ++i) {
    const double t    = (double)i / RATE;
    const double solo = soloist(t);
    const double here = (double)field[i];
    mics[CLOSE][i]    = (float)(solo + 0.6 * here + 0.004 * fh_noise(&noise_seed));
    mics[SECOND][i]   = (float)(0.7 * solo + 0.5 * here + 0.004 * fh_noise(&noise_seed));
    mics[AMBIENT][i]  = (float)(0.05 * solo + (double)field[i + FIELD_DELAY] + 0.004 * fh_noise(&noise_seed));
    mics[SOLO][i]     = (float)solo;
    mics[FIELD][i]    = (float)((double)mics[CLOSE][i] - solo);
    mics[LATE][i]     = (float)(solo + 0.6 * (double)hits[i] + 0.004 * fh_noise(&noise_seed));
    mics[AHEAD][i]    = (float)(0.05 * solo + (double)hits[i + FAR_DELAY] + 0.004 * fh_noise(&noise_seed));
    mics[LEAK][i]     = (float)(0.05 * solo + 0.004 * fh_noise(&noise_seed));
  }
}

#define MICS 8

/// Write `channels` channels, of which the first come from `mics`, and of them every `step`th sample
static int
write_channels(const char* const path, const float* const mics[], const int channels, const int frames,
               const int format, const int step)
{
  SF_INFO        info  = {.channels = channels, .samplerate = RATE / step, .format = format};
  SNDFILE* const file  = sf_open(path, SFM_WRITE, &info);
  float* const   store = (float*)calloc((size_t)(frames * channels), sizeof(float));
  if (!file || !store) {
    fprintf(stderr, "make_take: %s: %s\n", path, sf_strerror(NULL));
    return 1;
  }
  for (int i = 0; i < frames; ++i) {
    for (int c = 0; c < channels && c < MICS; ++c) {
      store[i * channels + c] = mics[c][i * step];
    }
  }
  const bool whole = sf_writef_float(file, store, frames) == frames;
  free(store);
  return sf_close(file) || !whole;
}

/// One kind of take: which microphones it holds and how
typedef struct {
  const char* name;
  int         mics[MICS];
  int         channels;
  int         seconds;
  int         format;
  int         slower; ///< Than RATE, so many times; 0: as it is. For what does not hang on the sound, and is tried often
} Kind;

#define WAV16 (SF_FORMAT_WAV | SF_FORMAT_PCM_16)

// Channel 1 a soloist, 3 and 4 a pair, 5 one with the field late, 8 the ambient
#define DESK {CLOSE, SILENCE, CLOSE, SECOND, LATE, SILENCE, SILENCE, AMBIENT}

static const Kind kinds[] = {
  {"solo", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, WAV16},
  {"brief", {CLOSE, AMBIENT, SILENCE}, 2, 11, WAV16}, // one phrase
  {"low_rate", {CLOSE, AMBIENT, SILENCE}, 2, 11, WAV16, 6},
  {"low_pair", {CLOSE, SECOND, AMBIENT}, 3, 11, WAV16, 6},
  {"pair", {CLOSE, SECOND, AMBIENT}, 3, SECONDS, WAV16},
  {"close", {CLOSE, SILENCE, SILENCE}, 1, SECONDS, WAV16},
  {"ambient", {AMBIENT, SILENCE, SILENCE}, 1, SECONDS, WAV16},
  {"mono_short", {AMBIENT, SILENCE, SILENCE}, 1, 2, WAV16},
  {"same", {CLOSE, CLOSE, SILENCE}, 2, SECONDS, WAV16},
  {"swapped", {AMBIENT, CLOSE, SILENCE}, 2, SECONDS, WAV16},
  {"field", {CLOSE, AMBIENT, SILENCE}, 2, 7, WAV16}, // ends before the soloist begins
  {"silent", {SILENCE, SILENCE, SILENCE}, 2, SECONDS, WAV16},
  {"no_ambient", {CLOSE, SILENCE, SILENCE}, 2, SECONDS, WAV16},
  {"short", {CLOSE, AMBIENT, SILENCE}, 2, 1, WAV16},
  {"six", {CLOSE, SECOND, AMBIENT}, 6, 1, WAV16},
  {"flac", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, SF_FORMAT_FLAC | SF_FORMAT_PCM_24},
  {"large", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, SF_FORMAT_RF64 | SF_FORMAT_PCM_16},
  {"float", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, SF_FORMAT_WAV | SF_FORMAT_FLOAT},
  {"nan", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, SF_FORMAT_WAV | SF_FORMAT_FLOAT},
  {"clipped", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, WAV16},
  {"wild", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, SF_FORMAT_WAV | SF_FORMAT_FLOAT},
  {"offset", {CLOSE, AMBIENT, SILENCE}, 2, SECONDS, WAV16},
  {"late", {LATE, AHEAD, SILENCE}, 2, SECONDS, WAV16, 6},
  {"no_solo", {FIELD, AMBIENT, SILENCE}, 2, SECONDS, WAV16},
  {"no_band", {SOLO, LEAK, SILENCE}, 2, SECONDS, WAV16},
  {"desk", DESK, 8, SECONDS, WAV16},
  {"low_desk", DESK, 8, 11, WAV16, 6},
  {"desk_rf64", DESK, 8, SECONDS, SF_FORMAT_RF64 | SF_FORMAT_PCM_16},
  {"desk_w64", DESK, 8, SECONDS, SF_FORMAT_W64 | SF_FORMAT_PCM_16},
  {"desk_caf", DESK, 8, SECONDS, SF_FORMAT_CAF | SF_FORMAT_PCM_16},
  {"desk_flac", DESK, 8, SECONDS, SF_FORMAT_FLAC | SF_FORMAT_PCM_16},
  {"stem_solo", {SOLO, SILENCE, SILENCE}, 1, SECONDS, WAV16},
  {"stem_field", {FIELD, SILENCE, SILENCE}, 1, SECONDS, WAV16},
};

static int
mix(const char* const path, float rows[][FRAMES], const int count, char* const amplitudes[])
{
  static float mixed[MICS][FRAMES];
  const float* mics[MICS];
  make(rows);
  for (int c = 0; c < count; ++c) {
    float solo = 0.0f, field = 0.0f, ambient = 0.0f;
    if (sscanf(amplitudes[c], "%f,%f,%f", &solo, &field, &ambient) < 1) {
      fprintf(stderr, "make_take: no amplitudes: %s\n", amplitudes[c]);
      return 2;
    }
    for (size_t i = 0; i < FRAMES; ++i) {
      mixed[c][i] = fmaxf(-1.0f, fminf(0.9999f, solo * rows[SOLO][i] + field * rows[FIELD][i] + ambient * rows[AMBIENT][i]));
    }
    mics[c] = mixed[c];
  }
  return write_channels(path, mics, count, FRAMES, WAV16, 1);
}

int
main(const int argc, char** const argv)
{
  static float store[ROWS][FRAMES];
  if (argc > 3 && argc <= 3 + MICS && !strcmp(argv[2], "mix")) {
    return mix(argv[1], store, argc - 3, argv + 3);
  }
  for (size_t k = 0; argc == 3 && k < sizeof(kinds) / sizeof(kinds[0]); ++k) {
    const Kind* const kind = &kinds[k];
    if (!strcmp(argv[2], kind->name)) {
      make(store);
      if (!strcmp(kind->name, "nan")) {
        store[CLOSE][RATE] = NAN;
      }
      for (size_t i = 0; i < FRAMES && !strcmp(kind->name, "clipped"); ++i) {
        store[CLOSE][i] = fmaxf(-1.0f, fminf(1.0f, 8.0f * store[CLOSE][i]));
      }
      for (size_t i = 0; i < FRAMES && !strcmp(kind->name, "offset"); ++i) {
        store[AMBIENT][i] += 0.1f;
      }
      for (size_t i = RATE; i < FRAMES && !strcmp(kind->name, "wild"); i += 1000) {
        store[CLOSE][i] = 1e9f;
      }
      const float* mics[MICS];
      for (int c = 0; c < MICS; ++c) {
        mics[c] = store[kind->mics[c]];
      }
      const int step = kind->slower ? kind->slower : 1;
      return write_channels(argv[1], mics, kind->channels, kind->seconds * RATE / step, kind->format, step);
    }
  }
  fprintf(stderr, "Usage: make_take FILE KIND, or FILE mix S,F,A...; kinds are listed in make_take.c\n");
  return 2;
}
