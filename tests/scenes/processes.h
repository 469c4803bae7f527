// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file processes.h
/// Work spread over a few processes.

#ifndef FRONTHASH_SCENES_PROCESSES_H
#define FRONTHASH_SCENES_PROCESSES_H

#include <stddef.h>

/// Zeroed memory that child processes share; exits the program when memory is out. Lives until the program ends.
void* fh_shared(size_t size);

/// Call `run` for each number from 0 to `count`, less one, in so many processes, each number once, and wait for all.
/// What it finds must go into shared memory.
void fh_spread(int processes, int count, void (*run)(int number, void* what), void* what);

#endif
