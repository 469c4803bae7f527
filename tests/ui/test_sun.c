// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What is left of the colours in the sun and in colour-blind eyes, and that the choice of them is kept

#define _POSIX_C_SOURCE 200809L // mkdtemp

#include "drawn.h"
#include "ui/settings.h"

#include "../dsp/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#define VEIL 150.0 ///< Sunlight that the screen's face throws back, cd/m2: a model

static const FhInk marks[] = {FH_INK_TEXT, FH_INK_CLOSE, FH_INK_PICKUP, FH_INK_LINE, FH_INK_OPEN, FH_INK_FAULT};
enum { MARKS = sizeof(marks) / sizeof(marks[0]) };

/// sRGB's curve, IEC 61966-2-1; to linear light 0..1
static double
linear(const uint32_t channel)
{
  const double c = (channel & 0xff) / 255.0;
  return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

/// Ratio of the luminances that reach the eye from a screen whose white has `white` cd/m2: Y of IEC 61966-2-1, with
/// the veil added to both
static double
veiled(const uint32_t a, const uint32_t b, const double white)
{
  const uint32_t rgb[2] = {a, b};
  double         seen[2];
  for (int i = 0; i < 2; ++i) {
    const double y = 0.2126 * linear(rgb[i] >> 16) + 0.7152 * linear(rgb[i] >> 8) + 0.0722 * linear(rgb[i]);
    seen[i]        = white * y + VEIL;
  }
  return fmax(seen[0], seen[1]) / fmin(seen[0], seen[1]);
}

/// CIE 1976 L*a*b* (CIE 15) of linear sRGB, white D65
static void
to_lab(const double rgb[3], double lab[3])
{
  static const double to_xyz[3][3] = {
    {0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}; // IEC 61966-2-1
  static const double white[3] = {0.9505, 1.0, 1.0890};
  double              f[3];
  for (int i = 0; i < 3; ++i) {
    double sum = 0.0;
    for (int k = 0; k < 3; ++k) {
      sum += to_xyz[i][k] * fmin(fmax(rgb[k], 0.0), 1.0);
    }
    const double t = sum / white[i];
    f[i]           = t > 216.0 / 24389.0 ? cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
  }
  lab[0] = 116.0 * f[1] - 16.0;
  lab[1] = 500.0 * (f[0] - f[1]);
  lab[2] = 200.0 * (f[1] - f[2]);
}

/// Machado, Oliveira, Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
/// Transactions on Visualization and Computer Graphics 15 (2009), severity 1.0, on linear light (from memory)
static const double sights[4][3][3] = {
  {{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}},
  {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
  {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
  {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
};
static const char* const sight_names[4] = {"full sight", "protanopia", "deuteranopia", "tritanopia"};

static void
seen_lab(const uint32_t rgb, const int sight, double lab[3])
{
  const double light[3] = {linear(rgb >> 16), linear(rgb >> 8), linear(rgb)};
  double       seen[3];
  for (int i = 0; i < 3; ++i) {
    seen[i] = sights[sight][i][0] * light[0] + sights[sight][i][1] * light[1] + sights[sight][i][2] * light[2];
  }
  to_lab(seen, lab);
}

/// CIE 1976 colour difference
static double
apart(const uint32_t a, const uint32_t b, const int sight)
{
  double p[3], q[3];
  seen_lab(a, sight, p);
  seen_lab(b, sight, q);
  return sqrt((p[0] - q[0]) * (p[0] - q[0]) + (p[1] - q[1]) * (p[1] - q[1]) + (p[2] - q[2]) * (p[2] - q[2]));
}

// L* of black, white and middle grey, and a* b* of sRGB's red (53.2, 80.1, 67.2: widely given, from memory). Grey stays
// grey in every sight: each row of a matrix adds up to 1
static void
formulas_give_the_known_values(void** const state)
{
  (void)state;
  check_near(apart(0x000000, 0xffffff, 0), 100.0, 0.05);
  double red[3];
  seen_lab(0xff0000, 0, red);
  check_near(red[0], 53.2, 0.1);
  check_near(red[1], 80.1, 0.2);
  check_near(red[2], 67.2, 0.2);
  for (int s = 0; s < 4; ++s) {
    double grey[3];
    seen_lab(0x808080, s, grey);
    check_near(hypot(grey[1], grey[2]), 0.0, 0.1);
  }
  check_near(veiled(0x000000, 0xffffff, 300.0), 3.0, 1e-12); // (300 + 150) / 150: no colours do better
  check_near(veiled(0x000000, 0xffffff, 525.0), 4.5, 1e-12); // The dimmest screen on which 4.5 can be had at all
}

static void
check_veiled(const FhInk ink, const FhInk back)
{
  const uint32_t* const rgb = fh_day.rgb;
  const double          dim = veiled(rgb[ink], rgb[back], 300.0), bright = veiled(rgb[ink], rgb[back], 900.0);
  if (dim < 2.5 || bright < 4.5) {
    fail_msg("ink %d on %d in the sun: %.2f:1 at 300 cd/m2, %.2f:1 at 900", (int)ink, (int)back, dim, bright);
  }
}

// A screen of 300 cd/m2 cannot give 4.5 under this veil; 2.5 of its 3.0 is asked, and 4.5 of one of 900
static void
day_reads_in_the_sun(void** const state)
{
  (void)state;
  static const FhInk lesser[] = {FH_INK_DIM, FH_INK_EDGE};
  for (int i = 0; i < MARKS; ++i) {
    check_veiled(marks[i], FH_INK_GROUND);
    check_veiled(marks[i], FH_INK_PANEL);
  }
  for (int i = 0; i < 2; ++i) {
    check_veiled(lesser[i], FH_INK_GROUND);
    check_veiled(lesser[i], FH_INK_PANEL);
  }
}

// 20 is our own line: several times what is seen beside each other (about 2.3, Mahy and others 1994, from memory)
static void
marks_stay_apart_in_colour_blind_eyes(void** const state)
{
  (void)state;
  const FhPalette* const palettes[] = {&fh_day, &fh_night};
  for (int p = 0; p < 2; ++p) {
    for (int i = 0; i < MARKS; ++i) {
      for (int k = 0; k < i; ++k) {
        for (int s = 0; s < 4; ++s) {
          const double far = apart(palettes[p]->rgb[marks[i]], palettes[p]->rgb[marks[k]], s);
          if (far < 20.0) {
            fail_msg("%s: inks %d and %d are %.1f apart in %s", p ? "night" : "day", (int)marks[i], (int)marks[k], far,
                     sight_names[s]);
          }
        }
      }
    }
  }
}

static void
write_file(const char* const path, const char* const text)
{
  FILE* const file = fopen(path, "w");
  assert_non_null(file);
  fputs(text, file);
  fclose(file);
}

// Where it is kept: XDG Base Directory Specification 0.8, "Environment variables"
static void
colours_are_kept(void** const state)
{
  (void)state;
  char home[] = "/tmp/fh_sun_XXXXXX", path[96], other[96];
  assert_non_null(mkdtemp(home));
  setenv("HOME", home, 1);
  unsetenv("XDG_CONFIG_HOME");
  assert_false(fh_settings_day());
  assert_int_equal(fh_settings_keep_day(true), 0);
  assert_true(fh_settings_day());
  snprintf(path, sizeof(path), "%s/.config/fronthash/window", home);
  assert_int_equal(access(path, R_OK), 0);

  snprintf(other, sizeof(other), "%s/elsewhere", home);
  setenv("XDG_CONFIG_HOME", other, 1);
  assert_false(fh_settings_day());
  assert_int_equal(fh_settings_keep_day(true), 0);
  assert_int_equal(fh_settings_keep_day(false), 0);
  assert_false(fh_settings_day());
  setenv("XDG_CONFIG_HOME", "not/absolute", 1); // To be ignored
  assert_true(fh_settings_day());

  write_file(path, "colours daylight\n"); // Nothing of ours
  assert_false(fh_settings_day());
  write_file(path, "");
  assert_false(fh_settings_day());

  // Where nothing can be kept it says so
  snprintf(path, sizeof(path), "%s/file", home);
  write_file(path, "mine");
  setenv("XDG_CONFIG_HOME", path, 1);
  assert_int_not_equal(fh_settings_keep_day(true), 0);
  assert_false(fh_settings_day());
  unsetenv("HOME");
  unsetenv("XDG_CONFIG_HOME");
  assert_int_not_equal(fh_settings_keep_day(true), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(formulas_give_the_known_values),
    cmocka_unit_test(day_reads_in_the_sun),
    cmocka_unit_test(marks_stay_apart_in_colour_blind_eyes),
    cmocka_unit_test(colours_are_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
