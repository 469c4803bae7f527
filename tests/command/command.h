// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file command.h
/// Runs the built command in a folder of its own, as a user's shell would, and keeps what it says.
///
/// The environment variables FH_COMMAND, FH_MAKE_TAKE and FH_BUNDLES name the programs under test and the build
/// folder that holds the plugin. Any failure to set up ends the test.

#ifndef FRONTHASH_TESTS_COMMAND_H
#define FRONTHASH_TESTS_COMMAND_H

#include <stdbool.h>
#include <stddef.h>

#define TEXT_MAX 65536

/// What a run left behind
typedef struct {
  int  code;          ///< Exit code
  char out[TEXT_MAX]; ///< Standard output
  char err[TEXT_MAX]; ///< Standard error
} Said;

/// Make the folder, go there, let HOME be an empty folder in it. Pair: leave_folder.
int enter_folder(void** state);
int leave_folder(void** state);

/// Run one line of shell in the folder; in it `fronthash` and `make_take` are the built programs.
Said* run(const char* format, ...) __attribute__((format(printf, 1, 2)));

/// Names and sizes of everything in the folder, in order, as one text
const char* listing(void);

/// Write a text file
void write_text(const char* path, const char* text);

/// A number in JSON text by its key; NAN if null. Ends the test if the key is not there.
double number_of(const char* json, const char* key);

/// One line on standard error, exit code 1, nothing on standard output
void assert_complaint(const Said* said, const char* phrase, const char* what);

#endif
