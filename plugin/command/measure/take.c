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

static bool
add_channels(FhChannels* const channels, const long first, const long last)
{
  for (long at = first; at <= last; ++at) {
    for (size_t i = 0; i < channels->count; ++i) {
      if (channels->at[i] == (uint32_t)(at - 1)) {
        return false;
      }
    }
    channels->at[channels->count++] = (uint32_t)(at - 1);
  }
  return true;
}

bool
fh_channels_parse(FhChannels* const channels, const char* const option, const char* const text)
{
  const char* at = text;
  *channels      = (FhChannels){0};
  for (bool more = true; more;) {
    char*      end   = NULL;
    const long first = strtol(at, &end, 10);
    long       last  = first;
    bool       ok    = end != at && *at >= '0' && *at <= '9';
    if (ok && *end == '-') {
      at   = end + 1;
      last = strtol(at, &end, 10);
      ok   = end != at && *at >= '0' && *at <= '9';
    }
    more = *end == ',';
    if (!ok || (*end && !more) || first < 1 || last < first || last > FH_RECORDING_CHANNELS ||
        !add_channels(channels, first, last)) {
      return fh_complain("--%s takes channels from 1 to %d, each once, as in 3,9 or 1-8,12, not '%s'", option,
                         FH_RECORDING_CHANNELS, text);
    }
    at = end + 1;
  }
  return true;
}

/// The microphones of a recording that holds one take alone
static bool
take_all(const FhRecording* const recording, FhChannels* const mics, const bool joined)
{
  const uint32_t channels = recording->channels;
  *mics                   = (FhChannels){.count = channels > 3 ? 0 : channels, .at = {0, 1, 2}};
  if (joined && channels > 3) {
    return fh_complain("%s has %u channels; with --ambient it takes one close microphone, or the two of a pair",
                       recording->path, channels - 1);
  }
  if (channels == 1) {
    return fh_complain("%s has one channel; put the ambient microphone on channel 2 or name its file with --ambient",
                       recording->path);
  }
  return channels <= 3 || fh_complain("%s has %u channels; say which are the close microphone and the ambient, as in --channels "
                                      "3,%u, or name the show with --show", recording->path, channels, channels);
}

static bool
take_chosen(const FhRecording* const recording, FhChannels* const mics, const char* const chosen)
{
  if (!fh_channels_parse(mics, "channels", chosen)) {
    return false;
  }
  if (mics->count < 2 || mics->count > 3) {
    return fh_complain("--channels takes the close microphone, or both of a pair, and then the ambient one, as in 3,9, not '%s'",
                       chosen);
  }
  for (size_t i = 0; i < mics->count; ++i) {
    if (mics->at[i] >= recording->channels) {
      return fh_complain("%s has %u channels, and --channels names channel %u; count again", recording->path,
                         recording->channels, mics->at[i] + 1);
    }
  }
  return true;
}

bool
fh_take_open(FhRecording* const recording, FhChannels* const mics, const char* const path, const char* const ambient,
             const char* const chosen)
{
  if (ambient && chosen) {
    return fh_complain("--channels names the ambient microphone, too; leave --ambient out");
  }
  const bool ok = fh_recording_open(recording, path) && (!ambient || fh_recording_join(recording, ambient, MAX_SLACK)) &&
                  (chosen ? take_chosen(recording, mics, chosen) : take_all(recording, mics, ambient != NULL));
  if (!ok) {
    fh_recording_close(recording);
  }
  return ok;
}

bool
fh_take_load(FhTake* const take, FhRecording* const recording, const FhChannels* const mics, const FhStretches* const parts)
{
  const FhStretches whole = {.count = 1, .at = {{0.0, fh_recording_seconds(recording)}}};
  const FhStretches* const list = parts ? parts : &whole;
  const size_t       fade       = list->count > 1 ? (size_t)(FH_TAKE_JOIN * recording->rate) : 0;
  size_t             first[FH_LIST_MAX], length[FH_LIST_MAX];
  size_t             frames     = 0;
  for (size_t i = 0; i < list->count; ++i) {
    const size_t end = (size_t)llrint(list->at[i].end * recording->rate);
    first[i]         = (size_t)llrint(list->at[i].start * recording->rate);
    length[i]        = (end < recording->frames ? end : recording->frames) - first[i];
    frames += length[i] - (i ? fade : 0);
  }
  *take         = (FhTake){.from = list->count == 1 ? list->at[0].start : 0.0};
  take->variant = &fh_variants[mics->count == 3 ? 1 : 0];
  bool   ok     = fh_audio_room(&take->sound, recording, (uint32_t)mics->count, frames);
  size_t to     = 0;
  for (size_t i = 0; ok && i < list->count; ++i) {
    ok = fh_audio_add(&take->sound, recording, mics->at, first[i], length[i], to, fade);
    to += length[i] - fade;
  }
  if (!ok) {
    fh_take_free(take);
  }
  return ok;
}

bool
fh_take_read(FhTake* const take, const char* const path, const char* const ambient)
{
  FhRecording recording = {0};
  FhChannels  mics;
  *take         = (FhTake){0};
  const bool ok = fh_take_open(&recording, &mics, path, ambient, NULL) && fh_take_load(take, &recording, &mics, NULL);
  fh_recording_close(&recording);
  return ok;
}
