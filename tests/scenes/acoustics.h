// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file acoustics.h
/// Sound from a point on the field to a microphone: distance, air, ground, stands, microphone pattern.
///
/// Coordinates in metres: x to the right of the soloist, y from the soloist toward the band, z up. The audience
/// and the front stands lie at negative y. A source signal is the pressure at 1 m. Thread: any.

#ifndef FRONTHASH_SCENES_ACOUSTICS_H
#define FRONTHASH_SCENES_ACOUSTICS_H

#include <stddef.h>

typedef struct {
  double x, y, z;
} FhPoint;

/// A first-order microphone: sensitivity omni + (1 - omni) cos(angle)
typedef struct {
  FhPoint at;
  FhPoint facing; ///< Direction, unit length
  double  omni;   ///< 1 omnidirectional, 0.5 cardioid
} FhMic;

/// The open air round the field
typedef struct {
  double celsius;     ///< Temperature
  double humidity;    ///< Relative humidity, %
  double ground;      ///< Pressure reflection of the ground, 0..1
  double front_y;     ///< Plane of the front stands, m (negative)
  double back_y;      ///< Plane of the back stands, m (positive)
  double stands;      ///< Pressure reflection of the stands, 0..1
} FhField;

/// Toward a point from the origin, unit length
FhPoint fh_direction(double x, double y, double z);

/// Speed of sound in dry air, m/s: 331.3 sqrt(1 + T / 273.15)
double fh_speed_of_sound(double celsius);

/// Pure-tone attenuation of air at sea level in dB per metre, by ISO 9613-1:1993 equations 3 to 5
double fh_air_absorption(double hertz, double celsius, double humidity);

/// Pressure gain of a microphone for sound arriving from a point
double fh_mic_gain(const FhMic* mic, FhPoint from);

/// Add `source`, heard over `metres` of free field (1/r, delay, air) and scaled by `gain`, to `to`.
/// Distances below 0.06 m are taken as 0.06 m. What arrives after the last frame is dropped.
void fh_add_path(const float* source, float* to, size_t frames, double rate, double metres, double gain, const FhField*);

/// Add a source at a point to one microphone: direct sound, ground reflection and both stands (image sources)
void fh_add_source(const float* source, FhPoint from, const FhMic* mic, float* to, size_t frames, double rate, const FhField*);

#endif
