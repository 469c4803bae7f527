// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file standing.h
/// How a soloist stands over the field in a take: the one measure behind the verdict of check, tune and render.
///
/// It needs the take alone, neither the plugin nor its settings, so that the same take has the same answer everywhere.
/// Thread: main.

#ifndef FRONTHASH_COMMAND_STANDING_H
#define FRONTHASH_COMMAND_STANDING_H

#include "command/measure/activity.h"

#include <stdbool.h>

/// What a verdict (ui/verdict.h) goes by, dB; NAN: the take has no field without the soloist
typedef struct {
  double separation; ///< Level in the close microphone while the soloist plays over what the field would make there
  double rise;       ///< Of the close level when the soloist sets in over the field
} FhStandsOut;

/// By the mean powers, 40 Hz to 16 kHz, of the soloist's stretches and of the field's. @return False without memory.
bool fh_standing_of(const FhSoundcheck* take, const FhActivity* activity, FhStandsOut* standing);

/// The same, finding who plays when. @return False without memory.
bool fh_standing_find(const FhSoundcheck* take, FhStandsOut* standing);

#endif
