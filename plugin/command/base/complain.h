// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file complain.h
/// One clear line to the user when something cannot be done.

#ifndef FRONTHASH_COMMAND_COMPLAIN_H
#define FRONTHASH_COMMAND_COMPLAIN_H

#include <stdbool.h>

/// Name the verb that later complaints begin with. The text is kept, not copied.
void fh_complain_as(const char* verb);

/// Hand later complaints to somebody rather than to standard error, where a picture stands; NULL prints again.
/// @param take Gets the line without `fronthash VERB:` and line end, and must not keep it
void fh_complain_to(void (*take)(void* data, const char* line), void* data);

/// Print one line on standard error: what is wrong and, after a semicolon, what to do about it.
/// Control characters in the text (a line break in a file name) are shown as `?`.
/// @return false, so that a caller can `return fh_complain(...)`.
bool fh_complain(const char* format, ...) __attribute__((format(printf, 1, 2)));

#endif
