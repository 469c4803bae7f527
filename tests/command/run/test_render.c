// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_render.c
/// Renders small takes whose phrases are known, and holds the printed figures against sums over the sound files
/// themselves. Levels in dB are 10 lg of mean squares; the tolerance stands at each check.

#include "../command.h"

#include <sndfile.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  SF_INFO info;
  double* data; ///< Interleaved
} Sound;

static Sound
load(const char* const path)
{
  Sound          sound = {.info = {0}};
  SNDFILE* const file  = sf_open(path, SFM_READ, &sound.info);
  assert_non_null(file);
  sound.data = (double*)malloc((size_t)(sound.info.frames * sound.info.channels) * sizeof(double));
  assert_int_equal(sf_readf_double(file, sound.data, sound.info.frames), sound.info.frames);
  sf_close(file);
  return sound;
}

/// Sum of squares of one channel from `start` to `end`, s
static double
energy(const Sound* const sound, const int channel, const double start, const double end)
{
  double sum = 0.0;
  for (long i = lrint(start * sound->info.samplerate); i < lrint(end * sound->info.samplerate); ++i) {
    const double x = sound->data[i * sound->info.channels + channel];
    sum += x * x;
  }
  return sum;
}

static void
assert_close(const double found, const double expected, const double tolerance, const char* const what)
{
  if (!(fabs(found - expected) <= tolerance)) {
    fail_msg("%s: found %g, expected %g within %g", what, found, expected, tolerance);
  }
}

static const Said*
render(const char* const options)
{
  const Said* const said = run("fronthash render %s", options);
  if (said->code || said->err[0]) {
    fail_msg("render %s: exit code %d, '%s'", options, said->code, said->err);
  }
  return said;
}

static int
make_inputs(void** const state)
{
  return enter_folder(state) ||
         run("set -e; for k in solo pair close ambient same silent no_ambient flac float clipped wild offset stem_solo stem_field\n"
             "do make_take $k.wav $k; done; mv flac.wav take.flac")
           ->code;
}

/// With the longest hold the gate is open from the first phrase (8 s) to the end (24 s), and for the hold at the
/// start, where it begins open: everything about the figures is known
static void
test_figures(void** const state)
{
  (void)state;
  const char* const json   = render("solo.wav --learn-ambient 0.5-7.5 --set hold=2000 --set release=5 --set range=30 "
                                    "--json --output figures.wav")
                             ->out;
  const Sound       before = load("solo.wav");
  const Sound       after  = load("figures.wav");

  // 50 ms of peak hold in the meters, 20 ms to open
  assert_close(number_of(json, "seconds"), 24.0, 1e-9, "seconds");
  assert_close(number_of(json, "open_percent"), 100.0 * (2.0 + 16.0) / 24.0, 0.5, "time open");
  assert_close(number_of(json, "openings_per_minute"), 2.5, 1e-9, "one opening in 24 s");

  const double removed = 10.0 * log10(energy(&before, 0, 2.15, 7.95) / energy(&after, 0, 2.15, 7.95));
  assert_true(removed > 30.0 - 0.5 && removed < 30.0 + 24.0 + 0.5); // range, and the duck's depth at most
  assert_close(number_of(json, "removed_between_phrases_db"), removed, 0.5, "pickup removed");

  const double in  = energy(&before, 0, 0.0, 2.0) + energy(&before, 0, 8.0, 24.0);
  const double out = energy(&after, 0, 0.0, 2.0) + energy(&after, 0, 8.0, 24.0);
  assert_close(number_of(json, "ducked_while_open_db"), 10.0 * log10(in / out), 0.1, "duck");
  free(before.data);
  free(after.data);
}

/// Muted, the whole take is silent, and there is no decibel to tell
static void
test_muted(void** const state)
{
  (void)state;
  const char* const json   =
    render("solo.wav --set muted=1 --set range=20 --json --output muted.wav")->out;
  const Sound       after  = load("muted.wav");
  assert_true(energy(&after, 0, 0.0, 24.0) == 0.0);
  assert_non_null(strstr(json, "\"removed_between_phrases_db\": null"));
  assert_true(number_of(json, "open_percent") < 1.0);
  free(after.data);
}

/// The soloist's own power over the field's, from the two stems of the close microphone
static void
test_separation(void** const state)
{
  (void)state;
  const char* const json  = render("solo.wav --learn-ambient 0.5-7.5 --json --output separation.wav")->out;
  const Sound       solo  = load("stem_solo.wav");
  const Sound       field = load("stem_field.wav");
  static const double phrases[][2] = {{8, 10.5}, {12, 14}, {15.5, 18}, {20, 22}};
  double              s = 0.0, f = 0.0, seconds = 0.0;
  for (size_t i = 0; i < 4; ++i) {
    s += energy(&solo, 0, phrases[i][0], phrases[i][1]);
    f += energy(&field, 0, phrases[i][0], phrases[i][1]);
    seconds += phrases[i][1] - phrases[i][0];
  }
  // The hold after each phrase, and the soloist heard faintly by the ambient microphone, cost up to 1 dB
  assert_close(number_of(json, "separation_db"), 10.0 * log10(1.0 + s / f), 1.0, "separation");
  // Four phrases, each opened once, each kept open by averages, hold and meters for at most 0.8 s
  assert_close(number_of(json, "openings_per_minute"), 10.0, 1e-9, "four openings in 24 s");
  const double open = number_of(json, "open_percent") * 0.24;
  assert_in_range((uintmax_t)(open * 1000.0), (uintmax_t)(seconds * 980.0),
                  (uintmax_t)((seconds + 0.3 + 4 * 0.8) * 1000.0));
  free(solo.data);
  free(field.data);
}

/// Without options the pickup is found while the soloist rests: by 7 s it is shut out, the phrases are heard
static void
test_tracking_alone(void** const state)
{
  (void)state;
  render("solo.wav");
  const Sound before = load("solo.wav");
  const Sound after  = load("solo-fronthash.wav");
  assert_int_equal(after.info.channels, 1);
  assert_int_equal(after.info.frames, before.info.frames);
  assert_int_equal(after.info.format, before.info.format);
  assert_true(10.0 * log10(energy(&before, 0, 18.7, 19.9) / energy(&after, 0, 18.7, 19.9)) > 15.0);
  assert_true(10.0 * log10(energy(&before, 0, 20.1, 21.9) / energy(&after, 0, 20.1, 21.9)) < 1.5);
  free(before.data);
  free(after.data);
}

/// Latency is taken out: bypassed with the longest lookahead, each sample comes back as it was, where it was
static void
test_latency(void** const state)
{
  (void)state;
  const char* const json = render("float.wav --set enabled=0 --set lookahead=10 --json --output late.wav")->out;
  assert_close(number_of(json, "latency_frames"), 480.0, 1.0, "10 ms at 48 kHz");
  const Sound before = load("float.wav");
  const Sound after  = load("late.wav");
  assert_int_equal(after.info.format, SF_FORMAT_WAV | SF_FORMAT_FLOAT);
  for (sf_count_t i = 0; i < before.info.frames; ++i) {
    if (after.data[i] != before.data[2 * i]) {
      fail_msg("frame %ld: %g became %g", (long)i, before.data[2 * i], after.data[i]);
    }
  }
  free(before.data);
  free(after.data);
}

/// A microphone that is missing or plugged twice: said, and the sound passes
static void
test_faults(void** const state)
{
  (void)state;
  static const char* const rows[][2] = {
    {"no_ambient.wav", "No ambient signal: the ambient channel is silent"},
    {"same.wav", "Ambient is the close mic: both channels carry the same sound"},
    {"clipped.wav", "Clipping: the recording clips"},
    {"wild.wav", "Broken samples: samples far beyond full scale"},
    {"offset.wav", "DC offset: a channel is off zero"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char options[128];
    snprintf(options, sizeof(options), "%s --output fault.wav --replace", rows[i][0]);
    assert_non_null(strstr(render(options)->out, rows[i][1]));
    if (i < 2) {
      const Sound before = load(rows[i][0]);
      const Sound after  = load("fault.wav");
      assert_close(10.0 * log10(energy(&before, 0, 0, 24) / energy(&after, 0, 0, 24)), 0.0, 0.1, rows[i][0]);
      free(before.data);
      free(after.data);
    }
  }
  assert_non_null(strstr(render("solo.wav --output fault.wav --replace")->out,
                         "fault                                none"));
  render("silent.wav --output fault.wav --replace");
}

static void
test_nothing_to_learn(void** const state)
{
  (void)state;
  assert_complaint(run("fronthash render no_ambient.wav --learn-ambient 1-7 --output nothing.wav"),
                   "nothing can be learnt from 1-7 s", "silent ambient");
  assert_int_not_equal(run("test -e nothing.wav")->code, 0);
}

/// A writer that did not know the length yet leaves all ones in the head (bytes 4 to 7 and 40 to 43): no reason to
/// complain
static void
test_open_end(void** const state)
{
  (void)state;
  run("cp solo.wav open_end.wav; for at in 4 40; do printf '\\377\\377\\377\\377' |\n"
      "dd of=open_end.wav bs=1 seek=$at conv=notrunc status=none; done");
  assert_non_null(strstr(render("open_end.wav --output fault.wav --replace")->out, "open_end.wav, 24.0 s"));
}

/// Two mono files are one take; three channels are a pair; FLAC stays FLAC
static void
test_shapes(void** const state)
{
  (void)state;
  render("solo.wav --output stereo.wav");
  render("close.wav --ambient ambient.wav --output mono.wav");
  assert_int_equal(run("cmp stereo.wav mono.wav")->code, 0);

  render("pair.wav");
  const Sound pair = load("pair-fronthash.wav");
  assert_int_equal(pair.info.channels, 2);
  free(pair.data);

  render("take.flac");
  const Sound flac = load("take-fronthash.flac");
  assert_int_equal(flac.info.format, SF_FORMAT_FLAC | SF_FORMAT_PCM_24);
  free(flac.data);
  render("take.flac --output as.wav");
  const Sound wav = load("as.wav");
  assert_int_equal(wav.info.format, SF_FORMAT_WAV | SF_FORMAT_PCM_24);
  free(wav.data);
}

static void
test_preset_and_set(void** const state)
{
  (void)state;
  render("solo.wav --preset trumpet --output preset.wav");
  render("solo.wav --preset trumpet --set range=0 --set duck_depth=0 --output set.wav");
  const Sound before = load("solo.wav");
  const Sound after  = load("set.wav");
  assert_close(10.0 * log10(energy(&before, 0, 0, 24) / energy(&after, 0, 0, 24)), 0.0, 0.05, "nothing to turn down");
  assert_int_not_equal(run("cmp -s preset.wav set.wav")->code, 0);
  free(before.data);
  free(after.data);
}

/// A factory preset by its name, in either spelling, and by its label
static void
test_preset_names(void** const state)
{
  static const char* const names[] = {"baritone-sax", "baritone_sax", "'Baritone sax: dynamic at the bell'"};
  (void)state;
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    char line[128];
    snprintf(line, sizeof(line), "solo.wav --preset %s --replace --output named-%zu.wav", names[i], i);
    render(line);
  }
  assert_int_equal(run("cmp named-0.wav named-1.wav && cmp named-0.wav named-2.wav")->code, 0);
  render("solo.wav --preset baritone --output named-3.wav"); // which part of a label would not be enough for
  assert_int_not_equal(run("cmp -s named-0.wav named-3.wav")->code, 0);
}

static void
test_picture(void** const state)
{
  (void)state;
  render("solo.wav --learn-ambient 0-7 --picture strip.png --output strip.wav");
  FILE* const   file = fopen("strip.png", "rb");
  unsigned char head[24];
  assert_non_null(file);
  assert_int_equal(fread(head, 1, sizeof(head), file), sizeof(head));
  fclose(file);
  // W3C PNG specification, 5.2 signature and 11.2.2 header
  assert_memory_equal(head, "\x89PNG\r\n\x1a\n", 8);
  assert_true(head[18] * 256 + head[19] >= 800);
}

/// Every option stands in --help
static void
test_help(void** const state)
{
  (void)state;
  static const char* const options[] = {"--ambient", "--output", "--replace",      "--picture", "--preset",
                                        "--set",     "--bundle", "--learn-ambient", "--json",    "Examples:"};
  const Said* const        said      = render("--help");
  for (size_t i = 0; i < sizeof(options) / sizeof(options[0]); ++i) {
    assert_non_null(strstr(said->out, options[i]));
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_figures),
    cmocka_unit_test(test_muted),
    cmocka_unit_test(test_separation),
    cmocka_unit_test(test_tracking_alone),
    cmocka_unit_test(test_latency),
    cmocka_unit_test(test_faults),
    cmocka_unit_test(test_open_end),
    cmocka_unit_test(test_nothing_to_learn),
    cmocka_unit_test(test_shapes),
    cmocka_unit_test(test_preset_and_set),
    cmocka_unit_test(test_preset_names),
    cmocka_unit_test(test_picture),
    cmocka_unit_test(test_help),
  };
  return cmocka_run_group_tests_name("render", tests, make_inputs, leave_folder);
}
