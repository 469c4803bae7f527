// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Lengths and temperatures as people write them. 1 ft = 0.3048 m and 1 in = 0.0254 m exactly (NIST SP 811)

#undef NDEBUG

#include "quantity.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

static void
test_lengths(void** const state)
{
  (void)state;
  static const struct {
    const char* text;
    double      metres;
  } rows[] = {
    {"1.5m", 1.5},      {" 15 cm ", 0.15}, {"150mm", 0.15},   {"6in", 0.1524},   {"2ft6in", 0.762}, {"2ft 6 in", 0.762},
    {"2'6\"", 0.762},   {"6\"", 0.1524},   {"5'", 1.524},     {"2ft6", 0.762},   {"40yd", 36.576},  {".5m", 0.5},
    {"10 feet", 3.048}, {"1 foot", 0.3048}, {"0m", 0.0},      {"1e1m", 10.0},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    double metres = -1.0;
    if (!fh_parse_length(rows[i].text, &metres) || fabs(metres - rows[i].metres) > 1e-12) {
      fail_msg("\"%s\" read as %g m", rows[i].text, metres);
    }
  }
}

static void
test_not_lengths(void** const state)
{
  (void)state;
  static const char* const rows[] = {"",       "15",    "m",       "-1m",  "1.5 furlong", "6in2ft", "1m50",   "nan m",
                                     "inf ft", "0x10m", "2ft6ftin", "1m2m", "2ft 6in 3",   "1 m x",  "1m 20in", "1e999m"};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    double metres = 7.0;
    if (fh_parse_length(rows[i], &metres)) {
      fail_msg("\"%s\" read as %g m", rows[i], metres);
    }
    assert_true(metres == 7.0);
  }
}

static void
test_temperatures(void** const state)
{
  (void)state;
  static const struct {
    const char* text;
    double      celsius;
  } rows[] = {{"20", 20}, {"20C", 20}, {"-5", -5}, {"68F", 20}, {"32 F", 0}, {"-40F", -40}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    double celsius = 0.0;
    assert_true(fh_parse_temperature(rows[i].text, &celsius));
    assert_true(fabs(celsius - rows[i].celsius) < 1e-9);
  }
  double untouched = 1.0;
  assert_false(fh_parse_temperature("20K", &untouched));
  assert_false(fh_parse_temperature("warm", &untouched));
  assert_false(fh_parse_quantity("12 dBA", "dB", &untouched));
  assert_true(untouched == 1.0);
  assert_true(fh_parse_quantity("-3 dB", "dB", &untouched) && untouched == -3.0);
}

static void
test_formats(void** const state)
{
  (void)state;
  char text[64];
  assert_string_equal(fh_format_length(text, sizeof(text), 1.524), "1.52 m (5 ft 0 in)");
  assert_string_equal(fh_format_length(text, sizeof(text), 0.1524), "15 cm (6.0 in)");
  assert_string_equal(fh_format_length(text, sizeof(text), 36.576), "36.6 m (120 ft 0 in)");
  assert_string_equal(fh_format_hours(text, sizeof(text), 8.0), "8.0 h");
  assert_string_equal(fh_format_hours(text, sizeof(text), 0.25), "15 min");
  assert_string_equal(fh_format_hours(text, sizeof(text), 0.01), "36 s");
  assert_string_equal(fh_format_hours(text, sizeof(text), 50.0), "no limit");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_lengths),
    cmocka_unit_test(test_not_lengths),
    cmocka_unit_test(test_temperatures),
    cmocka_unit_test(test_formats),
  };
  return cmocka_run_group_tests_name("quantity", tests, NULL, NULL);
}
