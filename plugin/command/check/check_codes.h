// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check_codes.h
/// The faults that a check names: their causes and remedies, and the order in which to mend them.
///
/// Thread: any; no state.

#ifndef FRONTHASH_COMMAND_CHECK_CODES_H
#define FRONTHASH_COMMAND_CHECK_CODES_H

#include "command/check/check.h"

typedef struct {
  const char* name;
  int         rank;   ///< Lower ones are mended first
  bool        open;   ///< Says that something could not be judged
  const char* cause;
  const char* remedy;
  const char* sure;
  const char* told;   ///< How it is told
} FhCode;

/// @return NULL where there is no such code
const FhCode* fh_code_find(const char* name);

/// Faults in the order in which to mend them, figures behind
void fh_order_findings(FhFindings* findings);

/// What a finding is to whoever reads the report
typedef enum {
  FH_SORT_FAULT,  ///< To be mended
  FH_SORT_OPEN,   ///< Could not be judged: of a soloist the separation, too
  FH_SORT_FIGURE,
} FhSort;

FhSort fh_finding_sort(const FhReport* report, size_t at);

/// How many findings of a sort there are
size_t fh_count(const FhReport* report, FhSort sort);

/// Exit codes of `fronthash check`; 0: nothing to do
#define FH_EXIT_TO_DO 1    // something is to be mended
#define FH_EXIT_UNJUDGED 2 // nothing is, as far as could be judged; or no take could be read at all

/// The exit code that a report earns
int fh_check_exit(const FhReport* report);

/// The one that two earn together
int fh_worse_exit(int one, int other);

/// Explain a code. @return False where there is none of that name.
bool fh_code_print(FILE* file, const char* name);

/// All codes with their causes, a line each
void fh_code_list(FILE* file);

#endif
