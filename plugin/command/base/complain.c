// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>

static const char* current_verb = "";

void
fh_complain_as(const char* const verb)
{
  current_verb = verb;
}

bool
fh_complain(const char* const format, ...)
{
  char    text[2048];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);

  for (char* c = text; *c; ++c) {
    *c = iscntrl((unsigned char)*c) ? '?' : *c;
  }
  fprintf(stderr, "fronthash%s%s: %s\n", *current_verb ? " " : "", current_verb, text);
  return false;
}
