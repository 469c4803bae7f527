// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file misfortune.c
/// Preloaded into the command: counts its calls that change files, and strikes at the one named by FH_STRIKE. The
/// process is killed before that call (FH_HOW=kill), or the call and all later writes fail as on a full disk
/// (FH_HOW=full). Without FH_STRIKE, the count goes to the file named by FH_COUNT at the end.

#include <dlfcn.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int count;

/// True if this call is to fail
static int
strikes(const int keeps)
{
  const char* const at  = getenv("FH_STRIKE");
  const int         now = ++count;
  if (!at || now < atoi(at)) {
    return 0;
  }
  if (!strcmp(getenv("FH_HOW"), "kill")) {
    raise(SIGKILL);
  }
  errno = ENOSPC;
  return keeps || now == atoi(at);
}

static void* __attribute__((noinline))
real(const char* const name)
{
  return dlsym(RTLD_NEXT, name);
}

#define STRIKE(result, name, parameters, arguments, keeps, failure) \
  result name parameters;                                           \
  result name parameters                                            \
  {                                                                 \
    result(*next) parameters;                                       \
    void* const symbol = real(#name);                               \
    memcpy(&next, &symbol, sizeof(next));                           \
    return strikes(keeps) ? failure : next arguments;               \
  }

STRIKE(int, mkdir, (const char* path, mode_t mode), (path, mode), 1, -1)
STRIKE(char*, mkdtemp, (char* path), (path), 1, NULL)
STRIKE(int, mkstemps, (char* path, int suffix), (path, suffix), 1, -1)
STRIKE(int, fsync, (int file), (file), 1, -1)
STRIKE(int, link, (const char* from, const char* to), (from, to), 1, -1)
STRIKE(int, rename, (const char* from, const char* to), (from, to), 0, -1)
STRIKE(int, renameat2, (int a, const char* from, int b, const char* to, unsigned flags), (a, from, b, to, flags), 0, -1)
STRIKE(int, unlink, (const char* path), (path), 0, -1)
STRIKE(int, rmdir, (const char* path), (path), 0, -1)

/// Only files: standard output and error are the test's
ssize_t
write(const int file, const void* const data, const size_t size)
{
  ssize_t (*next)(int, const void*, size_t);
  void* const symbol = real("write");
  memcpy(&next, &symbol, sizeof(next));
  return file > 2 && strikes(1) ? -1 : next(file, data, size);
}

static void __attribute__((destructor))
tell(void)
{
  const char* const path = getenv("FH_COUNT");
  FILE* const       file = path ? fopen(path, "w") : NULL;
  if (file) {
    fprintf(file, "%d\n", count);
    fclose(file);
  }
}
