// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"

#include <ctype.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

static const char* current_verb = "";
static void (*taker)(void* data, const char* line);
static void* taker_data;

void
fh_complain_as(const char* const verb)
{
  current_verb = verb;
}

void
fh_complain_to(void (*const take)(void* data, const char* line), void* const data)
{
  taker      = take;
  taker_data = data;
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
  if (taker) {
    taker(taker_data, text);
    return false;
  }
  fprintf(stderr, "fronthash%s%s: %s\n", *current_verb ? " " : "", current_verb, text);
  return false;
}
