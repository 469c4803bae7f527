// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Runs on a sampled marimba and vibraphone (a General MIDI sound font through libfluidsynth): every stroke found with
// the right bar, errors under 2 % of the strokes; pitch within 2 % of equal temperament, A4 = 440 Hz

#undef NDEBUG

#include "command/check/check.h"

#include "../../noise.h"
#include "../../scenes/instrument.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define SKIPPED 77 // meson's exit status for a test that cannot run here
#define RATE 48000.0
#define NOTES_MOST 64

typedef enum { UP, DOWN, MIXED } Order;

typedef struct {
  const char*    name;
  FhInstrumentId instrument;
  int            low, high;
  int            step;  ///< Semitones
  Order          order;
  double         gap;   ///< s from stroke to stroke
  double         cents; ///< Out of tune by
} Run;

static const Run runs[] = {
  {"marimba up", FH_MARIMBA, 45, 96, 1, UP, 0.5, 0},
  {"marimba down", FH_MARIMBA, 45, 96, 1, DOWN, 0.4, 8},
  {"marimba up, quick", FH_MARIMBA, 48, 96, 1, UP, 0.25, -8},
  {"marimba, whole tones", FH_MARIMBA, 45, 95, 2, UP, 0.4, 4},
  {"marimba, mixed", FH_MARIMBA, 48, 96, 1, MIXED, 0.4, 0},
  {"vibraphone up", FH_VIBRAPHONE, 53, 89, 1, UP, 0.5, 0},
  {"vibraphone down", FH_VIBRAPHONE, 53, 89, 1, DOWN, 0.4, -5},
};

typedef struct {
  int strokes, missed, wrong, extra;
  double worst; ///< Pitch error, share
} Tally;

static size_t
write_run(const Run* const run, FhNote* const notes)
{
  size_t   count = 0;
  uint32_t seed  = 3;
  for (int key = run->low; key <= run->high; key += run->step) {
    notes[count++].key = (float)(run->order == DOWN ? run->high + run->low - key : key);
  }
  for (size_t i = 0; i < count; ++i) {
    const uint32_t any = fh_noise_next(&seed) >> 8;
    if (run->order == MIXED) {
      const size_t other = any % count;
      const float  key   = notes[i].key;
      notes[i].key       = notes[other].key;
      notes[other].key   = key;
    }
  }
  for (size_t i = 0; i < count; ++i) {
    const uint32_t any = fh_noise_next(&seed) >> 8;
    notes[i].start    = 0.5 + run->gap * (double)i;
    notes[i].length   = 1.2;
    notes[i].strength = 0.55f + 0.2f * (float)any / 16777216.0f; // an uneven hand, some 3 dB
  }
  return count;
}

static void
compare(const Run* const run, const FhNote* const notes, const size_t count, const FhStrokes* const strokes,
        Tally* const t)
{
  bool taken[4 * NOTES_MOST] = {false};
  for (size_t i = 0; i < count; ++i) {
    size_t found = strokes->count;
    for (size_t k = 0; k < strokes->count && k < 4 * NOTES_MOST; ++k) {
      const double off = (double)strokes->list[k].start / RATE - notes[i].start;
      found            = !taken[k] && fabs(off) < 0.05 ? k : found;
    }
    ++t->strokes;
    if (found == strokes->count) {
      ++t->missed;
      print_message("%s: note %g at %.2f s missed\n", run->name, (double)notes[i].key, notes[i].start);
      continue;
    }
    taken[found]      = true;
    const double hz   = 440.0 * pow(2.0, ((double)notes[i].key + run->cents / 100.0 - 69.0) / 12.0);
    const bool   same = strokes->list[found].note == (int)notes[i].key;
    t->wrong += !same;
    t->worst = same ? fmax(t->worst, fabs(strokes->list[found].hz / hz - 1.0)) : t->worst;
    if (!same) {
      print_message("%s: note %g heard as %.1f Hz (%d)\n", run->name, (double)notes[i].key, strokes->list[found].hz,
                    strokes->list[found].note);
    }
  }
  for (size_t k = 0; k < strokes->count; ++k) {
    t->extra += !taken[k];
    if (!taken[k]) {
      print_message("%s: nothing was played at %.2f s (%d)\n", run->name, (double)strokes->list[k].start / RATE,
                    strokes->list[k].note);
    }
  }
}

static void
play_run(const Run* const run, Tally* const t)
{
  FhNote       notes[NOTES_MOST] = {0};
  const size_t count             = write_run(run, notes);
  const size_t frames            = (size_t)((0.5 + run->gap * (double)count + 2.0) * RATE);
  float* const close             = calloc(frames, sizeof(float));
  float* const ambient           = calloc(frames, sizeof(float));
  const FhPart part              = {notes, count, count, 0};
  assert_true(close && ambient);
  assert_true(fh_sampled_part(FH_FONT_TIMGM6MB, run->instrument, &part, run->cents, RATE, close, frames));
  float    peak = 1e-9f;
  uint32_t seed = 5;
  for (size_t i = 0; i < frames; ++i) {
    peak = fmaxf(peak, fabsf(close[i]));
  }
  for (size_t i = 0; i < frames; ++i) { // noise 60 dB under the peak; the ambient microphone 2 m farther
    close[i] = 0.5f * close[i] / peak + 0.0005f * (float)fh_noise(&seed);
    if (i >= 280) {
      ambient[i] = 0.15f * close[i - 280];
    }
  }
  const FhSoundcheck   take    = {.mic = {close, ambient}, .closes = 1, .frames = frames, .rate = RATE};
  const FhCheckOptions options =
    {.kind = FH_CHECK_MALLETS, .partials = {4.0, 10.0}, .low = 36, .high = 96, .celsius = 20.0};
  FhStrokes            strokes = {0};
  assert_true(fh_find_strokes(&take, &options, &strokes));
  compare(run, notes, count, &strokes, t);
  fh_strokes_free(&strokes);
  free(close);
  free(ambient);
}

static void
test_runs(void** const state)
{
  (void)state;
  Tally t = {0};
  for (size_t i = 0; i < sizeof(runs) / sizeof(runs[0]); ++i) {
    play_run(&runs[i], &t);
  }
  print_message("%d strokes: %d missed, %d wrong, %d extra; worst pitch off by %.2f %%\n", t.strokes, t.missed, t.wrong,
                t.extra, 100.0 * t.worst);
  assert_true(t.missed + t.wrong + t.extra < 0.02 * t.strokes);
  assert_true(t.worst < 0.02);
}

/// A scale, and nothing wrong with it
typedef struct {
  const char*    name;
  FhInstrumentId instrument;
  int            low, count; ///< MIDI note number, steps of a major scale
} Scale;

static const Scale scales[] = {
  {"trumpet", FH_TRUMPET, 54, 15},     {"mellophone", FH_MELLOPHONE, 50, 14}, {"trombone", FH_TROMBONE, 41, 14},
  {"euphonium", FH_EUPHONIUM, 41, 14}, {"tuba", FH_TUBA, 34, 12},             {"flute", FH_FLUTE, 62, 15},
  {"clarinet", FH_CLARINET, 52, 15},   {"alto", FH_ALTO_SAX, 50, 15},         {"baritone", FH_BARI_SAX, 40, 14},
  {"violin", FH_VIOLIN, 57, 15},
};

/// @return Faults named, which are all wrong; the notes of the scale are counted in `played` and `heard`
static int
play_scale(const Scale* const scale, int* const played, int* const heard)
{
  static const int steps[] = {0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24};
  FhNote           notes[16] = {0};
  for (int i = 0; i < scale->count; ++i) {
    notes[i] = (FhNote){1.0 + 0.6 * i, 0.5, (float)(scale->low + steps[i]), 0.7f};
  }
  const size_t frames = (size_t)((2.5 + 0.6 * scale->count) * RATE);
  float* const sound  = calloc(2 * frames, sizeof(float));
  const FhPart part   = {notes, (size_t)scale->count, (size_t)scale->count, 0};
  assert_non_null(sound);
  assert_true(fh_sampled_part(FH_FONT_TIMGM6MB, scale->instrument, &part, 0.0, RATE, sound, frames));
  float    peak = 1e-9f;
  uint32_t seed = 5;
  for (size_t i = 0; i < frames; ++i) {
    peak = fmaxf(peak, fabsf(sound[i]));
  }
  for (size_t i = frames; i-- > 0;) {
    const float x     = 0.5f * sound[i] / peak;
    sound[i]          = x + 0.0003f * (float)fh_noise(&seed);
    sound[frames + i] = 0.0003f * (float)fh_noise(&seed);
  }
  for (size_t i = 300; i < frames; ++i) {
    sound[frames + i] += 0.1f * sound[i - 300];
  }
  const FhSoundcheck   take    = {.mic = {sound, sound + frames}, .closes = 1, .frames = frames, .rate = RATE};
  const FhCheckOptions options =
    {.kind = FH_CHECK_SOLOIST, .low = scale->low - 6, .high = scale->low + 40, .celsius = 20.0};
  FhReport* const      report  = calloc(1, sizeof(*report));
  int                  faults  = 0;
  assert_non_null(report);
  assert_true(fh_check(&take, &options, report));
  for (size_t i = 0; i < report->findings.count; ++i) {
    if (report->findings.list[i].fault) {
      print_message("%s: %s\n", scale->name, report->findings.list[i].text);
      ++faults;
    }
  }
  for (int i = 0; i < scale->count; ++i) {
    bool there = false;
    for (size_t k = 0; k < report->count; ++k) {
      there = there || report->places[k].note == scale->low + steps[i];
    }
    ++*played;
    *heard += there;
    if (!there) {
      print_message("%s: note %d not heard\n", scale->name, scale->low + steps[i]);
    }
  }
  free(report);
  free(sound);
  return faults;
}

static void
test_scales(void** const state)
{
  (void)state;
  int faults = 0, played = 0, heard = 0;
  for (size_t i = 0; i < sizeof(scales) / sizeof(scales[0]); ++i) {
    faults += play_scale(&scales[i], &played, &heard);
  }
  print_message("%d of %d notes heard, %d faults named where there are none\n", heard, played, faults);
  assert_true(played - heard < 0.02 * played);
  assert_int_equal(faults, 0);
}

int
main(void)
{
  const char* why = NULL;
  if (!fh_sampled_available(FH_FONT_TIMGM6MB, &why)) {
    printf("skipped: %s\n", why);
    return SKIPPED;
  }
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_runs), cmocka_unit_test(test_scales)};
  return cmocka_run_group_tests_name("sampled runs", tests, NULL, NULL);
}
