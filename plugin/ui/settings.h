// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file settings.h
/// What a person chose for all windows, kept in a small file of theirs: fronthash/window under $XDG_CONFIG_HOME, or
/// under ~/.config where that is not set (XDG Base Directory Specification). Thread: UI; reads and writes a file.

#ifndef FRONTHASH_UI_SETTINGS_H
#define FRONTHASH_UI_SETTINGS_H

#include <stdbool.h>

/// @return true if the day colours were kept; false if the dark ones were, or nothing that can be read
bool fh_settings_day(void);

/// Keep the colours. The file is written whole and then renamed: a reader finds the old or the new one.
/// @return 0, or an errno value (ENOENT if there is no home); what was kept before then stays
int fh_settings_keep_day(bool day);

#endif
