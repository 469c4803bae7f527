// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file preset_write.h
/// Writes what the plugin is set to, and what it has learnt, as a preset bundle that LV2 hosts find.

#ifndef FRONTHASH_COMMAND_PRESET_WRITE_H
#define FRONTHASH_COMMAND_PRESET_WRITE_H

#include "command/base/temp.h"
#include "command/run/host.h"

#include <stdbool.h>

/// Folder a preset of this label goes to where none is named: ~/.lv2/fronthash_LABEL.preset.lv2, unusual characters
/// replaced by underscores, which every host takes. @return false, having complained: no home folder, label too long.
bool fh_preset_folder(const char* label, char folder[FH_PATH_MAX]);

/// True if a preset may have this name: UTF-8 without control characters, with a letter or digit; else complains.
bool fh_preset_may_call(const char* label);

/// True if a preset may go to this folder: it is free, or holds a preset of ours and `replace` is set; else complains.
bool fh_preset_may_write(const char* folder, bool replace);

/// Write the bundle whole or not at all: beside, flushed, read back through lilv, then put in place in one step. Buttons and
/// what belongs to the moment (enabled, muted, learn, clear, listen) are left out. @return false, having complained.
bool fh_preset_write(FhHost* host, const char* folder, const char* label, bool replace);

/// Room for any filter text
#define FH_FILTER_MAX 1024

/// Write the same settings as an audio filter for ffmpeg, whose lv2 filter loads no presets:
/// `lv2=p=URI:c=symbol=value|...`, with the controls that are not at their default. What was learnt has no place in it.
/// @param settings Control inputs by FhControl, in their own units
void fh_preset_filter(const FhVariant* variant, const float* settings, char text[FH_FILTER_MAX]);

#endif
