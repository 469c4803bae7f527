// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "temp.h"

#include "complain.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define OPEN_MAX_FILES 8

// Names of unfinished files, for the signal handler; an empty name is a free place
static char unfinished[OPEN_MAX_FILES][FH_PATH_MAX];

static void
remove_unfinished(const int signal_number)
{
  for (int i = 0; i < OPEN_MAX_FILES; ++i) {
    if (unfinished[i][0]) {
      unlink(unfinished[i]);
    }
  }
  _exit(128 + signal_number);
}

void
fh_temp_init(void)
{
  signal(SIGINT, remove_unfinished);
  signal(SIGTERM, remove_unfinished);
  signal(SIGHUP, remove_unfinished);
  signal(SIGXFSZ, SIG_IGN); // a file size limit is then a write error like a full disk
}

static void
note_unfinished(const char* const from, const char* const to)
{
  for (int i = 0; i < OPEN_MAX_FILES; ++i) {
    if (!strcmp(unfinished[i], from)) {
      memcpy(unfinished[i], to, strlen(to) + 1);
      return;
    }
  }
}

bool
fh_temp_open(FhTemp* const temp, const char* const path, const bool replace)
{
  temp->temp[0] = '\0';
  temp->replace = replace;
  struct stat there;
  if (!stat(path, &there)) {
    if (S_ISDIR(there.st_mode)) {
      return fh_complain("%s is a folder; name a file", path);
    }
    if (!S_ISREG(there.st_mode)) {
      return fh_complain("%s is not a plain file; name another", path);
    }
    if (!replace) {
      return fh_complain("%s is there already; name another with --output or allow it with --replace", path);
    }
  }

  const char* const slash  = strrchr(path, '/');
  const int         folder = slash ? (int)(slash - path) + 1 : 0;
  // The suffix stays: writers choose a format by it
  const char* const name = path + folder;
  if ((size_t)snprintf(temp->path, FH_PATH_MAX, "%s", path) >= FH_PATH_MAX ||
      (size_t)snprintf(temp->temp, FH_PATH_MAX, "%.*s.XXXXXX-%s", folder, path, name) >= FH_PATH_MAX) {
    temp->temp[0] = '\0';
    return fh_complain("the file name is too long; name a shorter one");
  }
  const int fd = mkstemps(temp->temp, (int)strlen(name) + 1);
  if (fd < 0) {
    const int error = errno;
    temp->temp[0]   = '\0';
    return fh_complain("%s cannot be written (%s); name another place", path, strerror(error));
  }
  note_unfinished("", temp->temp);
  const mode_t mask = umask(0);
  umask(mask);
  fchmod(fd, 0666 & ~mask);
  close(fd);
  return true;
}

bool
fh_temp_commit(FhTemp* const temp)
{
  // link refuses an existing name, rename replaces it
  int failed = temp->replace ? rename(temp->temp, temp->path) : link(temp->temp, temp->path);
  if (failed && !temp->replace && errno != EEXIST) {
    failed = rename(temp->temp, temp->path); // file systems without links
  }
  const int error = errno;
  if (failed) {
    fh_temp_drop(temp);
    return fh_complain("%s cannot be written (%s); name another place", temp->path, strerror(error));
  }
  if (!temp->replace) {
    unlink(temp->temp);
  }
  note_unfinished(temp->temp, "");
  temp->temp[0] = '\0';
  return true;
}

void
fh_temp_drop(FhTemp* const temp)
{
  if (temp->temp[0]) {
    unlink(temp->temp);
    note_unfinished(temp->temp, "");
    temp->temp[0] = '\0';
  }
}
