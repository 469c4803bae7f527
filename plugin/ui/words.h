// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file words.h
/// Port values in words a person reads at a glance. Pure functions and constants, any thread.

#ifndef FRONTHASH_UI_WORDS_H
#define FRONTHASH_UI_WORDS_H

#include "ports.h"

#include <stdbool.h>
#include <stddef.h>

/// What the separation means for the engineer
typedef enum {
  FH_VERDICT_UNKNOWN, ///< No solo heard yet
  FH_VERDICT_MOVE,    ///< Move the microphone
  FH_VERDICT_THIN,
  FH_VERDICT_GOOD,
  FH_VERDICT_AGAIN ///< Learn the field again: no microphone needs to move
} FhVerdict;

/// The separation is measured while the gate is open, so it must be judged by itself and against the opening line.
/// Good is at least this: a power-ratio detector with BT = 10 finds a step of 11.0 dB 99 % of the time at one false
/// alarm in a thousand (F(n,n) distribution, n = 2BT); 12 keeps a decibel in hand.
#define FH_SEPARATION_GOOD 12.0f

/// Below this the microphone must move. The same detector with BT = 40, about the most a fast gate has, needs 5.3 dB.
#define FH_SEPARATION_THIN 6.0f

/// And so far must the usual note stand above the opening line, so that notes at half (good) or 0.7 (thin) of its
/// sound pressure still open: 6.02 and 3.01 dB
#define FH_HEADROOM_GOOD 6.0f
#define FH_HEADROOM_THIN 3.0f

/// @param separation Median excess of the soloist, dB; 0 where none was heard
/// @param open_at Excess at which the gate opens, dB
FhVerdict   fh_verdict(float separation, float open_at);

/// The same, unless the last Learn of the field says that another is due. @param v All ports
FhVerdict   fh_verdict_now(const float v[FH_CONTROL_COUNT], float separation, float open_at);
const char* fh_verdict_word(FhVerdict verdict);
const char* fh_verdict_advice(FhVerdict verdict);

const char* fh_state_word(int state);
const char* fh_fault_word(int fault);
/// What to do about a fault, in the words of the variant's inputs: a stereo track has sides, not a side chain
/// @param variant NULL speaks as for Solo
const char* fh_fault_advice(const FhVariant* variant, int fault);

/// True for the variant that takes its microphones from the sides of one stereo track
bool fh_has_sides(const FhVariant* variant);

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
