// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file complaints.h
/// Stands for complain.c in a fuzz target: counts what would be said. Include it in one file.

#ifndef FRONTHASH_TESTS_FUZZ_COMPLAINTS_H
#define FRONTHASH_TESTS_FUZZ_COMPLAINTS_H

#include "command/base/complain.h"

static int complaints; ///< Since it was last set to 0

bool
fh_complain(const char* const format, ...)
{
  (void)format;
  ++complaints;
  return false;
}

void
fh_complain_as(const char* const verb)
{
  (void)verb;
}

#endif
