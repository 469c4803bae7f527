// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Stands for a fuzzing engine in the tests: seeded random inputs, most of them made from one that is accepted by changing,
// cutting and repeating pieces of it.
//
//   fuzz_TARGET COUNT [SEED]    try so many inputs; the same seed tries the same ones
//   fuzz_TARGET --seed FILE     write the accepted input, for a fuzzing engine to begin with

#include "fuzz.h"

#include "noise.h"

#include <string.h>

static uint32_t
below(uint32_t* const seed, const uint32_t count)
{
  return (uint32_t)(((uint64_t)fh_noise_next(seed) * count) >> 32);
}

/// Change one piece of an input in one of several ways. @return its new size
static size_t
change(uint8_t* const data, const size_t size, uint32_t* const seed)
{
  static const uint8_t odd[] = {0x00, 0x7F, 0x80, 0xFF, 0x0A, 0x22, 0x3E, 0x2E};
  const size_t         at    = size ? below(seed, (uint32_t)size) : 0;
  const size_t         most  = 1 + below(seed, 16);
  const size_t         count = size - at < most ? size - at : most;
  switch (below(seed, 5)) {
  case 0: // a bit
    if (size) {
      data[at] ^= (uint8_t)(1u << below(seed, 8));
    }
    return size;
  case 1: // noise
    for (size_t i = 0; i < count; ++i) {
      data[at + i] = (uint8_t)below(seed, 256);
    }
    return size;
  case 2: // extremes, as in lengths and exponents
    memset(data + at, odd[below(seed, sizeof(odd))], count);
    return size;
  case 3: // cut out, or off
    memmove(data + at, data + at + count, size - at - count);
    return below(seed, 4) ? size - count : at;
  default: // once more
    if (size + count > FH_FUZZ_MAX) {
      return size;
    }
    memmove(data + at + count, data + at, size - at);
    return size + count;
  }
}

static size_t
invent(uint8_t* const data, const uint8_t* const accepted, const size_t size, uint32_t* const seed)
{
  if (!below(seed, 8)) {
    const size_t length = below(seed, 1024);
    for (size_t i = 0; i < length; ++i) {
      data[i] = (uint8_t)below(seed, 256);
    }
    return length;
  }
  size_t length = size;
  memcpy(data, accepted, size);
  for (uint32_t i = below(seed, 9); i > 0; --i) {
    length = change(data, length, seed);
  }
  return length;
}

static int
write_seed(const char* const path)
{
  static uint8_t accepted[FH_FUZZ_MAX];
  const size_t   size = fh_fuzz_seed(accepted);
  FILE* const    file = fopen(path, "wb");
  const int      ok   = file && fwrite(accepted, 1, size, file) == size;
  if ((file && fclose(file)) || !ok) {
    fprintf(stderr, "cannot write %s; name a file in a folder that is there\n", path);
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}

int
main(const int argc, char** const argv)
{
  static uint8_t accepted[FH_FUZZ_MAX], data[FH_FUZZ_MAX];
  if (argc == 3 && !strcmp(argv[1], "--seed")) {
    return write_seed(argv[2]);
  }
  const long count = argc > 1 ? strtol(argv[1], NULL, 10) : 0;
  uint32_t   seed  = argc > 2 ? (uint32_t)strtoul(argv[2], NULL, 10) : 1u;
  if (count < 1) {
    fprintf(stderr, "usage: %s COUNT [SEED] | --seed FILE; COUNT is 1 or more\n", argv[0]);
    return EXIT_FAILURE;
  }
  const size_t size = fh_fuzz_seed(accepted);
  LLVMFuzzerTestOneInput(accepted, size);
  fh_promise(fh_fuzz_taken == 1, "the input to begin with is taken");
  for (long i = 0; i < count; ++i) {
    const uint32_t now    = seed;
    const size_t   length = invent(data, accepted, size, &seed);
    if (i % 100 == 0) {
      printf("input %ld, random state %u\n", i, now);
      fflush(stdout);
    }
    LLVMFuzzerTestOneInput(data, length);
  }
  printf("%ld inputs, %lu of them taken, nothing broken\n", count, fh_fuzz_taken - 1);
  return EXIT_SUCCESS;
}
