// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[] = "/tmp/fronthash-test-XXXXXX";

static const char* const functions = "fronthash() { \"$FH_COMMAND\" \"$@\"; }\n"
                                     "make_take() { \"$FH_MAKE_TAKE\" \"$@\"; }\n";

int
enter_folder(void** const state)
{
  (void)state;
  if (!getenv("FH_COMMAND") || !mkdtemp(folder) || chdir(folder) || mkdir(".home", 0755)) {
    return -1;
  }
  char home[64];
  snprintf(home, sizeof(home), "%s/.home", folder);
  setenv("HOME", home, 1);
  return setenv("LV2_PATH", getenv("FH_BUNDLES"), 1);
}

int
leave_folder(void** const state)
{
  (void)state;
  char line[64];
  snprintf(line, sizeof(line), "rm -rf '%s'", folder);
  return chdir("/") || system(line);
}

/// Whole text of a small file
static void
read_text(const char* const path, char text[TEXT_MAX])
{
  FILE* const file = fopen(path, "r");
  assert_non_null(file);
  text[fread(text, 1, TEXT_MAX - 1, file)] = '\0';
  fclose(file);
}

Said*
run(const char* const format, ...)
{
  static Said said;
  static char line[16384];
  va_list     args;
  const int   at = snprintf(line, sizeof(line), "%s{ ", functions);
  va_start(args, format);
  const int n = vsnprintf(line + at, sizeof(line) - (size_t)at, format, args);
  va_end(args);
  snprintf(line + at + n, sizeof(line) - (size_t)(at + n), "\n} >.out 2>.err </dev/null");
  const int status = system(line);
  assert_true(WIFEXITED(status));
  said.code = WEXITSTATUS(status);
  read_text(".out", said.out);
  read_text(".err", said.err);
  return &said;
}

const char*
listing(void)
{
  static char text[TEXT_MAX];
  FILE* const pipe = popen("ls -lAR --time-style=+ --ignore=.out --ignore=.err", "r");
  assert_non_null(pipe);
  text[fread(text, 1, sizeof(text) - 1, pipe)] = '\0';
  pclose(pipe);
  return text;
}

void
write_text(const char* const path, const char* const text)
{
  FILE* const file = fopen(path, "w");
  assert_non_null(file);
  fputs(text, file);
  assert_int_equal(fclose(file), 0);
}

double
number_of(const char* const json, const char* const key)
{
  char quoted[64];
  snprintf(quoted, sizeof(quoted), "\"%s\": ", key);
  const char* const at = strstr(json, quoted);
  if (!at) {
    fail_msg("no %s in %s", key, json);
  }
  const char* const value = at + strlen(quoted);
  return strncmp(value, "null", 4) ? strtod(value, NULL) : (double)NAN;
}

void
assert_complaint(const Said* const said, const char* const phrase, const char* const what)
{
  const char* const line_end = strchr(said->err, '\n');
  if (said->code != 1 || said->out[0] || strncmp(said->err, "fronthash", 9) || !line_end || line_end[1] ||
      !strstr(said->err, phrase)) {
    fail_msg("%s: exit code %d, output '%s', expected one line with '%s' but got '%s'", what, said->code, said->out,
             phrase, said->err);
  }
}
