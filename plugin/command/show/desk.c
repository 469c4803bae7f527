// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/show/desk.h"

#include "command/base/complain.h"

#include <stdio.h>
#include <string.h>

bool
fh_desk_may(const FhDeskWish* const wish, const char* const ambient)
{
  if (!wish->show && wish->stands.count) {
    return fh_complain("--stand names a stand of a show; name the show, too, with --show");
  }
  if (wish->show && ambient) {
    return fh_complain("a show has its ambient microphone in the recording of all channels; leave --ambient out");
  }
  return true;
}

/// Where a channel of the interface is in the recording. @return false where it is not
static bool
has_channel(const FhDesk* const desk, const FhChannels* const given, const uint32_t wanted, uint32_t* const found)
{
  *found = wanted - 1;
  for (uint32_t i = 0; i < given->count; ++i) {
    if (given->at[i] == wanted - 1) {
      *found = i;
      return true;
    }
  }
  return !given->count && wanted <= desk->recording.channels;
}

static bool
find_channel(const FhDesk* const desk, const FhChannels* const given, const uint32_t wanted, const char* const whose,
             uint32_t* const found)
{
  const uint32_t channels = desk->recording.channels;
  if (has_channel(desk, given, wanted, found)) {
    return true;
  }
  if (given->count) {
    return fh_complain("--channels leaves out channel %u, which %s of %s needs; add it, or name other stands with --stand", wanted,
                       whose, desk->show->path);
  }
  return fh_complain("%s has %u channels, and %s of %s needs channel %u; say with --channels which of the interface's channels "
                     "they are, as 1-8,17", desk->recording.path, channels, whose, desk->show->path, wanted);
}

bool
fh_stands_known(const FhShow* const show, const FhTextList* const names)
{
  for (size_t i = 0; i < names->count; ++i) {
    if (!fh_show_find(show, names->text[i])) {
      return false;
    }
  }
  return true;
}

bool
fh_stand_wanted(const FhStand* const stand, const FhTextList* const names)
{
  bool wanted = !names->count;
  for (size_t i = 0; i < names->count; ++i) {
    wanted = wanted || !strcmp(names->text[i], stand->name);
  }
  return wanted;
}

static bool
is_wanted(const FhStand* const stand, const FhDeskWish* const wish)
{
  bool comes = !wish->soloist;
  for (size_t i = 0; wish->soloist && i < stand->soloist_count; ++i) {
    comes = comes || !strcmp(wish->soloist, stand->soloist[i].name);
  }
  return comes && fh_stand_wanted(stand, &wish->stands);
}

static bool
add_stand(FhDesk* const desk, const FhDeskWish* const wish, const FhChannels* const given, const size_t index)
{
  const FhStand* const stand  = &desk->show->stand[index];
  const uint32_t       closes = fh_stand_closes(stand);
  FhDeskStand* const   s      = &desk->stand[desk->count++];
  char                 whose[FH_SHOW_NAME + 8];
  snprintf(whose, sizeof(whose), "stand %s", stand->name);
  *s = (FhDeskStand){.stand = stand, .number = index + 1, .mics = {.count = closes + 1}};
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    if (wish->soloist ? !strcmp(wish->soloist, stand->soloist[i].name) : i == 0) {
      s->soloist = &stand->soloist[i];
    }
  }
  for (uint32_t c = 0; c < closes; ++c) {
    if (!find_channel(desk, given, stand->input[c], whose, &s->mics.at[c])) {
      return false;
    }
  }
  return find_channel(desk, given, desk->show->ambient, "the ambient microphone", &s->mics.at[closes]);
}

/// The microphones of every stand that is there with all of them
static void
list_all(FhDesk* const desk, const FhChannels* const given)
{
  for (size_t i = 0; i < desk->show->stand_count; ++i) {
    const uint32_t    closes = fh_stand_closes(&desk->show->stand[i]);
    FhChannels* const mics   = &desk->all[desk->all_count];
    *mics                    = (FhChannels){.count = closes + 1};
    bool there               = has_channel(desk, given, desk->show->ambient, &mics->at[closes]);
    for (uint32_t c = 0; c < closes; ++c) {
      there = there && has_channel(desk, given, desk->show->stand[i].input[c], &mics->at[c]);
    }
    desk->all_count += there;
  }
}

static bool
read_channels(const FhDesk* const desk, const FhDeskWish* const wish, FhChannels* const given)
{
  if (!wish->channels) {
    return true;
  }
  if (!fh_channels_parse(given, "channels", wish->channels)) {
    return false;
  }
  return given->count == desk->recording.channels ||
         fh_complain("%s has %u channels, and --channels names %zu; name each of them once", desk->recording.path,
                     desk->recording.channels, given->count);
}

bool
fh_desk_open(FhDesk* const desk, const FhDeskWish* const wish)
{
  FhChannels given = {0};
  *desk            = (FhDesk){.show = fh_show_read(wish->show)};
  bool ok          = desk->show && fh_recording_open(&desk->recording, wish->take) && read_channels(desk, wish, &given);
  if (ok && desk->recording.rate != desk->show->rate) {
    ok = fh_complain("%s runs at %u Hz, and %s says %u; convert the one, or mend the line rate of the other", wish->take,
                     desk->recording.rate, desk->show->path, desk->show->rate);
  }
  ok = ok && fh_stands_known(desk->show, &wish->stands);
  for (size_t i = 0; ok && i < desk->show->stand_count; ++i) {
    ok = !is_wanted(&desk->show->stand[i], wish) || add_stand(desk, wish, &given, i);
  }
  if (ok && !desk->count) {
    ok = fh_complain("no soloist %s comes to %s of %s; fronthash show lists them", wish->soloist,
                     wish->stands.count ? "that stand" : "any stand", desk->show->path);
  }
  if (!ok) {
    fh_desk_close(desk);
    return false;
  }
  list_all(desk, &given);
  return true;
}

void
fh_desk_close(FhDesk* const desk)
{
  fh_recording_close(&desk->recording);
  fh_show_free(desk->show);
  desk->show = NULL;
}

bool
fh_desk_file(char path[FH_PATH_MAX], const char* const folder, const FhDeskStand* const stand, const char* const ending)
{
  const int n = snprintf(path, FH_PATH_MAX, "%s/%02zu ", folder, stand->number);
  if (n < 0 || (size_t)n + strlen(stand->stand->name) + strlen(ending) >= FH_PATH_MAX) {
    return fh_complain("the file name is too long; name a shorter folder with --output");
  }
  char* to = path + n;
  for (const char* from = stand->stand->name; *from; ++from) {
    *to++ = strchr("/\\:*?\"<>|", *from) ? '_' : *from;
  }
  snprintf(to, FH_PATH_MAX - (size_t)(to - path), "%s", ending);
  return true;
}
