// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Made-up soundchecks with one known fault each: the check names that fault and no other

#undef NDEBUG

#include "soundcheck.h"

#include "../../noise.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// Delay within one sample, levels within 1 dB, as promised to the user
#define DELAY_FRAMES 1.0
#define LEVEL_DB 1.0

#define FH_ANY ((double)NAN)

typedef struct {
  FhCheckKind kind;
  size_t      closes;
  FhMadeFault fault;
  const char* code;  ///< The one fault to be named; NULL for none
  double      value; ///< Its figure; FH_ANY where there is nothing to compare
  double      tolerance;
} Row;

static const Row rows[] = {
  {FH_CHECK_SOLOIST, 1, FH_MADE_SOUND, NULL, 0, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_LATE, "arrival", FH_MADE_DELAY / 48.0 + 45.0, DELAY_FRAMES / 48.0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_EARLY, "arrival", FH_MADE_DELAY / 48.0 - 15.0, DELAY_FRAMES / 48.0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_SWAPPED, "swapped", 24.01, LEVEL_DB}, // 20 lg(1 / 0.063)
  {FH_CHECK_SOLOIST, 1, FH_MADE_INVERTED, "polarity", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_HUM_50, "hum", FH_MADE_HUM_LEVEL, LEVEL_DB},
  {FH_CHECK_SOLOIST, 1, FH_MADE_HUM_60, "hum", FH_MADE_HUM_LEVEL, LEVEL_DB},
  {FH_CHECK_SOLOIST, 1, FH_MADE_WIND, "wind", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_CLIPPED, "clipping", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_DEAD, "no_signal", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_SAME, "same_signal", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_NEAR, "ambient_near", 4.44, LEVEL_DB}, // 20 lg(1 / 0.6)
  {FH_CHECK_SOLOIST, 1, FH_MADE_HOT, "note_loud", 11.0, LEVEL_DB},
  {FH_CHECK_SOLOIST, 1, FH_MADE_LOW, "note_soft", -12.0, LEVEL_DB},
  {FH_CHECK_SOLOIST, 1, FH_MADE_REGISTER, "register", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_AWAY, "off_axis", FH_ANY, 0},
  {FH_CHECK_SOLOIST, 1, FH_MADE_FAINT, "low_level", FH_ANY, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_SOUND, NULL, 0, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_LATE, "arrival", FH_MADE_DELAY / 48.0 + 45.0, DELAY_FRAMES / 48.0},
  {FH_CHECK_GROUP, 1, FH_MADE_SWAPPED, "swapped", 24.01, LEVEL_DB},
  {FH_CHECK_GROUP, 1, FH_MADE_INVERTED, "polarity", FH_ANY, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_HUM_50, "hum", FH_MADE_HUM_LEVEL, LEVEL_DB},
  {FH_CHECK_GROUP, 1, FH_MADE_WIND, "wind", FH_ANY, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_CLIPPED, "clipping", FH_ANY, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_DEAD, "no_signal", FH_ANY, 0},
  {FH_CHECK_GROUP, 1, FH_MADE_LOW, "player_soft", -6.0, LEVEL_DB},
  {FH_CHECK_GROUP, 1, FH_MADE_HOT, "player_loud", 6.0, LEVEL_DB},
  // 100 Hz to 8 kHz of 24 kHz: 10 lg 0.33
  {FH_CHECK_GROUP, 1, FH_MADE_HISS, "noise", FH_MADE_HISS_LEVEL - 4.8, LEVEL_DB},
  {FH_CHECK_MALLETS, 1, FH_MADE_SOUND, NULL, 0, 0},
  {FH_CHECK_MALLETS, 1, FH_MADE_INVERTED, "polarity", FH_ANY, 0},
  {FH_CHECK_MALLETS, 1, FH_MADE_SWAPPED, "swapped", FH_ANY, 0},
  {FH_CHECK_MALLETS, 1, FH_MADE_HOT, "bar_loud", 9.0, LEVEL_DB},
  {FH_CHECK_MALLETS, 2, FH_MADE_SOUND, NULL, 0, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_LATE, "arrival", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_EARLY, "arrival", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_SWAPPED, "swapped", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_INVERTED, "polarity", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_INVERTED_PAIR, "polarity", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_HUM_60, "hum", FH_MADE_HUM_LEVEL, LEVEL_DB},
  {FH_CHECK_MALLETS, 2, FH_MADE_WIND, "wind", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_CLIPPED, "clipping", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_DEAD, "no_signal", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_SAME, "same_signal", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_HOT, "bar_loud", 9.0, LEVEL_DB},
  {FH_CHECK_MALLETS, 2, FH_MADE_HOT_MIC, "bar_loud", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_LOW, "bar_soft", -12.0, LEVEL_DB},
  {FH_CHECK_MALLETS, 2, FH_MADE_PAIR_LATE, "pair_delay", 8.0, DELAY_FRAMES / 48.0},
  {FH_CHECK_MALLETS, 2, FH_MADE_FEW, "too_few_bars", 6.0, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_HOLE, "hole", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_BULGE, "bulge", FH_ANY, 0},
  {FH_CHECK_MALLETS, 2, FH_MADE_SLID, "crossover", 48.0 + 18.0 * 1.6, 2.0}, // 1.2 and 2 m of 36 bars on 2 m: at 1.6 m
  {FH_CHECK_MALLETS, 2, FH_MADE_ONE_LOUD, "no_crossover", 20.0, LEVEL_DB},
};

typedef struct {
  FhCheckKind kind;
  size_t      closes;
  double      rate;
  FhMadeFault fault;
  FhReport*   report;
} Known;

static Known  known[128];
static size_t known_count;

static int
forget(void** const state)
{
  (void)state;
  while (known_count) {
    free(known[--known_count].report);
  }
  return 0;
}

/// What a made-up soundcheck gives with the usual options, found once
static const FhReport*
report_of(const FhCheckKind kind, const size_t closes, const double rate, const FhMadeFault fault)
{
  for (size_t i = 0; i < known_count; ++i) {
    const Known* const k = &known[i];
    if (k->kind == kind && k->closes == closes && k->rate == rate && k->fault == fault) {
      return k->report;
    }
  }
  assert_true(known_count < sizeof(known) / sizeof(known[0]));
  FhMade               made    = fh_make_soundcheck(kind, closes, rate, fault, 1);
  const FhCheckOptions options = fh_made_options(kind);
  FhReport* const      report  = calloc(1, sizeof(*report));
  assert_non_null(report);
  assert_true(fh_check(&made.take, &options, report));
  fh_made_free(&made);
  known[known_count++] = (Known){kind, closes, rate, fault, report};
  return report;
}

/// @return Number of complaints about one row
static int
check_row(const Row* const row, const double rate, const size_t number)
{
  const FhReport* const report = report_of(row->kind, row->closes, rate, row->fault);
  int                   wrong  = 0;
  bool                  named  = false;
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    if (f->fault && row->code && !strcmp(f->code, row->code)) {
      named = true;
      if (!isnan(row->value) && !(fabs(f->value - row->value) <= row->tolerance)) {
        print_error("row %zu at %.0f Hz: %s is %.4f, wanted %.4f\n", number, rate, f->code, f->value, row->value);
        ++wrong;
      }
    } else if (f->fault) {
      print_error("row %zu at %.0f Hz: no such fault: %s\n", number, rate, f->text);
      ++wrong;
    }
  }
  if (row->code && !named) {
    print_error("row %zu at %.0f Hz: %s is not named\n", number, rate, row->code);
    ++wrong;
  }
  return wrong;
}

/// Is a code met for the first time? Sound takes are, each
static bool
is_first(const size_t at)
{
  for (size_t i = 0; rows[at].code && i < at; ++i) {
    if (rows[i].code && !strcmp(rows[i].code, rows[at].code)) {
      return false;
    }
  }
  return true;
}

/// Every code once; with FH_THOROUGH in the environment every fault of every kind
static void
test_each_fault_and_no_other(void** const state)
{
  (void)state;
  const bool all   = getenv("FH_THOROUGH") != NULL;
  int        wrong = 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    wrong += all || is_first(i) ? check_row(&rows[i], 48000.0, i) : 0;
  }
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); i += all ? 9 : 27) { // another rate, for some
    wrong += check_row(&rows[i], 44100.0, i);
  }
  assert_int_equal(wrong, 0);
}

static void
test_arrival_against_distance(void** const state)
{
  (void)state;
  FhMade          made    = fh_make_soundcheck(FH_CHECK_SOLOIST, 1, 48000.0, FH_MADE_SOUND, 1);
  FhCheckOptions  options = fh_made_options(FH_CHECK_SOLOIST);
  FhReport* const report  = calloc(1, sizeof(*report));
  assert_non_null(report);
  // The delay of the soundcheck is that of 2.03 m
  options.ambient_distance = 2.2;
  options.mic_distance     = 0.17;
  assert_true(fh_check(&made.take, &options, report));
  assert_false(fh_found(&report->findings, "arrival"));
  options.ambient_distance = 5.0;
  assert_true(fh_check(&made.take, &options, report));
  assert_true(fh_found(&report->findings, "arrival"));
  options.planned = true; // by a show file; who marches need not stand there
  assert_true(fh_check(&made.take, &options, report));
  assert_false(fh_found(&report->findings, "arrival"));
  free(report);
  fh_made_free(&made);
}

/// Notes of the scale and bars of the run, all found, none invented; pitch within 10 cents
static void
test_notes_and_bars(void** const state)
{
  (void)state;
  static const int scale[] = {0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24};
  const FhReport*  report  = report_of(FH_CHECK_SOLOIST, 1, 48000.0, FH_MADE_SOUND);
  assert_int_equal(report->count, 15);
  for (int i = 0; i < 15; ++i) {
    assert_int_equal(report->places[i].note, 57 + scale[i]);
  }
  report = report_of(FH_CHECK_MALLETS, 2, 48000.0, FH_MADE_SOUND);
  assert_int_equal(report->count, FH_MADE_BARS);
  for (int i = 0; i < FH_MADE_BARS; ++i) {
    assert_int_equal(report->places[i].note, FH_MADE_LOWEST + i);
    assert_int_equal(report->places[i].strokes, 1);
  }
  assert_true(report->pitch_error < 10.0);
  // Microphones at 0.5 and 1.5 m of 2 m meet at bar 18 of 0..36
  assert_in_range(report->crossover, FH_MADE_LOWEST + 17, FH_MADE_LOWEST + 20);
}

static double
register_of(const FhMadeFault fault)
{
  const FhReport* const report = report_of(FH_CHECK_SOLOIST, 1, 48000.0, fault);
  double                value  = FH_ANY;
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    value                    = !strcmp(f->code, "range") ? f->value : value;
  }
  return value;
}

/// A scale that falls by 18 dB over 14 steps: the high third lies ten steps above the low one
static void
test_register(void** const state)
{
  (void)state;
  const double fell = register_of(FH_MADE_REGISTER) - register_of(FH_MADE_SOUND);
  assert_true(fabs(fell + 18.0 * 10.0 / 14.0) < LEVEL_DB);
}

/// The louder of a bar in one microphone is told from a bar that is loud in both
static void
test_which_microphone(void** const state)
{
  (void)state;
  for (int both = 0; both < 2; ++both) {
    const FhReport* const report   = report_of(FH_CHECK_MALLETS, 2, 48000.0, both ? FH_MADE_HOT : FH_MADE_HOT_MIC);
    const char*           sentence = "";
    for (size_t i = 0; i < report->findings.count; ++i) {
      if (!strcmp(report->findings.list[i].code, "bar_loud")) {
        sentence = report->findings.list[i].text;
      }
    }
    assert_non_null(strstr(sentence, "Ab4")); // bar 20 above C3
    assert_non_null(strstr(sentence, both ? "both microphones" : "close microphone 1, too near"));
  }
}

/// Music on the bars is no run: say so, and judge no bar
static void
test_music_is_no_run(void** const state)
{
  (void)state;
  FhReport* const report = calloc(1, sizeof(*report));
  FhStroke        list[60];
  assert_non_null(report);
  for (int run = 0; run < 2; ++run) {
    memset(report, 0, sizeof(*report));
    for (int i = 0; i < 60; ++i) {
      const int note = run ? 48 + i % 40 : 48 + (i * i * 7) % 40;
      list[i]        =
        (FhStroke){.start = (size_t)i * 20000, .hz = 440.0, .note = note, .level = {-20.0, -20.0}, .total = -17.0};
    }
    const FhStrokes    strokes = {60, 60, list};
    const FhSoundcheck take    = {.closes = 1, .frames = 1200000, .rate = 48000.0};
    assert_true(fh_check_mallets(&take, &strokes, report));
    assert_true(fh_found(&report->findings, "no_run") == !run);
  }
  free(report);
}

/// Silence, a click, a constant, noise: no crash, nothing absurd
static void
test_odd_takes(void** const state)
{
  (void)state;
  const size_t    frames = 48000 * 2;
  float* const    odd    = calloc(frames, sizeof(float));
  FhReport* const report = calloc(1, sizeof(*report));
  assert_non_null(odd);
  assert_non_null(report);
  uint32_t seed = 7;
  for (int what = 0; what < 4; ++what) {
    for (size_t i = 0; i < frames; ++i) {
      const float noise = (float)(int32_t)fh_noise_next(&seed) * 1e-10f;
      odd[i]            = what == 1 ? (i == 9999 ? 1.0f : 0.0f) : what == 2 ? 0.5f : what == 3 ? noise : 0.0f;
    }
    for (int kind = 0; kind < 3; ++kind) {
      for (size_t closes = 1; closes <= 2; ++closes) {
        const FhSoundcheck   take    = {.mic = {odd, odd, odd}, .closes = closes, .frames = frames, .rate = 48000.0};
        const FhCheckOptions options = fh_made_options((FhCheckKind)kind);
        assert_true(fh_check(&take, &options, report));
        assert_true(report->findings.count > 0);
      }
    }
  }
  free(report);
  free(odd);
}

/// Low noise at the ambient microphone, at 12 dB under what else it hears: in gusts it is wind, evenly it is a breeze
static void
test_breeze_is_no_wind(void** const state)
{
  (void)state;
  for (int gusts = 0; gusts < 2; ++gusts) {
    FhMade         made   = fh_make_soundcheck(FH_CHECK_GROUP, 1, 48000.0, FH_MADE_SOUND, 1);
    const size_t   frames = made.take.frames;
    float* const   heard  = made.memory + frames;
    uint32_t       seed   = 5;
    double         low = 0.0, power[2] = {0.0, 0.0};
    double* const  wind   = calloc(frames, sizeof(double));
    FhFindings     found  = {0};
    assert_non_null(wind);
    for (size_t i = 0; i < frames; ++i) {
      low += 0.005 * ((double)(int32_t)fh_noise_next(&seed) / 2147483648.0 - low); // 40 Hz
      wind[i] = low * (gusts ? fmax(0.05, sin(1.5 * (double)i / 48000.0)) : 1.0);
      power[0] += wind[i] * wind[i];
      power[1] += (double)heard[i] * (double)heard[i];
    }
    for (size_t i = 0; i < frames; ++i) {
      heard[i] += (float)(0.25 * sqrt(power[1] / power[0]) * wind[i]);
    }
    assert_true(fh_check_mains_and_wind(&made.take, &found));
    assert_int_equal(fh_found(&found, "wind"), gusts);
    free(wind);
    fh_made_free(&made);
  }
}

/// Levels that fall evenly over the range are the instrument's; that swell in the middle of it, the microphone's
static void
test_spread_is_no_slope(void** const state)
{
  (void)state;
  static FhReport report;
  for (int swells = 0; swells < 2; ++swells) {
    FhStrokes          strokes = {0};
    const FhSoundcheck take    = {.closes = 1};
    for (int i = 0; i < 36; ++i) {
      const double   level  = -30.0 - (swells ? fabs(i - 17.5) : (double)i) * 16.0 / (swells ? 18.0 : 36.0);
      const FhStroke stroke = {.hz = 440.0 * pow(2.0, (i - 4) / 12.0), .note = 65 + i, .level = {level}, .total = level};
      assert_true(fh_strokes_add(&strokes, &stroke));
    }
    memset(&report, 0, sizeof(report));
    assert_true(fh_check_mallets(&take, &strokes, &report));
    assert_int_equal(fh_found(&report.findings, "uneven"), swells);
    fh_strokes_free(&strokes);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_each_fault_and_no_other),
    cmocka_unit_test(test_arrival_against_distance),
    cmocka_unit_test(test_notes_and_bars),
    cmocka_unit_test(test_register),
    cmocka_unit_test(test_which_microphone),
    cmocka_unit_test(test_music_is_no_run),
    cmocka_unit_test(test_odd_takes),
    cmocka_unit_test(test_breeze_is_no_wind),
    cmocka_unit_test(test_spread_is_no_slope),
  };
  return cmocka_run_group_tests_name("check", tests, NULL, forget);
}
