// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/acoustics.h"

#include <math.h>
#include <string.h>

#define FH_PI 3.14159265358979323846
#define FH_NULL_FLOOR (-25.0) // dB

const FhPattern fh_patterns[] = {
  {"omni", 1.0},
  {"subcardioid", 0.7},
  {"cardioid", 0.5},
  {"supercardioid", 0.3660254037844386}, // (sqrt 3 - 1) / 2
  {"hypercardioid", 0.25},
  {"figure-8", 0.0},
};
const size_t fh_pattern_count = sizeof(fh_patterns) / sizeof(fh_patterns[0]);

double
fh_speed_of_sound(const double celsius)
{
  return 331.3 * sqrt(1.0 + celsius / 273.15);
}

double
fh_air_absorption(const double hz, const double celsius, const double humidity)
{
  const double t       = (celsius + 273.15) / 293.15; // relative to 20 degrees
  const double kelvin  = celsius + 273.15;
  const double satur   = pow(10.0, -6.8346 * pow(273.16 / kelvin, 1.261) + 4.6151);
  const double h       = humidity * satur;                            // molar concentration of water vapour, %
  const double oxygen  = 24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h); // relaxation frequencies, Hz
  const double nitro   = pow(t, -0.5) * (9.0 + 280.0 * h * exp(-4.170 * (pow(t, -1.0 / 3.0) - 1.0)));
  const double classic = 1.84e-11 * sqrt(t);
  const double relax   = 0.01275 * exp(-2239.1 / kelvin) / (oxygen + hz * hz / oxygen) +
                       0.1068 * exp(-3352.0 / kelvin) / (nitro + hz * hz / nitro);
  return 8.686 * hz * hz * (classic + pow(t, -2.5) * relax);
}

double
fh_octave_midband(const int n)
{
  return 1000.0 * pow(10.0, 0.3 * n);
}

double
fh_distance_gain(const double distance, const double radius)
{
  if (radius <= 0.0) {
    return -20.0 * log10(distance);
  }
  const double ratio = radius / distance;
  return 10.0 * log10(log1p(ratio * ratio) / (radius * radius));
}

const FhPattern*
fh_pattern_find(const char* const name)
{
  for (size_t i = 0; i < fh_pattern_count; ++i) {
    if (!strcmp(fh_patterns[i].name, name)) {
      return &fh_patterns[i];
    }
  }
  return NULL;
}

double
fh_pattern_gain_ideal(const FhPattern* const pattern, const double degrees)
{
  const double p = fabs(pattern->a + (1.0 - pattern->a) * cos(degrees * FH_PI / 180.0));
  return p < 1e-12 ? (double)-INFINITY : 20.0 * log10(p);
}

double
fh_pattern_gain(const FhPattern* const pattern, const double degrees)
{
  return fmax(fh_pattern_gain_ideal(pattern, degrees), FH_NULL_FLOOR);
}

double
fh_pattern_efficiency(const FhPattern* const pattern)
{
  const double b = 1.0 - pattern->a;
  return pattern->a * pattern->a + b * b / 3.0;
}

double
fh_pattern_null(const FhPattern* const pattern)
{
  return pattern->a > 0.5 ? (double)NAN : acos(-pattern->a / (1.0 - pattern->a)) * 180.0 / FH_PI;
}

/// Fall of level with distance relative to distance 1 in a room, dB, positive
static double
room_loss(const double distance, const double critical)
{
  const double reverberant = isinf(critical) ? 0.0 : 1.0 / (critical * critical);
  return -10.0 * log10(1.0 / (distance * distance) + reverberant);
}

double
fh_potential_gain(const double talker_listener,
                  const double mic_speaker,
                  const double mic_talker,
                  const double speaker_listener,
                  const double open_mics,
                  const double critical)
{
  return room_loss(talker_listener, critical) + room_loss(mic_speaker, critical) - room_loss(mic_talker, critical) -
         room_loss(speaker_listener, critical) - 10.0 * log10(open_mics) - 6.0;
}

#define FH_SPLIT_LOW 150.0   // Hz
#define FH_SPLIT_HIGH 9600.0
#define FH_SPLIT_Q 0.70710678118654752

double
fh_split_phase(const double hz)
{
  double phase = 0.0;
  for (double f = FH_SPLIT_LOW; f <= FH_SPLIT_HIGH; f *= 2.0) {
    const double x = hz / f;
    phase -= 2.0 * atan2(x / FH_SPLIT_Q, 1.0 - x * x);
  }
  return phase;
}

double
fh_split_delay(const double hz)
{
  double delay = 0.0;
  for (double f = FH_SPLIT_LOW; f <= FH_SPLIT_HIGH; f *= 2.0) {
    const double x = hz / f;
    const double y = 1.0 - x * x;
    delay += (1.0 + x * x) / (y * y + x * x / (FH_SPLIT_Q * FH_SPLIT_Q)) / (FH_SPLIT_Q * 3.14159265358979323846 * f);
  }
  return delay;
}

double
fh_needed_gain(const double talker_listener, const double equivalent, const double critical)
{
  return room_loss(talker_listener, critical) - room_loss(equivalent, critical);
}

void
fh_comb_ripple(const double below, double* const peak, double* const dip)
{
  const double copy = pow(10.0, -fabs(below) / 20.0);
  *peak             = 20.0 * log10(1.0 + copy);
  *dip              = copy < 1.0 ? 20.0 * log10(1.0 - copy) : (double)-INFINITY;
}

double
fh_niosh_hours(const double level)
{
  return 8.0 / pow(2.0, (level - 85.0) / 3.0);
}

double
fh_osha_hours(const double level)
{
  return level > 115.0 ? 0.0 : 8.0 / pow(2.0, (level - 90.0) / 5.0);
}

double
fh_level_sum(const double first, const double second)
{
  return 10.0 * log10(pow(10.0, first / 10.0) + pow(10.0, second / 10.0));
}
