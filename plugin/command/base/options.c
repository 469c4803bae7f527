// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/options.h"

#include "command/base/complain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HELP_WIDTH 88
#define HELP_INDENT 28

/// Print words within HELP_WIDTH, each line after the first indented; `column` is where the cursor stands
static void
print_wrapped(const char* text, const int indent, int column)
{
  while (*text) {
    const int length = (int)strcspn(text, " \n");
    if (column > indent && column + 1 + length > HELP_WIDTH) {
      printf("\n%*s", indent, "");
      column = indent;
    } else if (column > indent) {
      putchar(' ');
      ++column;
    }
    printf("%.*s", length, text);
    column += length;
    text += length;
    if (*text == '\n') {
      printf("\n%*s", indent, "");
      column = indent;
    }
    text += *text != '\0';
  }
  putchar('\n');
}

static void
print_option(const char* const name, const char* const value, const char* const help)
{
  const int column = printf("  --%s%s%s", name, value ? " " : "", value ? value : "");
  if (column + 2 > HELP_INDENT) {
    printf("\n%*s", HELP_INDENT, "");
  } else {
    printf("%*s", HELP_INDENT - column, "");
  }
  print_wrapped(help, HELP_INDENT, HELP_INDENT);
}

static void
print_help(const FhUsage* const usage)
{
  printf("Usage: fronthash %s [OPTION]...%s%s\n\n", usage->verb, *usage->arguments ? " " : "", usage->arguments);
  print_wrapped(usage->about, 0, 0);
  printf("\nOptions:\n");
  for (size_t i = 0; i < usage->option_count; ++i) {
    print_option(usage->options[i].name, usage->options[i].value, usage->options[i].help);
  }
  print_option("help", NULL, "Print this and exit.");
  if (usage->examples) {
    printf("\nExamples:\n%s", usage->examples);
  }
}

bool
fh_parse_number(const char* const text, double* const number)
{
  char*        end   = NULL;
  const double value = strtod(text, &end);
  if (end == text || *end || !isfinite(value)) {
    return false;
  }
  *number = value;
  return true;
}

/// START-END, both in seconds from the start of the file
static bool
parse_stretch(const FhOption* const option, const char* const text, FhStretch* const stretch)
{
  char*        middle = NULL;
  const double start  = strtod(text, &middle);
  double       end    = 0.0;
  if (middle == text || *middle != '-' || !fh_parse_number(middle + 1, &end) || !(start >= 0.0) || !(end > start)) {
    return fh_complain("--%s takes two times in seconds, as in 2.5-12, not '%s'", option->name, text);
  }
  stretch->start = start;
  stretch->end   = end;
  return true;
}

static bool
take_value(const FhOption* const option, const char* const text)
{
  switch (option->kind) {
  case FH_OPTION_FLAG:
    *(bool*)option->target = true;
    return true;
  case FH_OPTION_TEXT:
    *(const char**)option->target = text;
    return *text ? true : fh_complain("--%s needs a value: %s", option->name, option->value);
  case FH_OPTION_NUMBER: {
    double number = 0.0;
    if (!fh_parse_number(text, &number) || number < option->min || number > option->max) {
      return fh_complain("--%s takes a number from %g to %g, not '%s'", option->name, option->min, option->max, text);
    }
    *(double*)option->target = number;
    return true;
  }
  case FH_OPTION_STRETCH:
    return parse_stretch(option, text, (FhStretch*)option->target);
  case FH_OPTION_STRETCHES: {
    FhStretches* const list = (FhStretches*)option->target;
    if (list->count == FH_LIST_MAX) {
      return fh_complain("--%s is given more than %d times", option->name, FH_LIST_MAX);
    }
    return parse_stretch(option, text, &list->at[list->count++]);
  }
  case FH_OPTION_LIST: {
    FhTextList* const list = (FhTextList*)option->target;
    if (list->count == FH_LIST_MAX) {
      return fh_complain("--%s is given more than %d times", option->name, FH_LIST_MAX);
    }
    list->text[list->count++] = text;
    return true;
  }
  }
  return false;
}

static const FhOption*
find_option(const FhUsage* const usage, const char* const name, const size_t length)
{
  for (size_t i = 0; i < usage->option_count; ++i) {
    if (strlen(usage->options[i].name) == length && !strncmp(usage->options[i].name, name, length)) {
      return &usage->options[i];
    }
  }
  return NULL;
}

/// Take the option at argv[*index], moving the index on to its value if that is a word of its own
static bool
take_option(const FhUsage* const usage, const int argc, char** const argv, int* const index)
{
  const char* const     word   = argv[*index];
  const size_t          length = strncmp(word, "--", 2) ? 0 : strcspn(word + 2, "=");
  const FhOption* const option = length ? find_option(usage, word + 2, length) : NULL;
  if (!option) {
    return fh_complain("unknown option %s; see fronthash %s --help", word, usage->verb);
  }
  const bool joined = word[2 + length] == '=';
  if (option->kind == FH_OPTION_FLAG) {
    return joined ? fh_complain("--%s takes no value", option->name) : take_value(option, "");
  }
  if (!joined && *index + 1 >= argc) {
    return fh_complain("--%s needs a value: %s", option->name, option->value);
  }
  return take_value(option, joined ? word + 3 + length : argv[++*index]);
}

static void (*usage_taker)(void* data, const FhUsage* usage);
static void* usage_data;

void
fh_usage_to(void (*const take)(void* data, const FhUsage* usage), void* const data)
{
  usage_taker = take;
  usage_data  = data;
}

FhParsed
fh_parse(const FhUsage* const usage, const int argc, char** const argv, FhTextList* const arguments)
{
  arguments->count  = 0;
  bool only_options = true;
  if (usage_taker) {
    usage_taker(usage_data, usage);
    return FH_PARSED_DONE;
  }
  for (int i = 1; i < argc; ++i) {
    if (only_options && (!strcmp(argv[i], "--help") || !strcmp(argv[i], "-h"))) {
      print_help(usage);
      return FH_PARSED_DONE;
    }
    if (only_options && !strcmp(argv[i], "--")) {
      only_options = false;
    } else if (only_options && argv[i][0] == '-' && argv[i][1]) {
      if (!take_option(usage, argc, argv, &i)) {
        return FH_PARSED_BAD;
      }
    } else if (arguments->count < usage->max_arguments && arguments->count < FH_LIST_MAX) {
      arguments->text[arguments->count++] = argv[i];
    } else {
      fh_complain("'%s' is one argument too many; see fronthash %s --help", argv[i], usage->verb);
      return FH_PARSED_BAD;
    }
  }
  if (arguments->count < usage->min_arguments) {
    fh_complain("something is missing: fronthash %s %s; see fronthash %s --help", usage->verb, usage->arguments,
                usage->verb);
    return FH_PARSED_BAD;
  }
  return FH_PARSED_OK;
}

/// Take one argument, called `name`, or none
static FhParsed
parse_one(const FhUsage* const usage, const char* const name, const int argc, char** const argv, const char** const argument)
{
  FhUsage one       = *usage;
  one.arguments     = name;
  one.min_arguments = one.max_arguments = 1;

  FhTextList     arguments = {0};
  const FhParsed parsed    = fh_parse(&one, argc, argv, &arguments);
  *argument                = arguments.count ? arguments.text[0] : NULL;
  return parsed;
}

FhParsed
fh_parse_take(const FhUsage* const usage, const int argc, char** const argv, const char** const take)
{
  return parse_one(usage, "TAKE", argc, argv, take);
}

FhParsed
fh_parse_show(const FhUsage* const usage, const int argc, char** const argv, const char** const show)
{
  return parse_one(usage, "SHOW", argc, argv, show);
}

bool
fh_stretches_hold(const FhStretches* const stretches, const double seconds, const double skip)
{
  for (size_t i = 0; i < stretches->count; ++i) {
    if (seconds >= stretches->at[i].start + skip && seconds < stretches->at[i].end) {
      return true;
    }
  }
  return false;
}

double
fh_stretches_seconds(const FhStretches* const stretches)
{
  double sum = 0.0;
  for (size_t i = 0; i < stretches->count; ++i) {
    sum += stretches->at[i].end - stretches->at[i].start;
  }
  return sum;
}
