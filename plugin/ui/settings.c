// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#define _POSIX_C_SOURCE 200809L // mkstemp

#include "ui/settings.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define DAY "colours day\n"
#define DARK "colours dark\n"

/// Folder of the settings; false if there is none or its name is too long. Makes it where `make` is set
static bool
find_folder(char folder[PATH_MAX], const bool make)
{
  const char* const config = getenv("XDG_CONFIG_HOME");
  const char* const home   = getenv("HOME");
  const bool        given  = config && config[0] == '/'; // The specification: a relative path is to be ignored
  if (!given && (!home || home[0] != '/')) {
    return false;
  }
  const char* const base = given ? config : home;
  const int         room = snprintf(folder, PATH_MAX, "%s%s", base, given ? "" : "/.config");
  if (room < 0 || room + 32 > PATH_MAX) {
    return false;
  }
  if (make) {
    mkdir(folder, 0700);
  }
  strcat(folder, "/fronthash");
  if (make) {
    mkdir(folder, 0700); // What fails here shows when the file is opened
  }
  return true;
}

bool
fh_settings_day(void)
{
  char path[PATH_MAX];
  if (!find_folder(path, false)) {
    return false;
  }
  strcat(path, "/window");
  FILE* const file     = fopen(path, "r");
  char        line[32] = "";
  if (file) {
    const bool any = fgets(line, sizeof(line), file) != NULL;
    fclose(file);
    return any && !strcmp(line, DAY);
  }
  return false;
}

int
fh_settings_keep_day(const bool day)
{
  char part[PATH_MAX], path[PATH_MAX];
  if (!find_folder(path, true)) {
    return ENOENT;
  }
  memcpy(part, path, sizeof(part));
  strcat(path, "/window");
  strcat(part, "/window.XXXXXX");
  const int file = mkstemp(part);
  if (file < 0) {
    return errno;
  }
  const char* const text   = day ? DAY : DARK;
  const ssize_t     length = (ssize_t)strlen(text);
  int               error  = write(file, text, (size_t)length) == length ? 0 : errno ? errno : EIO;
  error                    = close(file) && !error ? errno : error;
  error                    = !error && rename(part, path) ? errno : error;
  if (error) {
    unlink(part);
  }
  return error;
}
