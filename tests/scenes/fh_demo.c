// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fh_demo.c
/// Two small jobs of tests/demo. `fh-demo show OUT.wav DIR...` puts scenes one after another into one recording of all channels: while
/// one soloist's scene goes on, the other stands hear its field, as loud over the ambient as in their own scenes; the ambient is
/// last. `fh-demo pair RECORDING CHANNEL FROM AFTER STEM` cuts a soloist's part out before (STEM-before.wav) and after
/// (STEM-after.wav), the louder of both turned down until both are equally loud (ITU-R BS.1770, through libebur128).

#include <ebur128.h>
#include <sndfile.h>

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 8       // scenes
#define LEARN 10.0   // s at their beginning in which the field plays alone
#define LENGTH 40.0  // s used of each

typedef struct {
  SF_INFO info;
  float*  data; ///< Interleaved
} Sound;

static Sound
load(const char* const path)
{
  Sound          sound = {.data = NULL};
  SNDFILE* const file  = sf_open(path, SFM_READ, &sound.info);
  sound.data           = file ? malloc((size_t)(sound.info.frames * sound.info.channels) * sizeof(float)) : NULL;
  if (!sound.data || sf_readf_float(file, sound.data, sound.info.frames) != sound.info.frames) {
    fprintf(stderr, "fh-demo: %s cannot be read: %s\n", path, sf_strerror(file));
    exit(EXIT_FAILURE);
  }
  sf_close(file);
  return sound;
}

static void
save(const char* const path, const float* const data, const sf_count_t frames, const int channels, const int rate)
{
  SF_INFO        info = {.channels = channels, .samplerate = rate, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24};
  SNDFILE* const file = sf_open(path, SFM_WRITE, &info);
  if (!file || sf_writef_float(file, data, frames) != frames || sf_close(file)) {
    fprintf(stderr, "fh-demo: %s cannot be written\n", path);
    exit(EXIT_FAILURE);
  }
}

/// Level of the field in a close channel over the ambient one, as a factor
static double
pickup(const Sound* const sound, const int channel)
{
  double    close = 0.0, ambient = 0.0;
  const int n = sound->info.channels;
  for (sf_count_t i = 0; i < (sf_count_t)(LEARN * sound->info.samplerate) && i < sound->info.frames; ++i) {
    close += (double)sound->data[i * n + channel] * (double)sound->data[i * n + channel];
    ambient += (double)sound->data[i * n + n - 1] * (double)sound->data[i * n + n - 1];
  }
  return sqrt(close / ambient);
}

static int
make_show(const char* const out, char** const dirs, const int count)
{
  Sound take[MOST] = {0}, field[MOST] = {0};
  int   channels = 1;
  char  path[1024];
  for (int k = 0; k < count; ++k) {
    snprintf(path, sizeof(path), "%s/take.wav", dirs[k]);
    take[k] = load(path);
    snprintf(path, sizeof(path), "%s/truth-pickup.wav", dirs[k]);
    field[k] = load(path);
    channels += take[k].info.channels - 1;
  }
  const int        rate   = take[0].info.samplerate;
  const sf_count_t frames = (sf_count_t)(LENGTH * rate);
  float* const     all    = calloc((size_t)(count * frames * channels), sizeof(float));
  for (int k = 0; all && k < count; ++k) { // whose turn it is
    int at = 0;
    for (int stand = 0; stand < count; ++stand) {
      for (int c = 0; c < take[stand].info.channels - 1; ++c, ++at) {
        const Sound* const from = stand == k ? &take[k] : &field[k];
        const int          used = stand == k ? c : 0;
        const float        gain = stand == k ? 1.0f : (float)(pickup(&field[stand], c) / pickup(&field[k], 0));
        for (sf_count_t i = 0; i < frames && i < from->info.frames; ++i) {
          all[(k * frames + i) * channels + at] = gain * from->data[i * from->info.channels + used];
        }
      }
    }
    for (sf_count_t i = 0; i < frames && i < take[k].info.frames; ++i) {
      all[(k * frames + i) * channels + at] = take[k].data[(i + 1) * take[k].info.channels - 1];
    }
  }
  save(out, all, count * frames, channels, rate);
  free(all);
  return EXIT_SUCCESS;
}

/// Of one channel, LUFS
static double
loudness(const float* const data, const sf_count_t frames, const int rate)
{
  double               lufs  = -HUGE_VAL;
  ebur128_state* state = ebur128_init(1, (unsigned long)rate, EBUR128_MODE_I);
  if (!state || ebur128_add_frames_float(state, data, (size_t)frames) || ebur128_loudness_global(state, &lufs)) {
    fprintf(stderr, "fh-demo: loudness cannot be measured\n");
    exit(EXIT_FAILURE);
  }
  ebur128_destroy(&state);
  return lufs;
}

static int
make_pair(char** const argv)
{
  const Sound      all      = load(argv[0]);
  const Sound      done     = load(argv[3]);
  const int        channel  = atoi(argv[1]) - 1;
  const int        rate     = all.info.samplerate;
  const sf_count_t from     = (sf_count_t)(atof(argv[2]) * rate);
  const sf_count_t frames   = (sf_count_t)(LENGTH * rate);
  static const char* const names[] = {"before", "after"};
  float*           sound[2];
  double           lufs[2];
  if (channel < 0 || channel >= all.info.channels || from + frames > all.info.frames || from + frames > done.info.frames) {
    fprintf(stderr, "fh-demo: no such part\n");
    return EXIT_FAILURE;
  }
  for (int k = 0; k < 2; ++k) {
    const Sound* const s = k ? &done : &all;
    sound[k]             = malloc((size_t)frames * sizeof(float));
    for (sf_count_t i = 0; i < frames; ++i) {
      sound[k][i] = s->data[(from + i) * s->info.channels + (k ? 0 : channel)];
    }
    lufs[k] = loudness(sound[k], frames, rate);
  }
  const double quiet = fmin(lufs[0], lufs[1]);
  for (int k = 0; k < 2; ++k) {
    char        path[1024];
    const float gain = (float)pow(10.0, (quiet - lufs[k]) / 20.0);
    for (sf_count_t i = 0; i < frames; ++i) {
      sound[k][i] *= gain;
    }
    snprintf(path, sizeof(path), "%s-%s.wav", argv[4], names[k]);
    save(path, sound[k], frames, 1, rate);
    free(sound[k]);
  }
  printf("%s: %.1f LUFS each, the louder turned down by %.1f dB\n", argv[4], quiet, fabs(lufs[0] - lufs[1]));
  free(all.data);
  free(done.data);
  return EXIT_SUCCESS;
}

int
main(const int argc, char** const argv)
{
  if (argc > 3 && argc - 3 <= MOST && !strcmp(argv[1], "show")) {
    return make_show(argv[2], argv + 3, argc - 3);
  }
  if (argc == 7 && !strcmp(argv[1], "pair")) {
    return make_pair(argv + 2);
  }
  fprintf(stderr, "Usage: fh-demo show OUT.wav DIR... | fh-demo pair RECORDING CHANNEL FROM AFTER STEM\n");
  return EXIT_FAILURE;
}
