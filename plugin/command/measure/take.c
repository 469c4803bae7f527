// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/take.h"

#include "command/base/complain.h"

#include <math.h>
#include <stdlib.h>

#define MAX_SLACK 1.0 // s by which the two files of one recording may differ

double
fh_take_seconds(const FhTake* const take)
{
  return (double)take->sound.frames / take->sound.rate;
}

void
fh_take_free(FhTake* const take)
{
  fh_audio_free(&take->sound);
}

/// Put a mono ambient file behind the close channels
static bool
add_ambient(FhTake* const take, const char* const path, const char* const ambient)
{
  FhAudio other = {0};
  if (!fh_audio_read(&other, ambient)) {
    return false;
  }
  FhAudio* const sound = &take->sound;
  bool           ok    = false;
  if (other.channels != 1) {
    fh_complain("%s has %u channels; --ambient takes a file of one", ambient, other.channels);
  } else if (sound->channels > 2) {
    fh_complain("%s has %u channels; with --ambient it takes one close microphone, or the two of a pair", path,
                sound->channels);
  } else if (other.rate != sound->rate) {
    fh_complain("%s runs at %u Hz and %s at %u Hz; convert one to the rate of the other", path, sound->rate, ambient,
                other.rate);
  } else if (fabs((double)other.frames - (double)sound->frames) > MAX_SLACK * sound->rate) {
    fh_complain("%s lasts %.1f s and %s %.1f s; export both from one recording, of one length", path,
                (double)sound->frames / sound->rate, ambient, (double)other.frames / other.rate);
  } else {
    float* const resized = (float*)realloc(other.data[0], sound->frames * sizeof(float));
    ok                   = resized != NULL;
    if (ok) {
      for (size_t i = other.frames; i < sound->frames; ++i) {
        resized[i] = 0.0f;
      }
      sound->data[sound->channels++] = resized;
      other.data[0]                  = NULL;
    } else {
      fh_complain("not enough memory; cut the take into shorter ones");
    }
  }
  fh_audio_free(&other);
  return ok;
}

bool
fh_take_read(FhTake* const take, const char* const path, const char* const ambient)
{
  *take = (FhTake){0};
  if (!fh_audio_read(&take->sound, path)) {
    return false;
  }
  const uint32_t channels = take->sound.channels;
  bool           ok       = true;
  if (ambient) {
    ok = add_ambient(take, path, ambient);
  } else if (channels == 1) {
    ok = fh_complain("%s has one channel; put the ambient microphone on channel 2 or name its file with --ambient",
                     path);
  } else if (channels > 3) {
    ok = fh_complain("%s has %u channels; export close and ambient alone, or both close ones of a pair and ambient",
                     path, channels);
  }
  if (!ok) {
    fh_take_free(take);
    return false;
  }
  take->variant = &fh_variants[take->sound.channels == 3 ? 1 : 0];
  return true;
}
