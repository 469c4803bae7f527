// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file make_soundcheck.c
/// Writes a made-up soundcheck: `make_soundcheck FILE soloist|group|mallets CLOSES sound|low [RATE [16|24|float]]`.
/// A FILE that ends in .flac is one.

#include "soundcheck.h"

#include <sndfile.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int
format_of(const char* const path, const char* const depth)
{
  const size_t length = strlen(path);
  const bool   flac   = length > 5 && !strcmp(path + length - 5, ".flac");
  const int    kind   =
    !strcmp(depth, "16") ? SF_FORMAT_PCM_16 : !strcmp(depth, "float") ? SF_FORMAT_FLOAT : SF_FORMAT_PCM_24;
  return kind | (flac ? SF_FORMAT_FLAC : SF_FORMAT_WAV);
}

int
main(const int argc, char** const argv)
{
  static const char* const kinds[] = {"soloist", "group", "mallets"};
  if (argc < 5) {
    fprintf(stderr, "usage: make_soundcheck FILE KIND CLOSES FAULT [RATE [DEPTH]]\n");
    return EXIT_FAILURE;
  }
  FhCheckKind kind = FH_CHECK_SOLOIST;
  for (int i = 0; i < 3; ++i) {
    kind = strcmp(argv[2], kinds[i]) ? kind : (FhCheckKind)i;
  }
  const int         closes = atoi(argv[3]);
  const FhMadeFault fault  = strcmp(argv[4], "low") ? FH_MADE_SOUND : FH_MADE_LOW;
  const int         rate   = argc > 5 ? atoi(argv[5]) : 48000;
  const char* const depth  = argc > 6 ? argv[6] : "24";
  FhMade   made     = fh_make_soundcheck(kind, (size_t)closes, (double)rate, (unsigned)fault, 1);
  SF_INFO  info     = {.channels = closes + 1, .samplerate = rate, .format = format_of(argv[1], depth)};
  SNDFILE* file     = sf_open(argv[1], SFM_WRITE, &info);
  float*   store    = malloc(made.take.frames * (size_t)info.channels * sizeof(float));
  bool     ok       = file && store;
  for (size_t i = 0; ok && i < made.take.frames; ++i) {
    for (size_t c = 0; c <= (size_t)closes; ++c) {
      store[i * ((size_t)closes + 1) + c] = made.take.mic[c][i];
    }
  }
  const sf_count_t frames = (sf_count_t)made.take.frames;
  ok                      = ok && sf_writef_float(file, store, frames) == frames;
  free(store);
  fh_made_free(&made);
  return ok && !sf_close(file) ? EXIT_SUCCESS : EXIT_FAILURE;
}
