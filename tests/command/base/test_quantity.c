// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Lengths and temperatures as people write them. 1 ft = 0.3048 m and 1 in = 0.0254 m exactly (NIST SP 811)

#undef NDEBUG

#include "command/base/quantity.h"

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
    // As typed on a field: words, plurals, capitals, points, dashes, fractions, commas, curly marks and primes
    {"170cm", 1.7},         {"1.7 metres", 1.7},   {"1.7 Meters", 1.7},  {"20 centimetres", 0.2}, {"1m 70cm", 1.7},
    {"1,7m", 1.7},          {"1,75 m", 1.75},      {"2M", 2.0},          {"6 inches", 0.1524},    {"1 inch", 0.0254},
    {"6 IN", 0.1524},       {"6in.", 0.1524},      {"5''", 0.127},       {"5'6", 1.6764},         {"5'-6\"", 1.6764},
    {"5ft-6in", 1.6764},    {"5 ft. 6 in.", 1.6764}, {"5 feet, 6 inches", 1.6764}, {"5.5ft", 1.6764},
    {"10 Yards", 9.144},
    {"1/2in", 0.0127},      {"6 1/2 in", 0.1651},  {"5' 6 1/2\"", 1.6891}, {"2\u00bd ft", 0.762},
    {"5\u20196\u201d", 1.6764}, {"5\u20326\u2033", 1.6764}, {"5\u20196\u2019\u2019", 1.6764},
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
                                     "inf ft", "0x10m", "2ft6ftin", "1m2m", "2ft 6in 3",   "1 m x",  "1m 20in",
                                     "1e999m",
                                     "1,500m", "1,m",   "6inn",     "5ft-",   "1/0in",     "3/2in",  "1.5 1/2in",
                                     "1/2",    "5ft--6in", "6 miles", "2'6''3"};
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
  } rows[] = {{"20", 20}, {"20C", 20}, {"-5", -5}, {"68F", 20}, {"32 F", 0}, {"-40F", -40},
              {"20c", 20}, {"20\u00b0C", 20}, {"20 \u00b0C", 20}, {"20 degC", 20}, {"68f", 20}, {"68 degrees F", 20},
              {"68 Fahrenheit", 20}, {"20,5 C", 20.5}};
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
  assert_false(fh_parse_quantity("30 degreesF", "deg|degrees", &untouched));
  assert_true(fh_parse_quantity("-3 db", "dB", &untouched) && untouched == -3.0);
  assert_true(fh_parse_quantity("45 degrees", "deg|degrees", &untouched) && untouched == 45.0);
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
  assert_string_equal(fh_format_hours(text, sizeof(text), 0.0), "none");
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
