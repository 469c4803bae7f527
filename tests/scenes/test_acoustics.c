// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The scenes' physics against published values.

#include "acoustics.h"

#include "../air_table.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define RATE 48000.0
#define FRAMES 48000

static const FhField mild = {20.0, 70.0, 0.0, -25.0, 50.0, 0.0};

static void
air_absorption_is_the_standards_table(void** const state)
{
  (void)state;
  for (int r = 0; r < FH_AIR_ROWS; ++r) {
    for (int band = 0; band < FH_AIR_BANDS; ++band) {
      const double hertz   = 1000.0 * pow(10.0, 0.3 * (band - 4)); // exact mid-bands, IEC 61260-1
      const double per_km  = 1000.0 * fh_air_absorption(hertz, fh_air_table[r].celsius, fh_air_table[r].humidity);
      const double printed = fh_air_table[r].printed[band];
      assert_true(fabs(per_km - printed) <= fh_air_tolerance(printed));
    }
  }
}

/// 343.2 m/s at 20 C, so 2.914 ms a metre; 331.3 at 0 C, 352 at 35 C
static void
speed_of_sound(void** const state)
{
  (void)state;
  assert_true(fabs(fh_speed_of_sound(0.0) - 331.3) < 0.01);
  assert_true(fabs(1000.0 / fh_speed_of_sound(20.0) - 2.914) < 0.0005);
  assert_true(fabs(fh_speed_of_sound(35.0) - 351.9) < 0.1);
}

/// Sum and centre of gravity of the response to an impulse: gain and delay at 0 Hz
static void
impulse(const double metres, double* const gain, double* const delay)
{
  float* const in  = (float*)calloc(FRAMES, sizeof(float));
  float* const out = (float*)calloc(FRAMES, sizeof(float));
  assert_true(in && out);
  in[0] = 1.0f;
  fh_add_path(in, out, FRAMES, RATE, metres, 1.0, &mild);
  double sum = 0.0, moment = 0.0;
  for (int n = 0; n < FRAMES; ++n) {
    sum += (double)out[n];
    moment += (double)out[n] * n;
  }
  *gain  = sum;
  *delay = moment / sum / RATE;
  free(in);
  free(out);
}

/// Free field: 6.02 dB less for each doubling of the distance, 2.914 ms later per metre (20 C)
static void
distance_law_and_delay(void** const state)
{
  (void)state;
  static const double metres[] = {0.15, 0.3, 1.0, 2.0, 7.77, 10.0, 20.0, 40.0};
  for (size_t i = 0; i < sizeof(metres) / sizeof(metres[0]); ++i) {
    double near, far, near_delay, far_delay;
    impulse(metres[i], &near, &near_delay);
    impulse(2.0 * metres[i], &far, &far_delay);
    assert_true(fabs(20.0 * log10(near / far) - 6.0206) < 0.001);
    assert_true(fabs(near - 1.0 / metres[i]) < 1e-5 / metres[i]);
    assert_true(fabs(near_delay - metres[i] * 0.002914) < 0.00001 + 0.0001 * metres[i] * 0.002914);
  }
}

/// At 4 kHz, 20 C and 70 %, 40 m of air take 0.92 dB beyond 1/r (22.9 dB/km, ISO 9613-2 table 2); the short filter may be
/// off by 0.25 dB
static void
air_dulls_the_distance(void** const state)
{
  (void)state;
  float* const in  = (float*)calloc(FRAMES, sizeof(float));
  float* const out = (float*)calloc(FRAMES, sizeof(float));
  assert_true(in && out);
  for (int n = 0; n < FRAMES; ++n) {
    in[n] = (float)sin(2.0 * 3.14159265358979 * 4000.0 / RATE * n);
  }
  fh_add_path(in, out, FRAMES, RATE, 40.0, 1.0, &mild);
  double power = 0.0;
  for (int n = FRAMES / 2; n < FRAMES; ++n) {
    power += (double)out[n] * (double)out[n] / (FRAMES / 2);
  }
  assert_true(fabs(10.0 * log10(power / 0.5) + 32.04 + 0.92) < 0.25);
  free(in);
  free(out);
}

/// First-order patterns: cardioid -6.0 dB at the side and nothing behind, figure-8 nothing at the side (J. Eargle,
/// The Microphone Book, table 6-1)
static void
microphone_patterns(void** const state)
{
  (void)state;
  const FhPoint front = {0, 5, 0}, side = {5, 0, 0}, back = {0, -5, 0};
  FhMic         mic = {{0, 0, 0}, {0, 1, 0}, 0.5};
  assert_true(fabs(fh_mic_gain(&mic, front) - 1.0) < 1e-9);
  assert_true(fabs(20.0 * log10(fh_mic_gain(&mic, side)) + 6.02) < 0.01);
  assert_true(fabs(fh_mic_gain(&mic, back)) < 1e-9);
  mic.omni = 0.0;
  assert_true(fabs(fh_mic_gain(&mic, side)) < 1e-9);
  mic.omni = 1.0;
  assert_true(fabs(fh_mic_gain(&mic, back) - 1.0) < 1e-9);
}

/// A ground that reflects all doubles the pressure of a source on it: 6.02 dB
static void
ground_doubles_pressure(void** const state)
{
  (void)state;
  const FhField hard = {20.0, 70.0, 1.0, -25.0, 50.0, 0.0};
  const FhMic   mic  = {{0, 0, 0}, {0, 1, 0}, 1.0};
  float* const  in   = (float*)calloc(FRAMES, sizeof(float));
  float* const  out  = (float*)calloc(FRAMES, sizeof(float));
  assert_true(in && out);
  in[0] = 1.0f;
  fh_add_source(in, (FhPoint){0, 10, 0}, &mic, out, FRAMES, RATE, &hard);
  double sum = 0.0;
  for (int n = 0; n < FRAMES; ++n) {
    sum += (double)out[n];
  }
  assert_true(fabs(20.0 * log10(sum * 10.0) - 6.0206) < 0.001);
  free(in);
  free(out);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(air_absorption_is_the_standards_table),
    cmocka_unit_test(speed_of_sound),
    cmocka_unit_test(distance_law_and_delay),
    cmocka_unit_test(air_dulls_the_distance),
    cmocka_unit_test(microphone_patterns),
    cmocka_unit_test(ground_doubles_pressure),
  };
  return cmocka_run_group_tests_name("acoustics of the scenes", tests, NULL, NULL);
}
