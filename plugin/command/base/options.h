// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file options.h
/// Command lines: a verb lists its options in a table, and gets parsing, range checks and `--help` from it.

#ifndef FRONTHASH_COMMAND_OPTIONS_H
#define FRONTHASH_COMMAND_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#define FH_LIST_MAX 64

/// A stretch of time, START-END on the command line
typedef struct {
  double start; ///< s
  double end;   ///< s, above start; 0 where the option was not given
} FhStretch;

/// Stretches of an option that may be given more than once
typedef struct {
  size_t    count;
  FhStretch at[FH_LIST_MAX];
} FhStretches;

/// Sum of all lengths, s
double fh_stretches_seconds(const FhStretches* stretches);

/// True if a time in s lies within one of them, `skip` s after its beginning
bool fh_stretches_hold(const FhStretches* stretches, double seconds, double skip);

/// Values of an option that may be given more than once
typedef struct {
  size_t      count;
  const char* text[FH_LIST_MAX];
} FhTextList;

typedef enum {
  FH_OPTION_FLAG,    ///< bool
  FH_OPTION_TEXT,    ///< const char*
  FH_OPTION_NUMBER,  ///< double within min..max
  FH_OPTION_STRETCH, ///< FhStretch
  FH_OPTION_STRETCHES, ///< FhStretches
  FH_OPTION_LIST,    ///< FhTextList
} FhOptionKind;

typedef struct {
  const char*  name;     ///< Without the dashes
  const char*  value;    ///< What the value is called in --help, which says what completes it (describe.c); NULL for a flag
  const char*  help;     ///< What it does, its unit and default; wrapped by the printer
  FhOptionKind kind;
  void*        target;   ///< Where the value goes; untouched if the option is absent
  double       min, max; ///< Range of a number
} FhOption;

typedef struct {
  const char*     verb;
  const char*     arguments; ///< As in "TAKE [OTHER]"
  const char*     about;     ///< Paragraphs; one text line a paragraph, wrapped by the printer
  const char*     examples;  ///< Printed as it is
  const FhOption* options;
  size_t          option_count;
  size_t          min_arguments;
  size_t          max_arguments; ///< At most FH_LIST_MAX
} FhUsage;

typedef enum {
  FH_PARSED_OK,   ///< Go on
  FH_PARSED_DONE, ///< --help was printed: exit with success
  FH_PARSED_BAD,  ///< Complained: exit with failure
} FhParsed;

/// Read a command line: options in any order, as `--name value` or `--name=value`; `--` ends them.
/// @param arguments Receives the rest, pointing into argv.
FhParsed fh_parse(const FhUsage* usage, int argc, char** argv, FhTextList* arguments);

/// Likewise, for a verb whose only argument is one recording; fills in what `usage` says of arguments.
/// @param take Receives its path, or NULL
FhParsed fh_parse_take(const FhUsage* usage, int argc, char** argv, const char** take);

/// Likewise for a verb whose only argument is a show file.
FhParsed fh_parse_show(const FhUsage* usage, int argc, char** argv, const char** show);

/// Hand what a verb says of itself to somebody, rather than read its command line; NULL reads again.
/// fh_parse then returns FH_PARSED_DONE.
/// @param take Must not keep the usage
void fh_usage_to(void (*take)(void* data, const FhUsage* usage), void* data);

/// Read a whole text as a number in the C notation, whatever the locale; false if it is not one or not finite.
bool fh_parse_number(const char* text, double* number);

#endif
