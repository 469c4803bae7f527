// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Draws the made-up session to a PNG, to be looked at: shot FILE [SECONDS [WIDTH HEIGHT SCALE]]

#include "session.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int
main(const int argc, char** const argv)
{
  if (argc < 2) {
    fprintf(stderr, "usage: shot FILE [SECONDS [WIDTH HEIGHT SCALE]]\n");
    return 1;
  }
  const size_t    n       = (size_t)(SESSION_RATE * (argc > 2 ? atof(argv[2]) : 20.0));
  const FhPicture picture = {"Made-up session", argc > 3 ? atof(argv[3]) : 1280.0, argc > 4 ? atof(argv[4]) : 720.0,
                             argc > 5 ? atof(argv[5]) : 1.0};
  FhFrame* const  frames  = (FhFrame*)calloc(n + 1, sizeof(FhFrame));
  session_fill(frames, n);
  const int error = fh_view_png(argv[1], &picture, frames, n);
  if (error) {
    fprintf(stderr, "shot: cannot write %s: %s\n", argv[1], strerror(error));
  }
  free(frames);
  return error ? 1 : 0;
}
