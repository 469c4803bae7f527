// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file acoustics.h
/// Sound outdoors by arithmetic: speed, distance, air, microphone patterns, acoustic gain, exposure.
///
/// Thread: any; no state. Sources stand beside each function.

#ifndef FRONTHASH_COMMAND_ACOUSTICS_H
#define FRONTHASH_COMMAND_ACOUSTICS_H

#include <stddef.h>

/// Speed of sound in air, m/s: 331.3 sqrt(1 + T / 273.15), ideal gas
double fh_speed_of_sound(double celsius);

/// Absorption of air at sea level, dB per metre, by the formula of ISO 9613-1
/// @param humidity Relative, per cent
double fh_air_absorption(double hz, double celsius, double humidity);

/// Exact octave mid-band frequency, Hz, IEC 61260-1: 1000 * 10^(0.3 n), n = 0 at 1 kHz
double fh_octave_midband(int n);

/// Level of an incoherent disc of `radius` metres at `distance` metres on its axis, dB relative to all its power at
/// one point 1 m away. Radius 0 is the point source: -20 lg distance. Integral of 1 / r^2 over the disc.
double fh_distance_gain(double distance, double radius);

/// First-order microphone: pressure a + (1 - a) cos t
typedef struct {
  const char* name;
  double      a;
} FhPattern;

extern const FhPattern fh_patterns[]; ///< From widest to narrowest for sound from everywhere, then figure-8
extern const size_t    fh_pattern_count;

/// Find a pattern by name; NULL if there is none
const FhPattern* fh_pattern_find(const char* name);

/// Sensitivity at an angle off axis, dB relative to on axis; no lower than -25 dB, about where real capsules end
double fh_pattern_gain(const FhPattern* pattern, double degrees);

/// The same without the floor: minus infinity in a null
double fh_pattern_gain_ideal(const FhPattern* pattern, double degrees);

/// Random energy efficiency: a^2 + (1 - a)^2 / 3
double fh_pattern_efficiency(const FhPattern* pattern);

/// Angle of the null in degrees; NAN where there is none
double fh_pattern_null(const FhPattern* pattern);

/// Potential acoustic gain before feedback with 6 dB in hand, dB
/// (Ballou, Handbook for Sound Engineers, Hopkins-Stryker form). All distances in one unit.
/// @param talker_listener D0: source to farthest listener
/// @param mic_speaker     D1: microphone to loudspeaker
/// @param mic_talker      Ds: microphone to source
/// @param speaker_listener D2: loudspeaker to farthest listener
/// @param critical        Critical distance of the room; INFINITY outdoors
double fh_potential_gain(double talker_listener,
                         double mic_speaker,
                         double mic_talker,
                         double speaker_listener,
                         double open_mics,
                         double critical);

/// Phase the band split of the gate adds, radians, and its group delay, s: a second-order all-pass with Q = 0.7071 at
/// 150 Hz and each octave above up to 9.6 kHz, as a sum of Linkwitz-Riley bands is (S. Linkwitz, JAES 24(1), 1976)
double fh_split_phase(double hz);
double fh_split_delay(double hz);

/// Gain needed for the farthest listener to hear the source as from `equivalent` distance, dB (same source)
double fh_needed_gain(double talker_listener, double equivalent, double critical);

/// Peak and dip of the frequency response when a copy of the sound `below` dB lower arrives late, dB
void fh_comb_ripple(double below, double* peak, double* dip);

/// Permitted hours a day at a level in dB(A): NIOSH 98-126, 85 dB, 3 dB exchange; OSHA 29 CFR 1910.95 table G-16, 90 dB,
/// 5 dB exchange, and nothing above its last row, 115 dB
double fh_niosh_hours(double level);
double fh_osha_hours(double level);

/// Sum of two levels of unrelated sounds, dB; minus infinity counts as silence
double fh_level_sum(double first, double second);

#endif
