// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file make_take.c
/// Makes small takes for the tests of the command: `make_take FILE KIND`.
///
/// The field is noise whose level swells and falls, heard by both microphones with a part of its own in each (wind,
/// echoes); the soloist is a tone with overtones in phrases of known times, 26 dB nearer to the close microphone.
/// The same numbers on every run.

#include <sndfile.h>

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000
#define SECONDS 24
#define FRAMES (RATE * SECONDS)
#define PI 3.14159265358979323846
#define FIELD_DELAY 240 // frames by which the field reaches the close microphone later: 5 ms

/// Phrases of the soloist, s
static const double phrases[][2] = {{8, 10.5}, {12, 14}, {15.5, 18}, {20, 22}};

static uint32_t noise_state = 1;

static double
noise(void)
{
  noise_state = noise_state * 1664525u + 1013904223u;
  return (double)(int32_t)noise_state / 2147483648.0;
}

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

static double
field_level(const double t)
{
  return 0.06 * (1.0 + 0.6 * sin(2.0 * PI * 0.21 * t));
}

/// The three microphones' sound, channel by channel: close, second close, ambient
static void
make(double* const mics[3])
{
  static double field[FRAMES + FIELD_DELAY];
  double        low = 0.0;
  for (size_t i = 0; i < FRAMES + FIELD_DELAY; ++i) {
    low += 0.35 * (noise() - low); // brighter than rain, duller than hiss
    field[i] = 3.0 * low * field_level((double)i / RATE);
  }
  for (size_t i = 0; i < FRAMES; ++i) {
    const double t    = (double)i / RATE;
    const double solo = soloist(t);
    mics[0][i]        = solo + 0.6 * field[i] + 0.004 * noise();
    mics[1][i]        = 0.7 * solo + 0.5 * field[i] + 0.004 * noise();
    mics[2][i]        = 0.05 * solo + field[i + FIELD_DELAY] + 0.004 * noise();
  }
}

static int
write_channels(const char* const path, double* const mics[], const int channels, const size_t frames, const int format)
{
  SF_INFO        info = {.channels = channels, .samplerate = RATE, .format = format};
  SNDFILE* const file = sf_open(path, SFM_WRITE, &info);
  if (!file) {
    fprintf(stderr, "make_take: %s: %s\n", path, sf_strerror(NULL));
    return 1;
  }
  for (size_t i = 0; i < frames; ++i) {
    double frame[16] = {0.0};
    for (int c = 0; c < channels && c < 3; ++c) {
      frame[c] = mics[c][i];
    }
    if (sf_writef_double(file, frame, 1) != 1) {
      sf_close(file);
      return 1;
    }
  }
  return sf_close(file);
}

int
main(const int argc, char** const argv)
{
  if (argc != 3) {
    fprintf(stderr, "make_take FILE solo|pair|close|ambient|same|swapped|field|silent|short|six|flac|nan|clipped\n");
    return 2;
  }
  static double     store[4][FRAMES];
  double* const     all[3] = {store[0], store[1], store[2]};
  double* const     silent = store[3];
  const char* const kind   = argv[2];
  const int         wav    = SF_FORMAT_WAV | SF_FORMAT_PCM_16;
  make(all);
  double* const close   = all[0];
  double* const ambient = all[2];
  if (!strcmp(kind, "pair")) {
    return write_channels(argv[1], all, 3, FRAMES, wav);
  }
  if (!strcmp(kind, "close")) {
    return write_channels(argv[1], (double*[]){close}, 1, FRAMES, wav);
  }
  if (!strcmp(kind, "ambient")) {
    return write_channels(argv[1], (double*[]){ambient}, 1, FRAMES, wav);
  }
  if (!strcmp(kind, "same")) {
    return write_channels(argv[1], (double*[]){close, close}, 2, FRAMES, wav);
  }
  if (!strcmp(kind, "swapped")) {
    return write_channels(argv[1], (double*[]){ambient, close}, 2, FRAMES, wav);
  }
  if (!strcmp(kind, "field")) { // the soloist never plays
    return write_channels(argv[1], (double*[]){close, ambient}, 2, 7 * RATE, wav);
  }
  if (!strcmp(kind, "silent")) {
    return write_channels(argv[1], (double*[]){silent, silent}, 2, FRAMES, wav);
  }
  if (!strcmp(kind, "short")) {
    return write_channels(argv[1], (double*[]){close, ambient}, 2, RATE, wav);
  }
  if (!strcmp(kind, "six")) {
    return write_channels(argv[1], all, 6, RATE, wav);
  }
  if (!strcmp(kind, "flac")) {
    return write_channels(argv[1], (double*[]){close, ambient}, 2, FRAMES, SF_FORMAT_FLAC | SF_FORMAT_PCM_24);
  }
  if (!strcmp(kind, "nan")) {
    close[RATE] = (double)NAN;
    return write_channels(argv[1], (double*[]){close, ambient}, 2, FRAMES, SF_FORMAT_WAV | SF_FORMAT_FLOAT);
  }
  if (!strcmp(kind, "clipped")) {
    for (size_t i = 0; i < FRAMES; ++i) {
      close[i] = fmax(-1.0, fmin(1.0, 8.0 * close[i]));
    }
    return write_channels(argv[1], (double*[]){close, ambient}, 2, FRAMES, wav);
  }
  if (!strcmp(kind, "solo")) {
    return write_channels(argv[1], (double*[]){close, ambient}, 2, FRAMES, wav);
  }
  fprintf(stderr, "make_take: no kind '%s'\n", kind);
  return 2;
}
