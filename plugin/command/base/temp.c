// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/temp.h"

#include "command/base/complain.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define OPEN_MAX_FILES 16

// Names of unfinished files, for the signal handler; an empty name is a free place
static char unfinished[OPEN_MAX_FILES][FH_PATH_MAX];

static void
remove_unfinished(const int signal_number)
{
  for (int i = 0; i < OPEN_MAX_FILES; ++i) {
    if (unfinished[i][0] && unlink(unfinished[i])) {
      rmdir(unfinished[i]);
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

void
fh_temp_note(const char* const from, const char* const to)
{
  for (int i = 0; i < OPEN_MAX_FILES; ++i) {
    if (!strcmp(unfinished[i], from)) {
      memcpy(unfinished[i], to, strlen(to) + 1);
      return;
    }
  }
}

bool
fh_flush(const char* const path)
{
  const int fd = open(path, O_RDONLY | O_CLOEXEC);
  if (fd < 0) {
    return false;
  }
  // EINVAL: a folder on a file system that cannot flush one
  const bool ok    = !fsync(fd) || errno == EINVAL;
  const int  error = errno;
  close(fd);
  errno = error;
  return ok;
}

bool
fh_flush_folder_of(const char* const path)
{
  char        folder[FH_PATH_MAX];
  const char* slash = strrchr(path, '/');
  if (!slash) {
    return fh_flush(".");
  }
  snprintf(folder, sizeof(folder), "%.*s", slash == path ? 1 : (int)(slash - path), path);
  return fh_flush(folder);
}

bool
fh_resolve(const char* const path, char resolved[FH_PATH_MAX])
{
  struct stat there;
  if (!lstat(path, &there) && S_ISLNK(there.st_mode)) {
    return realpath(path, resolved) ||
           fh_complain("%s is a link to nothing (%s); remove it or name another place", path, strerror(errno));
  }
  return (size_t)snprintf(resolved, FH_PATH_MAX, "%s", path) < FH_PATH_MAX ||
         fh_complain("the file name is too long; name a shorter one");
}

bool
fh_temp_open(FhTemp* const temp, const char* const path, const bool replace)
{
  temp->temp[0] = '\0';
  temp->replace = replace;
  struct stat there;
  if (!fh_resolve(path, temp->target)) {
    return false;
  }
  if (!stat(path, &there)) {
    if (S_ISDIR(there.st_mode)) {
      return fh_complain("%s is a folder; name a file", path);
    }
    if (!S_ISREG(there.st_mode)) {
      return fh_complain("%s is not a plain file; name another", path);
    }
    if (!replace) {
      return fh_complain("%s is there already; name another file or folder, or allow it with --replace", path);
    }
  }

  const char* const slash  = strrchr(temp->target, '/');
  const int         folder = slash ? (int)(slash - temp->target) + 1 : 0;
  // The suffix stays: writers choose a format by it
  const char* const name = temp->target + folder;
  if ((size_t)snprintf(temp->path, FH_PATH_MAX, "%s", path) >= FH_PATH_MAX ||
      (size_t)snprintf(temp->temp, FH_PATH_MAX, "%.*s.XXXXXX-%s", folder, temp->target, name) >= FH_PATH_MAX) {
    temp->temp[0] = '\0';
    return fh_complain("the file name is too long; name a shorter one");
  }
  const int fd = mkstemps(temp->temp, (int)strlen(name) + 1);
  if (fd < 0) {
    const int error = errno;
    temp->temp[0]   = '\0';
    return fh_complain("%s cannot be written (%s); name another place", path, strerror(error));
  }
  fh_temp_note("", temp->temp);
  const mode_t mask = umask(0);
  umask(mask);
  fchmod(fd, 0666 & ~mask);
  close(fd);
  return true;
}

/// Give the file its name, never over another file unless that is allowed
static bool
take_name(const FhTemp* const temp)
{
  if (temp->replace) {
    return !rename(temp->temp, temp->target);
  }
  if (!renameat2(AT_FDCWD, temp->temp, AT_FDCWD, temp->target, RENAME_NOREPLACE)) {
    return true;
  }
  // Some file systems know no such rename; link refuses an existing name as well
  if (errno != EINVAL || link(temp->temp, temp->target)) {
    return false;
  }
  unlink(temp->temp);
  return true;
}

bool
fh_temp_commit(FhTemp* const temp)
{
  const bool failed = !fh_flush(temp->temp) || !take_name(temp);
  const int error = errno;
  if (failed) {
    fh_temp_drop(temp);
    return fh_complain("%s cannot be written (%s); name another place", temp->path, strerror(error));
  }
  fh_temp_note(temp->temp, "");
  temp->temp[0] = '\0';
  return fh_flush_folder_of(temp->target) ||
         fh_complain("%s is written, but the disk cannot keep it (%s); check the disk", temp->path, strerror(errno));
}

bool
fh_temp_commit_picture(FhTemp* const temp, const bool drawn)
{
  if (!drawn) {
    fh_temp_drop(temp);
    return fh_complain("%s cannot be drawn; is the disk full?", temp->path);
  }
  return fh_temp_commit(temp);
}

void
fh_temp_drop(FhTemp* const temp)
{
  if (temp->temp[0]) {
    unlink(temp->temp);
    fh_temp_note(temp->temp, "");
    temp->temp[0] = '\0';
  }
}
