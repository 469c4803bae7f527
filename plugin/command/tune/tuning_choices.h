// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tuning_choices.h
/// The parts of a tuning: what each control is chosen by.

#ifndef FRONTHASH_COMMAND_TUNING_CHOICES_H
#define FRONTHASH_COMMAND_TUNING_CHOICES_H

#include "command/tune/tuning.h"

#define SAME 0.5 ///< Difference of cost that is within the luck of one take, %

/// Value passed by the given part of the values; reorders them. NAN if there are none.
double fh_passed_by(double* values, size_t count, double part);

/// Note a choice; the control takes the value, within its range and rounded to what a person would set.
void fh_tuning_choose(FhTuning* tuning, FhControl control, double value, double round_to, const char* why, ...)
  __attribute__((format(printf, 5, 6)));

/// Learn and run with settings. @param kept Receives the run if not NULL. @return false, having complained.
bool fh_tuning_try(FhTuning* tuning, const float settings[FH_CONTROL_COUNT], FhEvidence* evidence, FhRun* kept);

#define FH_TUNE_LEAST 0.05 ///< Gain that is worth one more value, %

/// What settings gain over those that tuning began from, and half of what the halves of the take differ in that, %
void fh_tuning_compare(const FhTuning* tuning, const FhEvidence* evidence, double* gain, double* spread);

/// How bad settings are on this take, %; an opening by the field weighs twice a missed sound
double fh_tuning_cost(const FhEvidence* evidence);

/// Ambient delay, where the field's swells come later and delaying for it lets the gate open lower
bool fh_tune_delay(FhTuning* tuning);

/// Key low and high cut, where part of the spectrum tells the soloist clearly better than the whole
bool fh_tune_key(FhTuning* tuning);

/// Open margin and hysteresis
bool fh_tune_margin(FhTuning* tuning);

bool fh_tune_hold(FhTuning* tuning);

/// Attack and release from how fast notes begin and end, duck depth from the separation
void fh_tune_shape(FhTuning* tuning);

#endif
