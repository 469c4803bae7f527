// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_pair.c
/// Two close microphones over one instrument: one decision, both gains linked, so that the image never wanders. The
/// image is the level of one microphone over the other, taken in frames of 20 ms from the sound files themselves; 1 dB
/// of it is about the least that listeners notice (J. Blauert, Spatial Hearing, from memory), a tenth of that is the
/// tolerance.

#include "../../noise.h"
#include "../command.h"

#include <sndfile.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000
#define SECONDS 20
#define FRAMES (RATE * SECONDS)
#define FIELD_END 12.0 // s; the soloist plays on alone
#define WINDOW 960     // frames: 20 ms
#define PI 3.14159265358979323846
#define IMAGE_DB 0.1

typedef struct {
  int    channels;
  long   frames;
  float* data; ///< Interleaved
} Sound;

static uint32_t noise_seed = 1;

/// A run of struck bars from 7 s on, two a second, each at its place between the microphones: -9 to 9 dB of image
static double
strokes(const double t, const int mic)
{
  double sum = 0.0;
  for (int bar = 0; bar < 24; ++bar) {
    const double since = t - 7.0 - 0.5 * bar;
    if (since >= 0.0 && since < 0.5) {
      const double hz    = 130.8 * pow(2.0, bar / 12.0);
      const double image = pow(10.0, (mic ? -1.0 : 1.0) * 4.5 * (1.0 - bar / 11.5) / 20.0);
      const double rise  = fmin(1.0, fmin(since / 0.002, (0.5 - since) / 0.05)); // damped before the next
      sum += image * rise * (0.2 * exp(-6.0 * since) * sin(2.0 * PI * hz * since) +
                             0.06 * exp(-8.0 * since) * sin(2.0 * PI * 4.0 * hz * since));
    }
  }
  return sum;
}

/// Close, close, ambient. The field is noise that swells, 2 dB louder in the second close microphone
static Sound
make_take(void)
{
  const Sound sound = {3, FRAMES, (float*)calloc(3 * FRAMES, sizeof(float))};
  double      low   = 0.0;
  assert_non_null(sound.data);
  noise_seed = 1;
  for (long i = 0; i < FRAMES; ++i) {
    const double t = (double)i / RATE;
    low += 0.35 * (fh_noise(&noise_seed) - low);
    const double field = t < FIELD_END ? 0.1 * low * (1.0 + 0.6 * sin(2.0 * PI * 0.21 * t)) : 0.0;
    const double solo[] = {strokes(t, 0), strokes(t, 1)};
    sound.data[3 * i]     = (float)(solo[0] + 0.5 * field + 0.0001 * fh_noise(&noise_seed));
    sound.data[3 * i + 1] = (float)(solo[1] + 0.63 * field + 0.0001 * fh_noise(&noise_seed));
    sound.data[3 * i + 2] = (float)(0.04 * (solo[0] + solo[1]) + field + 0.0001 * fh_noise(&noise_seed));
  }
  return sound;
}

static void
save(const char* const path, const Sound* const sound)
{
  SF_INFO        info = {.channels = sound->channels, .samplerate = RATE, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
  SNDFILE* const file = sf_open(path, SFM_WRITE, &info);
  assert_non_null(file);
  assert_int_equal(sf_writef_float(file, sound->data, sound->frames), sound->frames);
  assert_int_equal(sf_close(file), 0);
}

static Sound
load(const char* const path)
{
  SF_INFO        info = {0};
  SNDFILE* const file = sf_open(path, SFM_READ, &info);
  assert_non_null(file);
  const Sound sound =
    {info.channels, (long)info.frames, (float*)malloc((size_t)(info.frames * info.channels) * sizeof(float))};
  assert_int_equal(sf_readf_float(file, sound.data, info.frames), info.frames);
  sf_close(file);
  return sound;
}

/// Render a take of three channels, learnt from its first six seconds
static Sound
render(const Sound* const take, const char* const options)
{
  save("pair.wav", take);
  const Said* const said = run("fronthash render pair.wav --learn-ambient 0-6 --output out.wav --replace %s", options);
  if (said->code || said->err[0]) {
    fail_msg("exit code %d, '%s'", said->code, said->err);
  }
  const Sound out = load("out.wav");
  assert_int_equal(out.channels, 2);
  assert_int_equal(out.frames, take->frames);
  return out;
}

static double
energy(const Sound* const sound, const int channel, const long from)
{
  double sum = 0.0;
  for (long i = from; i < from + WINDOW; ++i) {
    const double x = (double)sound->data[i * sound->channels + channel];
    sum += x * x;
  }
  return sum;
}

/// Level of the first channel over the second, dB
static double
image(const Sound* const sound, const long from)
{
  return 10.0 * log10(energy(sound, 0, from) / energy(sound, 1, from));
}

/// Largest difference of image between two sounds while the bars sound in both microphones (40 dB over their noise)
/// @param settled Leave out the first 0.1 s of each stroke: the crossovers' all-passes hold low tones back by some ms,
/// so that a new bar comes into the output's frame a little later than into the input's
static double
image_moved(const Sound* const take, const Sound* const from, const Sound* const to, const bool settled)
{
  double worst  = 0.0;
  int    frames = 0;
  for (long at = (long)((FIELD_END + 0.5) * RATE); at < 18 * RATE; at += WINDOW / 4) {
    const bool sounds = energy(take, 0, at) > WINDOW * 1e-4 && energy(take, 1, at) > WINDOW * 1e-4;
    const long since  = at % (RATE / 2);
    if (sounds && !(settled && (since < RATE / 10 || since > RATE / 2 - WINDOW))) {
      worst = fmax(worst, fabs(image(to, at) - image(from, at)));
      ++frames;
    }
  }
  assert_true(frames > 300);
  return worst;
}

/// The field has gone, the bars go on from one microphone to the other: what comes out is where it went in, and at no
/// time, strokes included, elsewhere than through a plugin that has nothing to turn down
static void
test_solo_alone(void** const state)
{
  (void)state;
  static const char* const settings[] =
    {"", "--preset marimba", "--preset vibraphone", "--set duck_depth=40 --set range=90"};
  const Sound              take       = make_take();
  const Sound              open       = render(&take, "--set range=0 --set duck_depth=0");
  for (size_t s = 0; s < sizeof(settings) / sizeof(settings[0]); ++s) {
    const Sound  out     = render(&take, settings[s]);
    const double in      = image_moved(&take, &take, &out, true);
    const double through = image_moved(&take, &open, &out, false);
    print_message("%-36s image off by %.3f dB, at strokes by %.3f dB at most\n", settings[s], in, through);
    assert_true(in < IMAGE_DB && through < IMAGE_DB);
    free(out.data);
  }
  free(open.data);
  free(take.data);
}

/// One microphone is the other, 12 dB down: so is the output, at any time: resting, opening, ducking, holding, closing.
/// Gains of their own would show here, for at 12 dB less the second microphone would duck or close where the first does
/// not
static void
test_one_gain(void** const state)
{
  (void)state;
  Sound take = make_take();
  for (long i = 0; i < FRAMES; ++i) {
    take.data[3 * i + 1] = 0.25f * take.data[3 * i];
  }
  const Sound out   = render(&take, "");
  double      worst = 0.0;
  double      least = 0.0;
  double      most  = -200.0;
  for (long at = 0; at + WINDOW <= FRAMES; at += WINDOW) {
    const double gain = 10.0 * log10(energy(&out, 0, at) / energy(&take, 0, at));
    worst             = fmax(worst, fabs(image(&out, at) - 20.0 * log10(4.0)));
    least             = fmin(least, gain);
    most              = fmax(most, gain);
  }
  print_message("gains from %.1f to %.1f dB, image off by %.4f dB at most\n", least, most, worst);
  assert_true(least < -30.0 && most > -0.5); // or there was nothing to follow
  assert_true(worst < 0.01);
  free(out.data);
  free(take.data);
}

/// Neither microphone leads: exchanged, they come out exchanged
static void
test_either_order(void** const state)
{
  (void)state;
  Sound       take = make_take();
  const Sound one  = render(&take, "");
  for (long i = 0; i < FRAMES; ++i) {
    const float first    = take.data[3 * i];
    take.data[3 * i]     = take.data[3 * i + 1];
    take.data[3 * i + 1] = first;
  }
  const Sound other = render(&take, "");
  double      worst = 0.0;
  for (long i = 0; i < FRAMES; ++i) {
    worst = fmax(worst, fabs((double)one.data[2 * i] - (double)other.data[2 * i + 1]));
    worst = fmax(worst, fabs((double)one.data[2 * i + 1] - (double)other.data[2 * i]));
  }
  print_message("differ by %g of full scale at most\n", worst);
  assert_true(worst < 1e-5);
  free(one.data);
  free(other.data);
  free(take.data);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_solo_alone),
    cmocka_unit_test(test_one_gain),
    cmocka_unit_test(test_either_order),
  };
  return cmocka_run_group_tests_name("pair", tests, enter_folder, leave_folder);
}
