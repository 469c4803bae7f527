// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/progress.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

#define CELLS 40

static double
now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

FhProgress
fh_progress_start(const char* const what)
{
  return (FhProgress){.what = what, .started = now(), .on = isatty(STDERR_FILENO)};
}

void
fh_progress_show(FhProgress* const progress, const double asked)
{
  const double done = asked < 1.0 ? asked : 1.0;
  const double t    = progress->on ? now() : 0.0;
  if (!progress->on || t < progress->started + 1.0 || t < progress->drawn + 0.1) {
    return;
  }
  progress->drawn   = t;
  progress->visible = true;
  const int    full = (int)(done * CELLS);
  const double left = done > 0.0 ? (t - progress->started) * (1.0 - done) / done : 0.0;
  fprintf(stderr, "\r%s [", progress->what);
  for (int i = 0; i < CELLS; ++i) {
    fputc(i < full ? '#' : '.', stderr);
  }
  fprintf(stderr, "] %3d %%, %d s left  ", (int)(100.0 * done), (int)(left + 0.5));
}

void
fh_progress_end(FhProgress* const progress)
{
  if (progress->visible) {
    fprintf(stderr, "\r\033[K");
    progress->visible = false;
  }
}
