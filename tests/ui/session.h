// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file session.h
/// A made-up session for drawing tests: a band that swells, a soloist who plays three phrases.

#ifndef FRONTHASH_TESTS_UI_SESSION_H
#define FRONTHASH_TESTS_UI_SESSION_H

#include "ui/view.h"

/// Frames a second of the made-up session
#define SESSION_RATE 30.0

/// Fill `n` frames of the made-up session; the same every time
void session_fill(FhFrame* frames, size_t n);

/// Fill frames with all ports at their defaults
void session_rest(FhFrame* frames, size_t n);

/// Fill frames with steady levels, dBFS and dB, at rest otherwise
void session_steady(FhFrame* frames, size_t n, float close, float pickup, float open_at);

#endif
