// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file make_soundcheck.c
/// Writes a made-up soundcheck: `make_soundcheck FILE soloist|group|mallets CLOSES FAULT-NUMBER`.

#include "soundcheck.h"

#include <sndfile.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int
main(const int argc, char** const argv)
{
  static const char* const kinds[] = {"soloist", "group", "mallets"};
  if (argc != 5) {
    fprintf(stderr, "usage: make_soundcheck FILE KIND CLOSES FAULT\n");
    return EXIT_FAILURE;
  }
  FhCheckKind kind = FH_CHECK_SOLOIST;
  for (int i = 0; i < 3; ++i) {
    kind = strcmp(argv[2], kinds[i]) ? kind : (FhCheckKind)i;
  }
  const int closes   = atoi(argv[3]);
  FhMade    made     = fh_make_soundcheck(kind, (size_t)closes, 48000.0, (FhMadeFault)atoi(argv[4]));
  SF_INFO   info     = {.channels = closes + 1, .samplerate = 48000, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24};
  SNDFILE*  file     = sf_open(argv[1], SFM_WRITE, &info);
  bool      ok       = file != NULL;
  float     frame[3] = {0};
  for (size_t i = 0; ok && i < made.take.frames; ++i) {
    for (int c = 0; c <= closes; ++c) {
      frame[c] = made.take.mic[c][i];
    }
    ok = sf_writef_float(file, frame, 1) == 1;
  }
  fh_made_free(&made);
  return ok && !sf_close(file) ? EXIT_SUCCESS : EXIT_FAILURE;
}
