// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fuzz.h
/// What a fuzz target offers: to a fuzzing engine, and to the driver that stands for one in the tests. One thread.

#ifndef FRONTHASH_TESTS_FUZZ_H
#define FRONTHASH_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#define FH_FUZZ_MAX 16384 ///< Longest input the driver makes, bytes

/// Try one input; aborts with a line where something promised does not hold. The name and the meaning of the result are
/// those of LLVM's libFuzzer.
int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size);

/// How many inputs were taken, not refused, so far
extern unsigned long fh_fuzz_taken;

/// Write an input that is accepted, to begin with. @return its size
size_t fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX]);

/// End with a line where a promise is broken
static inline void
fh_promise(const int holds, const char* const what)
{
  if (!holds) {
    fprintf(stdout, "broken promise: %s\n", what);
    fflush(stdout);
    abort();
  }
}

#endif
