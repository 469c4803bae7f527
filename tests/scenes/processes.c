// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "processes.h"

#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

void*
fh_shared(const size_t size)
{
  void* const memory = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  if (memory == MAP_FAILED) {
    fputs("out of memory\n", stderr);
    exit(EXIT_FAILURE);
  }
  return memory;
}

static void
work(atomic_int* const next, const int count, void (*const run)(int, void*), void* const what)
{
  for (int number; (number = atomic_fetch_add(next, 1)) < count;) {
    run(number, what);
  }
}

void
fh_spread(const int processes, const int count, void (*const run)(int, void*), void* const what)
{
  atomic_int* const next = (atomic_int*)fh_shared(sizeof(atomic_int));
  fflush(NULL);
  for (int p = 0; p < processes; ++p) {
    const pid_t child = fork();
    if (child == 0) {
      work(next, count, run, what);
      _exit(0);
    }
    if (child < 0) {
      work(next, count, run, what); // no second process: do it here
    }
  }
  while (wait(NULL) > 0) {
  }
  munmap(next, sizeof(atomic_int));
}
