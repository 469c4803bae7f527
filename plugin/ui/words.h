// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file words.h
/// Port values in words a person reads at a glance. Pure functions and constants, any thread.

#ifndef FRONTHASH_UI_WORDS_H
#define FRONTHASH_UI_WORDS_H

#include "ports.h"

#include <stddef.h>

const char* fh_state_word(int state);

/// Name of a point of a choice port ("Ambient"), or "" where there is none
const char* fh_choice_word(FhControl control, int choice);

/// Print how long ago the field was learnt: "just now", "12 min ago", "2 h ago", or "in an earlier session" below 0
/// @param seconds As FH_LEARNT_AGO
void fh_ago_text(float seconds, char* text, size_t size);

/// Copy text that came from elsewhere, up to the first byte that is no UTF-8 (RFC 3629); control characters become spaces
void fh_clean_text(const char* from, char* text, size_t size);

/// The track in a title that a host gives the window: what stands before our own name ("Mello: Fronthash Solo (LV2)" is
/// "Mello"), or all of it where that is not in it
void fh_track_name(const char* title, char* text, size_t size);

/// Print a value as a person writes it, with its unit: "3.0 dB", "1.2 kHz", "On"; always ends with NUL
void fh_value_text(FhControl control, float value, char* text, size_t size);

#endif
