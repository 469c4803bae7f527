// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file said.h
/// The last complaint, kept to look at.

#ifndef FRONTHASH_TESTS_SAID_H
#define FRONTHASH_TESTS_SAID_H

#include <stdio.h>

#define SAID_MAX 512 ///< Bytes of it that are kept

/// For fh_complain_to. @param data Room for SAID_MAX bytes
static inline void
keep_line(void* const data, const char* const line)
{
  snprintf((char*)data, SAID_MAX, "%s", line);
}

#endif
