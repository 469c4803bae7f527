// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "preset_write.h"

#include "complain.h"

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TURTLE "state.ttl" // the name that jalv -l looks for

bool
fh_preset_folder(const char* const label, char folder[FH_PATH_MAX])
{
  const char* const home = getenv("HOME");
  if (!home || !*home) {
    return fh_complain("there is no home folder to put the preset in; name a folder with --output");
  }
  const int start = snprintf(folder, FH_PATH_MAX, "%s/.lv2/fronthash_", home);
  if (start < 0 || (size_t)start + strlen(label) + sizeof(".preset.lv2") > FH_PATH_MAX) {
    return fh_complain("the preset's name is too long; name a shorter one");
  }
  char* to = folder + start;
  for (const char* from = label; *from; ++from) {
    const bool plain = isalnum((unsigned char)*from) || (*from & 0x80);
    if (plain) {
      *to++ = *from;
    } else if (to[-1] != '_') {
      *to++ = '_';
    }
  }
  to -= to[-1] == '_';
  memcpy(to, ".preset.lv2", sizeof(".preset.lv2"));
  return true;
}

/// A folder that this command wrote: nothing else in it
static bool
is_ours(const char* const folder)
{
  DIR* const dir   = opendir(folder);
  bool       ours  = dir != NULL;
  int        count = 0;
  for (const struct dirent* entry = NULL; dir && (entry = readdir(dir));) {
    if (entry->d_name[0] != '.') {
      ours = ours && (!strcmp(entry->d_name, "manifest.ttl") || !strcmp(entry->d_name, TURTLE));
      ++count;
    }
  }
  if (dir) {
    closedir(dir);
  }
  return ours && count == 2;
}

bool
fh_preset_may_write(const char* const folder, const bool replace)
{
  struct stat there;
  if (stat(folder, &there)) {
    return errno == ENOENT || fh_complain("%s cannot be written (%s); name another place", folder, strerror(errno));
  }
  if (!is_ours(folder)) {
    return fh_complain("%s is there and is no preset of this command; name another folder with --output", folder);
  }
  return replace || fh_complain("%s is there already; name another with --output or allow it with --replace", folder);
}

static void
remove_bundle(const char* const folder)
{
  static const char* const files[] = {"manifest.ttl", TURTLE};
  for (size_t i = 0; i < 2; ++i) {
    char path[FH_PATH_MAX];
    if ((size_t)snprintf(path, sizeof(path), "%s/%s", folder, files[i]) < sizeof(path)) {
      unlink(path);
    }
  }
  rmdir(folder);
}

/// Make ~/.lv2 and the like; only the last folder but one may be missing
static void
make_parent(const char* const folder)
{
  char        path[FH_PATH_MAX];
  snprintf(path, sizeof(path), "%s", folder);
  char* const slash = strrchr(path, '/');
  if (slash && slash != path) {
    *slash = '\0';
    mkdir(path, 0777);
  }
}

/// Move the finished bundle to its place, an old one out of the way and then away
static bool
move_into_place(const char* const temp, const char* const folder, const bool replace)
{
  char old[FH_PATH_MAX];
  if ((size_t)snprintf(old, sizeof(old), "%s.old", temp) >= sizeof(old)) {
    return false;
  }
  const bool had = replace && !rename(folder, old);
  if (rename(temp, folder)) {
    if (had && rename(old, folder)) {
      return false;
    }
    return false;
  }
  if (had) {
    remove_bundle(old);
  }
  return true;
}

bool
fh_preset_write(FhHost* const host, const char* const folder, const char* const label, const bool replace)
{
  char temp[FH_PATH_MAX];
  if (!fh_preset_may_write(folder, replace)) {
    return false;
  }
  make_parent(folder);
  const size_t length = strlen(folder);
  const int    bare   = (int)(length > 1 && folder[length - 1] == '/' ? length - 1 : length);
  if ((size_t)snprintf(temp, sizeof(temp), "%.*s.XXXXXX", bare, folder) >= sizeof(temp) || !mkdtemp(temp)) {
    return fh_complain("%s cannot be written (%s); name another place", folder, strerror(errno));
  }
  const mode_t mask = umask(0);
  umask(mask);
  chmod(temp, 0777 & ~mask);

  const int        quiet = fh_quiet_begin();
  LilvState* const state = fh_host_state(host);
  lilv_state_set_label(state, label);
  const int failed = lilv_state_save(host->world, &host->map, &host->unmap, state, NULL, temp, TURTLE);
  lilv_state_free(state);
  fh_quiet_end(quiet);

  if (failed || !is_ours(temp) || !move_into_place(temp, folder, replace)) {
    remove_bundle(temp);
    return fh_complain("%s cannot be written; is the disk full?", folder);
  }
  return true;
}

void
fh_preset_filter(const FhVariant* const variant, const float* const settings, char text[FH_FILTER_MAX])
{
  size_t at = (size_t)snprintf(text, FH_FILTER_MAX, "lv2=p=");
  for (const char* c = variant->uri; *c; ++c) {
    // a filter's colons are escaped twice
    at += (size_t)snprintf(text + at, FH_FILTER_MAX - at, *c == ':' ? "\\\\%c" : "%c", *c);
  }
  bool any = false;
  for (int c = FH_OPEN_MARGIN; c < FH_INPUT_COUNT; ++c) { // those before belong to the moment
    if (settings[c] != fh_controls[c].def) {
      at += (size_t)snprintf(text + at, FH_FILTER_MAX - at, "%s%s=%.6g", any ? "|" : ":c=", fh_controls[c].symbol,
                             (double)settings[c]);
      any = true;
    }
  }
}
