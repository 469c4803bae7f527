// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file describe.c
/// A tool of the build: writes what every verb says of its options as one JSON text, from the very tables that the
/// command reads its line by. describe.py makes completions and man page of it.

#include "command/base/json.h"
#include "command/base/options.h"
#include "command/measure/acoustics.h"
#include "command/measure/family.h"
#include "command/verbs.h"
#include "ports.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// The words that a value may be, where its name stands for a list; else nothing
static void
put_choices(FhJson* const json, const char* const value)
{
  fh_json_array(json, "choices");
  for (size_t i = 0; !strcmp(value, "FAMILY") && i < fh_family_count; ++i) {
    fh_json_text(json, NULL, fh_families[i].name);
  }
  for (size_t i = 0; !strcmp(value, "DYNAMIC") && i < fh_dynamic_count; ++i) {
    fh_json_text(json, NULL, fh_dynamics[i].name);
  }
  for (size_t i = 0; !strcmp(value, "PATTERN") && i < fh_pattern_count; ++i) {
    fh_json_text(json, NULL, fh_patterns[i].name);
  }
  for (size_t i = 0; !strcmp(value, "PORT=VALUE") && i < FH_CONTROL_COUNT; ++i) {
    if (fh_controls[i].flow == FH_INPUT) {
      fh_json_text(json, NULL, fh_controls[i].symbol);
    }
  }
  if (!strcmp(value, "PAPER")) {
    fh_json_text(json, NULL, "a4");
    fh_json_text(json, NULL, "letter");
  }
  fh_json_end(json, ']');
}

static void
put_usage(void* const data, const FhUsage* const usage)
{
  FhJson* const json = (FhJson*)data;
  fh_json_text(json, "arguments", usage->arguments);
  fh_json_array(json, "options");
  for (size_t i = 0; i < usage->option_count; ++i) {
    const FhOption* const option = &usage->options[i];
    fh_json_object(json, NULL);
    fh_json_text(json, "name", option->name);
    fh_json_text(json, "value", option->value);
    fh_json_text(json, "help", option->help);
    fh_json_bool(json, "repeats", option->kind == FH_OPTION_LIST || option->kind == FH_OPTION_STRETCHES);
    put_choices(json, option->value ? option->value : "");
    fh_json_end(json, '}');
  }
  fh_json_end(json, ']');
}

int
main(void)
{
  FhJson json = fh_json_begin(stdout);
  fh_usage_to(put_usage, &json);
  fh_json_array(&json, "verbs");
  for (const FhVerb* verb = fh_verbs; verb->name; ++verb) {
    fh_json_object(&json, NULL);
    fh_json_text(&json, "name", verb->name);
    fh_json_text(&json, "summary", verb->summary);
    char* argv[] = {(char*)verb->name, NULL};
    if (verb->run(1, argv) != EXIT_SUCCESS) {
      return EXIT_FAILURE;
    }
    fh_json_end(&json, '}');
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
  return fflush(stdout) || ferror(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
