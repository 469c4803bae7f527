// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Soundchecks with two faults at once: both are named, and no other; and many sound ones: none is named

#undef NDEBUG

#include "soundcheck.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  FhMadeFault fault;
  const char* code;
} Known;

#define MOST 24

/// One way to check, and the faults that can be made in it
typedef struct {
  const char* name;
  FhCheckKind kind;
  size_t      closes;
  Known       known[MOST];
} Way;

static const Way ways[] = {
  {"soloist", FH_CHECK_SOLOIST, 1,
   {{FH_MADE_LATE, "arrival"}, {FH_MADE_EARLY, "arrival"}, {FH_MADE_SWAPPED, "swapped"}, {FH_MADE_INVERTED, "polarity"},
    {FH_MADE_HUM_50, "hum"}, {FH_MADE_HUM_60, "hum"}, {FH_MADE_WIND, "wind"}, {FH_MADE_CLIPPED, "clipping"},
    {FH_MADE_DEAD, "no_signal"}, {FH_MADE_SAME, "same_signal"}, {FH_MADE_NEAR, "ambient_near"},
    {FH_MADE_HOT, "note_loud"},
    {FH_MADE_LOW, "note_soft"}, {FH_MADE_FAINT, "low_level"}, {FH_MADE_REGISTER, "register"}, {FH_MADE_AWAY, "off_axis"}}},
  {"group", FH_CHECK_GROUP, 1,
   {{FH_MADE_LATE, "arrival"}, {FH_MADE_EARLY, "arrival"}, {FH_MADE_SWAPPED, "swapped"}, {FH_MADE_INVERTED, "polarity"},
    {FH_MADE_HUM_50, "hum"}, {FH_MADE_HUM_60, "hum"}, {FH_MADE_WIND, "wind"}, {FH_MADE_CLIPPED, "clipping"},
    {FH_MADE_DEAD, "no_signal"}, {FH_MADE_SAME, "same_signal"}, {FH_MADE_HOT, "player_loud"},
    {FH_MADE_LOW, "player_soft"},
    {FH_MADE_FAINT, "low_level"}, {FH_MADE_HISS, "noise"}}},
  {"mallets", FH_CHECK_MALLETS, 2,
   {{FH_MADE_LATE, "arrival"}, {FH_MADE_EARLY, "arrival"}, {FH_MADE_SWAPPED, "swapped"}, {FH_MADE_INVERTED, "polarity"},
    {FH_MADE_INVERTED_PAIR, "polarity"}, {FH_MADE_HUM_50, "hum"}, {FH_MADE_HUM_60, "hum"}, {FH_MADE_WIND, "wind"},
    {FH_MADE_CLIPPED, "clipping"}, {FH_MADE_DEAD, "no_signal"}, {FH_MADE_SAME, "same_signal"},
    {FH_MADE_HOT, "bar_loud"},
    {FH_MADE_HOT_MIC, "bar_loud"}, {FH_MADE_LOW, "bar_soft"}, {FH_MADE_PAIR_LATE, "pair_delay"},
    {FH_MADE_FAINT, "low_level"},
    {FH_MADE_FEW, "too_few_bars"}, {FH_MADE_HOLE, "hole"}, {FH_MADE_BULGE, "bulge"}, {FH_MADE_SLID, "crossover"},
    {FH_MADE_ONE_LOUD, "no_crossover"}}},
};

#define WAYS (sizeof(ways) / sizeof(ways[0]))

#define PLACES (FH_MADE_HOLE | FH_MADE_BULGE | FH_MADE_SLID | FH_MADE_ONE_LOUD)
#define OF_BARS (PLACES | FH_MADE_HOT | FH_MADE_HOT_MIC | FH_MADE_LOW | FH_MADE_PAIR_LATE)
#define OF_AMBIENT                                                                                \
  (FH_MADE_LATE | FH_MADE_EARLY | FH_MADE_SWAPPED | FH_MADE_INVERTED | FH_MADE_HUM_60 | FH_MADE_WIND | FH_MADE_NEAR)

/// Pairs that nobody could tell, with the reason
static const struct {
  unsigned first, second; ///< Any of these with any of those
} unknowable[] = {
  {FH_MADE_DEAD, OF_AMBIENT | FH_MADE_SAME},  // there is no ambient microphone to say anything of
  {FH_MADE_SAME, OF_AMBIENT},                 // nor here
  {FH_MADE_EARLY, FH_MADE_SWAPPED},           // the same as an ambient microphone with much gain, and all well
  {FH_MADE_SAME, FH_MADE_HUM_50},             // in both, then
  {PLACES, PLACES},                           // they stand in one place only
  {FH_MADE_FEW, OF_BARS},                     // the bars that would show it are not played
  {FH_MADE_HOLE, FH_MADE_PAIR_LATE},          // the middle is too faint to compare
  // 4 dB drown
  {FH_MADE_NEAR, FH_MADE_LATE | FH_MADE_EARLY | FH_MADE_HUM_50 | FH_MADE_HUM_60 | FH_MADE_WIND | FH_MADE_CLIPPED},
  {FH_MADE_HUM_60, FH_MADE_LATE | FH_MADE_EARLY | FH_MADE_INVERTED}, // it is as loud there as the soloist
  // half the scale is under the field in what is taken for the close microphone
  {FH_MADE_REGISTER, FH_MADE_SWAPPED},
};

static bool
can_be_told(const FhMadeFault a, const FhMadeFault b)
{
  for (size_t i = 0; i < sizeof(unknowable) / sizeof(unknowable[0]); ++i) {
    const unsigned x = unknowable[i].first, y = unknowable[i].second;
    if ((((unsigned)a & x) && ((unsigned)b & y)) || (((unsigned)b & x) && ((unsigned)a & y))) {
      return false;
    }
  }
  return true;
}

/// @return 1 if something is said that is not so, or not said that is
static int
check(const Way* const way, const Known* const first, const Known* const second, const unsigned seed, const double rate)
{
  const Known          none    = {FH_MADE_SOUND, "sound"};
  const Known* const   both[]  = {first ? first : &none, second ? second : &none};
  const unsigned       faults  = (unsigned)both[0]->fault | (unsigned)both[1]->fault;
  FhMade               made    = fh_make_soundcheck(way->kind, way->closes, rate, faults, seed);
  const FhCheckOptions options = fh_made_options(way->kind);
  FhReport* const      report  = calloc(1, sizeof(*report));
  int                  wrong   = 0;
  char                 what[128];
  snprintf(what, sizeof(what), "%s of %s and %s, take %u at %.0f Hz", way->name, both[0]->code, both[1]->code, seed,
           rate);
  assert_non_null(report);
  assert_true(fh_check(&made.take, &options, report));
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    if (f->fault && strcmp(f->code, both[0]->code) && strcmp(f->code, both[1]->code)) {
      print_error("%s: no such fault: %s\n", what, f->text);
      wrong = 1;
    }
  }
  for (int k = 0; k < 2; ++k) {
    if (both[k]->fault && !fh_found(&report->findings, both[k]->code)) {
      print_error("%s: %s is not named\n", what, both[k]->code);
      wrong = 1;
    }
  }
  free(report);
  fh_made_free(&made);
  return wrong;
}

/// Each way to check with nothing wrong: an uneven hand, other rests, noises, places, rates. False alarms are worst
static void
test_sound_takes(void** const state)
{
  (void)state;
  static const double rates[] = {48000.0, 44100.0, 96000.0};
  const unsigned      most    = *state ? 40 : 2;
  int                 wrong   = 0;
  for (size_t w = 0; w < WAYS; ++w) {
    for (unsigned seed = 2; seed < 2 + most; ++seed) {
      wrong += check(&ways[w], NULL, NULL, seed, rates[seed % 3]);
    }
  }
  assert_int_equal(wrong, 0);
}

/// Faults by themselves, in other takes than those of test_check: every sixth, or all
static void
test_each(void** const state)
{
  int wrong = 0;
  for (size_t w = 0; w < WAYS; ++w) {
    for (unsigned i = 0; ways[w].known[i].code; ++i) {
      if (*state || i % 6 == 0) {
        wrong += check(&ways[w], &ways[w].known[i], NULL, 2 + i, i % 2 ? 44100.0 : 48000.0);
      }
    }
  }
  assert_int_equal(wrong, 0);
}

/// Two at once: one pair in sixty-seven, or all of them where so many are asked for
static void
test_two_at_once(void** const state)
{
  const unsigned step  = *state ? 1 : 67;
  int            wrong = 0, tried = 0, left = 0;
  for (size_t w = 0; w < WAYS; ++w) {
    unsigned number = 0;
    for (unsigned i = 0; ways[w].known[i].code; ++i) {
      for (unsigned j = 0; j < i; ++j, ++number) {
        const bool told = can_be_told(ways[w].known[i].fault, ways[w].known[j].fault);
        left += !told;
        if (told && number % step == 0) {
          wrong += check(&ways[w], &ways[w].known[i], &ways[w].known[j], 1, 48000.0);
          ++tried;
        }
      }
    }
  }
  print_message("%d pairs tried, %d wrong; %d nobody could tell\n", tried, wrong, left);
  assert_int_equal(wrong, 0);
}

/// test_combos [all], or FH_THOROUGH in the environment: some minutes
int
main(const int argc, char** const argv)
{
  void* const             all     = (argc > 1 && !strcmp(argv[1], "all")) || getenv("FH_THOROUGH") ? (void*)argv : NULL;
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_prestate(test_sound_takes, all),
    cmocka_unit_test_prestate(test_each, all),
    cmocka_unit_test_prestate(test_two_at_once, all),
  };
  return cmocka_run_group_tests_name("two faults", tests, NULL, NULL);
}
