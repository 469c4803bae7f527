// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#define _POSIX_C_SOURCE 200809L // clocks

#include "measure.h"

#include <X11/Xutil.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

void
pause_for(const double seconds)
{
  const struct timespec t = {(time_t)seconds, (long)(fmod(seconds, 1.0) * 1e9)};
  nanosleep(&t, NULL);
}

static double
seconds_of(const clockid_t clock)
{
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double
wall_seconds(void)
{
  return seconds_of(CLOCK_MONOTONIC);
}

double
used_seconds(void)
{
  return seconds_of(CLOCK_PROCESS_CPUTIME_ID);
}

int
open_files(void)
{
  int        count = 0;
  DIR* const dir   = opendir("/proc/self/fd");
  while (dir && readdir(dir)) {
    ++count;
  }
  closedir(dir);
  return count;
}

long
resident(void)
{
  long        pages = 0, total = 0;
  FILE* const file = fopen("/proc/self/statm", "r");
  if (!file || fscanf(file, "%ld %ld", &total, &pages) != 2) {
    fprintf(stderr, "no /proc/self/statm\n");
    exit(1);
  }
  fclose(file);
  return pages * 4;
}

Window
inner_window(Display* const display, const Window parent, unsigned* const w, unsigned* const h)
{
  Window   root, above, *children = NULL;
  unsigned count = 0, border, depth;
  int      x, y;
  XQueryTree(display, parent, &root, &above, &children, &count);
  const Window window = count == 1 ? children[0] : None;
  if (!window || !XGetGeometry(display, window, &root, &x, &y, w, h, &border, &depth)) {
    fprintf(stderr, "the parent does not hold one window\n");
    exit(1);
  }
  XFree(children);
  return window;
}

unsigned long
corner_pixel(Display* const display, const Window parent)
{
  unsigned      w = 0, h = 0;
  XImage* const image = XGetImage(display, inner_window(display, parent, &w, &h), 3, 3, 1, 1, AllPlanes, ZPixmap);
  if (!image) {
    fprintf(stderr, "the window cannot be looked at\n");
    exit(1);
  }
  const unsigned long rgb = XGetPixel(image, 0, 0) & 0xffffff;
  XDestroyImage(image);
  return rgb;
}
