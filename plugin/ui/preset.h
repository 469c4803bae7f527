// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file preset.h
/// Which factory preset the values are, or were before they were changed. LV2 does not tell a window what was loaded, so
/// it is known by the values; of presets with the same values all are named. Thread: UI; constants.

#ifndef FRONTHASH_UI_PRESET_H
#define FRONTHASH_UI_PRESET_H

#include "ports.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_PRESET_VALUES 16 ///< Most controls that a preset sets
#define FH_NO_PRESET (-1)

/// One factory preset; the table is composed from presets/ when the window is built
typedef struct {
  const char* label;      ///< "Family: technique"
  const char* plugins[3]; ///< URIs it is meant for, the rest NULL
  int         count;
  struct {
    FhControl control;
    float     value;
  } values[FH_PRESET_VALUES];
} FhPreset;

extern const FhPreset fh_presets[];
extern const int      fh_preset_count;

/// True if these values are the preset's, and it is meant for the plugin (NULL: for Solo)
bool fh_preset_is(int preset, const FhVariant* variant, const float v[FH_CONTROL_COUNT]);

/// The first preset whose values these are, or FH_NO_PRESET
int fh_preset_find(const FhVariant* variant, const float v[FH_CONTROL_COUNT]);

/// Say what the values are: "Trumpet", "Changed: Trumpet", "Own values"
/// @param preset What they were when last found, or FH_NO_PRESET
void fh_preset_text(int preset, const FhVariant* variant, const float v[FH_CONTROL_COUNT], char* text, size_t size);

#endif
