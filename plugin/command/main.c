// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/temp.h"
#include "command/verbs.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
print_usage(void)
{
  printf("Usage: fronthash VERB [OPTION]... [FILE]...\n\n"
         "Plan, check, tune, render and run soloists' channels. All but live work on files\n"
         "and numbers, and touch no audio hardware.\n\nVerbs:\n");
  for (size_t i = 0; fh_verbs[i].name; ++i) {
    printf("  %-10s %s\n", fh_verbs[i].name, fh_verbs[i].summary);
  }
  printf("\n'fronthash VERB --help' explains a verb. 'fronthash --version' names the version.\n");
}

static int
run_verb(const int argc, char** const argv)
{
  for (size_t i = 0; fh_verbs[i].name; ++i) {
    if (!strcmp(argv[0], fh_verbs[i].name)) {
      fh_complain_as(fh_verbs[i].name);
      return fh_verbs[i].run(argc, argv);
    }
  }
  fh_complain("there is no verb '%s'; fronthash --help lists them", argv[0]);
  return EXIT_FAILURE;
}

int
main(const int argc, char** const argv)
{
  if (argc < 2) {
    fh_complain("say what to do; fronthash --help lists the verbs");
    return EXIT_FAILURE;
  }
  fh_temp_init();
  int code = EXIT_SUCCESS;
  if (!strcmp(argv[1], "--help") || !strcmp(argv[1], "-h") || !strcmp(argv[1], "help")) {
    print_usage();
  } else if (!strcmp(argv[1], "--version")) {
    printf("fronthash %s\nFree software under the ISC licence; it comes without any warranty.\n", FH_VERSION);
  } else {
    code = run_verb(argc - 1, argv + 1);
  }
  if (fflush(stdout) || ferror(stdout)) {
    fh_complain("standard output cannot be written; is the disk full?");
    code = EXIT_FAILURE;
  }
  return code;
}
