// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file field_delay.h
/// How much earlier the ambient microphone hears the field than the close one. Thread: any.

#ifndef FRONTHASH_COMMAND_FIELD_DELAY_H
#define FRONTHASH_COMMAND_FIELD_DELAY_H

#include "command/measure/stretches.h"

/// Time in ms by which the field's swells reach the close microphone after the ambient one, -60..60, from the
/// correlation of their levels in the given stretches. @param correlation Receives it there, 0..1.
double fh_field_delay(const FhTake* take, const FhStretches* stretches, double* correlation);

#endif
