// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A sound file of any bytes is read whole, with what audio.h promises of it, or refused with exactly one line.

#include "command/base/audio.h"
#include "complaints.h"
#include "fuzz.h"

#include <math.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

unsigned long fh_fuzz_taken;

/// WAVE, 16 bits, two channels (Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0, 1991)
size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  static const uint8_t head[44] = {'R', 'I', 'F', 'F', 36, 4, 0, 0, 'W', 'A', 'V', 'E', 'f', 'm', 't', ' ', 16, 0, 0, 0, 1, 0,
                                   2, 0, 0x80, 0xBB, 0, 0, 0, 0xEE, 2, 0, 4, 0, 16, 0, 'd', 'a', 't', 'a', 0, 4, 0, 0};
  memcpy(to, head, sizeof(head));
  for (int i = 0; i < 1024; ++i) {
    to[44 + i] = (uint8_t)(i * 7);
  }
  return 44 + 1024;
}

static void
check(const FhAudio* const audio)
{
  fh_promise(audio->channels >= 1 && audio->channels <= FH_AUDIO_CHANNELS, "one to eight channels");
  fh_promise(audio->rate >= 8000 && audio->rate <= 192000, "rate within 8 to 192 kHz");
  fh_promise(audio->frames > 0, "not empty");
  for (uint32_t c = 0; c < audio->channels; ++c) {
    for (size_t i = 0; i < audio->frames; ++i) {
      fh_promise(isfinite(audio->data[c][i]) != 0, "samples are finite");
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  char      path[64];
  const int file = memfd_create("sound", 0);
  fh_promise(file >= 0 && write(file, data, size) == (ssize_t)size, "a file in memory can be written");
  snprintf(path, sizeof(path), "/proc/self/fd/%d", file);
  FhAudio audio;
  memset(&audio, 0, sizeof(audio));
  complaints    = 0;
  const bool ok = fh_audio_read(&audio, path);
  fh_promise(complaints == !ok, "exactly one line where a file is refused");
  fh_fuzz_taken += ok;
  if (ok) {
    check(&audio);
  }
  fh_audio_free(&audio);
  close(file);
  return 0;
}
