// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file desk.h
/// A model on the bench: what it wrote and touched, and time that passes on request.

#ifndef FRONTHASH_TESTS_UI_DESK_H
#define FRONTHASH_TESTS_UI_DESK_H

#include "ui/edit.h"

enum { MAX_WRITES = 64 };

typedef struct {
  FhControl control;
  float     value;
} Write;

extern FhModel m;
extern Write   writes[MAX_WRITES];
extern int     count; ///< Writes so far
extern int     held;  ///< Touches not yet let go

/// Begin anew; a cmocka setup function
int start(void** state);

/// The first item of a control
int item_of(FhControl control);

/// Let time pass in steps of an idle call
void pass(double seconds);

#endif
