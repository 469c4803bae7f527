// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Acoustics of the plan against printed tables and worked examples

#undef NDEBUG

#include "command/measure/acoustics.h"

#include "../../air_table.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>

#define FH_FAR ((double)INFINITY) // also: outdoors, no room
#define FH_NONE ((double)NAN)

static void
close_to(const char* const what, const double found, const double wanted, const double tolerance)
{
  if (!(fabs(found - wanted) <= tolerance)) {
    fail_msg("%s: %.6g, wanted %.6g within %.3g", what, found, wanted, tolerance);
  }
}

/// 0 degrees: 331.3 m/s and c ~ sqrt(T) (ideal gas); 343.2 m/s at 20 degrees is the usual handbook value
static void
test_speed_of_sound(void** const state)
{
  (void)state;
  static const double rows[][2] = {{0, 331.30}, {10, 337.31}, {20, 343.21}, {30, 349.02}, {35, 351.89}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    close_to("speed", fh_speed_of_sound(rows[i][0]), rows[i][1], 0.005);
  }
  close_to("160 ft at 20 degrees, ms", 1000.0 * 160.0 * 0.3048 / fh_speed_of_sound(20.0), 142.1, 0.05);
}

static void
test_air_absorption(void** const state)
{
  (void)state;
  for (int row = 0; row < FH_AIR_ROWS; ++row) {
    for (int band = 0; band < FH_AIR_BANDS; ++band) {
      const double hz      = fh_octave_midband(band - 4);
      const double found   = 1000.0 * fh_air_absorption(hz, fh_air_table[row].celsius, fh_air_table[row].humidity);
      const double printed = fh_air_table[row].printed[band];
      char         what[64];
      snprintf(what, sizeof(what), "%g C, %g %%, %.0f Hz", fh_air_table[row].celsius, fh_air_table[row].humidity, hz);
      close_to(what, found, printed, fh_air_tolerance(printed));
    }
  }
}

/// IEC 61260-1 exact octave mid-bands
static void
test_octaves(void** const state)
{
  (void)state;
  static const double exact[] = {63.10, 125.89, 251.19, 501.19, 1000, 1995.26, 3981.07, 7943.28};
  for (int i = 0; i < 8; ++i) {
    close_to("mid-band", fh_octave_midband(i - 4), exact[i], 0.005);
  }
}

/// Inverse square law: 20 lg 2 and 20 lg 10; a level difference of a soloist between two distances
static void
test_distance(void** const state)
{
  (void)state;
  close_to("doubling", fh_distance_gain(1, 0) - fh_distance_gain(2, 0), 6.02, 0.005);
  close_to("decade", fh_distance_gain(1, 0) - fh_distance_gain(10, 0), 20.0, 1e-9);
  static const double far[]      = {1, 2, 5, 10};
  static const double hand[]     = {16.5, 22.5, 30.5, 36.5}; // from 0.15 m
  static const double two_hand[] = {10.5, 16.5, 24.4, 30.5}; // from 0.30 m
  for (int i = 0; i < 4; ++i) {
    close_to("0.15 m", fh_distance_gain(0.15, 0) - fh_distance_gain(far[i], 0), hand[i], 0.06);
    close_to("0.30 m", fh_distance_gain(0.30, 0) - fh_distance_gain(far[i], 0), two_hand[i], 0.06);
  }
  // A disc is a point from far away, and never louder than all its power at its centre
  close_to("disc from afar", fh_distance_gain(50, 0.5), fh_distance_gain(50, 0), 0.001);
  assert_true(fh_distance_gain(0.3, 0.5) < fh_distance_gain(0.3, 0));
  // Slow sum over rings against the closed form
  double sum = 0.0;
  for (int i = 0; i < 10000; ++i) {
    const double r = 0.8 * sqrt((i + 0.5) / 10000.0);
    sum += 1.0 / (0.4 * 0.4 + r * r) / 10000.0;
  }
  close_to("disc by rings", fh_distance_gain(0.4, 0.8), 10.0 * log10(sum), 0.001);
}

/// Polar table: Eargle, The Microphone Book, table 6-1 (efficiency, directivity index, distance factor, 90 and
/// 180 degrees, null), printed to one or two decimals
static void
test_patterns(void** const state)
{
  (void)state;
  static const struct {
    const char* name;
    double      efficiency, index, factor, side, back, null;
  } rows[] = {
    {"omni", 1, 0, 1, 0, 0, FH_NONE},
    {"subcardioid", 0.520, 2.84, 1.387, -3.1, -8.0, FH_NONE},
    {"cardioid", 0.333, 4.77, 1.732, -6.0, -FH_FAR, 180},
    {"supercardioid", 0.268, 5.72, 1.932, -8.7, -11.4, 125.3},
    {"hypercardioid", 0.25, 6.02, 2.000, -12.0, -6.0, 109.5},
    {"figure-8", 0.333, 4.77, 1.732, -FH_FAR, 0, 90},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const FhPattern* const p = fh_pattern_find(rows[i].name);
    assert_non_null(p);
    const double re = fh_pattern_efficiency(p);
    close_to("efficiency", re, rows[i].efficiency, 0.0005);
    close_to("directivity index", -10.0 * log10(re), rows[i].index, 0.005);
    close_to("distance factor", 1.0 / sqrt(re), rows[i].factor, 0.0006);
    const double side = fh_pattern_gain_ideal(p, 90);
    const double back = fh_pattern_gain_ideal(p, 180);
    isinf(rows[i].side) ? assert_true(isinf(side)) : close_to("90 degrees", side, rows[i].side, 0.05);
    isinf(rows[i].back) ? assert_true(isinf(back)) : close_to("180 degrees", back, rows[i].back, 0.05);
    isnan(rows[i].null) ? assert_true(isnan(fh_pattern_null(p)))
                        : close_to("null", fh_pattern_null(p), rows[i].null, 0.05);
    close_to("on axis", fh_pattern_gain(p, 0), 0, 1e-9);
  }
  assert_null(fh_pattern_find("shotgun"));
}

/// Ballou, Handbook for Sound Engineers, chapter 34, worked example in feet: 128, 45, 2, 90, three open microphones,
/// printed with the room (critical distance 31.2 ft) as PAG 11.7 dB and NAG 17.7 dB; 11.65 here, the distance being
/// itself rounded, hence 0.055
static void
test_acoustic_gain(void** const state)
{
  (void)state;
  close_to("outdoor", fh_potential_gain(128, 45, 2, 90, 3, FH_FAR), 19.33, 0.005);
  close_to("printed PAG", fh_potential_gain(128, 45, 2, 90, 3, 31.2), 11.7, 0.055);
  close_to("printed NAG", fh_needed_gain(128, 4, 31.2), 17.7, 0.0501);
  close_to("outdoor NAG", fh_needed_gain(128, 4, FH_FAR), 20.0 * log10(32.0), 1e-9);
  static const double nom[][2] = {{2, 3.01}, {4, 6.02}, {8, 9.03}};
  for (int i = 0; i < 3; ++i) {
    const double one = fh_potential_gain(20, 10, 0.2, 15, 1, FH_FAR);
    close_to("open mics", one - fh_potential_gain(20, 10, 0.2, 15, nom[i][0], FH_FAR), nom[i][1], 0.005);
  }
}

/// Coherent sum of a copy 20 lg 3 = 9.54 dB lower: 20 lg(1 +- 1/3). Books print "1 dB or less" (Everest, Master
/// Handbook of Acoustics, p. 198); the arithmetic says otherwise, and 1 dB of peak needs 18.3 dB
static void
test_three_to_one(void** const state)
{
  (void)state;
  double peak = 0, dip = 0;
  fh_comb_ripple(20.0 * log10(3.0), &peak, &dip);
  close_to("peak", peak, 2.50, 0.005);
  close_to("dip", dip, -3.52, 0.005);
  fh_comb_ripple(18.9, &peak, &dip);
  assert_true(peak < 1.0 && dip > -1.1);
}

/// NIOSH 98-126 and OSHA 29 CFR 1910.95 table G-16, printed hours
static void
test_exposure(void** const state)
{
  (void)state;
  static const double niosh[][2] = {{85, 8}, {88, 4}, {91, 2}, {94, 1}, {97, .5}, {100, .25}};
  static const double osha[][2]  =
    {{90, 8}, {92, 6}, {95, 4}, {97, 3}, {100, 2}, {102, 1.5}, {105, 1}, {110, .5}, {115, .25}};
  for (size_t i = 0; i < sizeof(niosh) / sizeof(niosh[0]); ++i) {
    close_to("NIOSH", fh_niosh_hours(niosh[i][0]), niosh[i][1], 1e-9);
  }
  for (size_t i = 0; i < sizeof(osha) / sizeof(osha[0]); ++i) {
    close_to("OSHA", fh_osha_hours(osha[i][0]), osha[i][1], 0.07); // the table rounds to half hours
  }
  close_to("OSHA above the table", fh_osha_hours(115.1), 0.0, 0.0);
}

/// Group delay is the slope of the phase. Far below all crossovers it is the sum of 2 / (Q w0)
static void
test_split(void** const state)
{
  (void)state;
  for (double hz = 20.0; hz < 20000.0; hz *= 1.3) {
    const double slope = (fh_split_phase(hz - 0.01) - fh_split_phase(hz + 0.01)) / (2.0 * 3.14159265358979 * 0.02);
    close_to("slope", fh_split_delay(hz), slope, 1e-7);
  }
  close_to("lowest", fh_split_delay(0.01), sqrt(2.0) / (3.14159265358979 * 150.0) * (2.0 - 1.0 / 64.0), 1e-8);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_speed_of_sound), cmocka_unit_test(test_air_absorption),
    cmocka_unit_test(test_octaves),        cmocka_unit_test(test_distance),
    cmocka_unit_test(test_patterns),       cmocka_unit_test(test_acoustic_gain),
    cmocka_unit_test(test_three_to_one),   cmocka_unit_test(test_exposure),
    cmocka_unit_test(test_split),
  };
  return cmocka_run_group_tests_name("acoustics", tests, NULL, NULL);
}
