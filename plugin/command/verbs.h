// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file verbs.h
/// The verbs of the `fronthash` command. A verb is one file verb_NAME.c, one line here and one in verbs.c.
/// Thread: everything in this folder runs in the main thread.

#ifndef FRONTHASH_COMMAND_VERBS_H
#define FRONTHASH_COMMAND_VERBS_H

typedef struct {
  const char* name;
  const char* summary;                ///< One line for the list of verbs
  int (*run)(int argc, char** argv);  ///< argv[0] is the verb; returns the exit code, having complained if not 0
} FhVerb;

/// All of them, in the order of --help; the last has no name
extern const FhVerb fh_verbs[];

int fh_verb_check(int argc, char** argv);
int fh_verb_live(int argc, char** argv);
int fh_verb_plan(int argc, char** argv);
int fh_verb_render(int argc, char** argv);
int fh_verb_sheet(int argc, char** argv);
int fh_verb_show(int argc, char** argv);
int fh_verb_tune(int argc, char** argv);

#endif
