// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/run/host.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#define BUNDLE_NAME "fronthash.lv2"
#define DEFAULT_PATH "~/.lv2:/usr/local/lib/lv2:/usr/lib/lv2:/usr/lib/x86_64-linux-gnu/lv2"

static bool
join(char path[FH_PATH_MAX], const char* const folder, const char* const name)
{
  return (size_t)snprintf(path, FH_PATH_MAX, "%s/%s", folder, name) < FH_PATH_MAX;
}

static bool
has_manifest(const char* const folder)
{
  char path[FH_PATH_MAX];
  return join(path, folder, "manifest.ttl") && !access(path, R_OK);
}

/// The folders of an LV2 path, one a call, with `~` for the home folder replaced; false after the last
static bool
next_folder(const char** const path, char folder[FH_PATH_MAX])
{
  while (**path == ':') {
    ++*path;
  }
  const int         length = (int)strcspn(*path, ":");
  const char* const home   = getenv("HOME");
  if (length && (*path)[0] == '~' && (length == 1 || (*path)[1] == '/')) {
    snprintf(folder, FH_PATH_MAX, "%s%.*s", home ? home : "", length - 1, *path + 1);
  } else {
    snprintf(folder, FH_PATH_MAX, "%.*s", length, *path);
  }
  *path += length;
  return length > 0;
}

/// A folder that is the bundle, or holds it
static bool
take_bundle(const char* const folder, char found[FH_PATH_MAX])
{
  char inside[FH_PATH_MAX];
  if (join(inside, folder, BUNDLE_NAME) && has_manifest(inside)) {
    return realpath(inside, found) != NULL;
  }
  return false;
}

static bool
find_beside_command(char found[FH_PATH_MAX])
{
  // Where the command is built, where it is installed
  static const char* const beside[] = {"../..", "../lib/lv2"};
  char                     command[FH_PATH_MAX];
  const ssize_t            length = readlink("/proc/self/exe", command, sizeof(command) - 1);
  if (length <= 0) {
    return false;
  }
  command[length]    = '\0';
  char* const slash  = strrchr(command, '/');
  *(slash ? slash : command) = '\0';
  for (size_t i = 0; i < sizeof(beside) / sizeof(beside[0]); ++i) {
    char folder[FH_PATH_MAX];
    if (join(folder, command, beside[i]) && take_bundle(folder, found)) {
      return true;
    }
  }
  return false;
}

bool
fh_find_bundle(const char* const named, char found[FH_PATH_MAX])
{
  if (named) {
    if (take_bundle(named, found) || (has_manifest(named) && realpath(named, found))) {
      return true;
    }
    return fh_complain("%s is no plugin bundle; name the folder " BUNDLE_NAME " or the one it is in", named);
  }
  const char* const set = getenv("LV2_PATH");
  char              folder[FH_PATH_MAX];
  for (const char* path = set ? set : ""; next_folder(&path, folder);) {
    if (take_bundle(folder, found)) {
      return true;
    }
  }
  if (find_beside_command(found)) {
    return true;
  }
  for (const char* path = FH_LV2_DIR ":" DEFAULT_PATH; next_folder(&path, folder);) {
    if (take_bundle(folder, found)) {
      return true;
    }
  }
  return fh_complain("the plugin bundle " BUNDLE_NAME " cannot be found; name it with --bundle, or build it");
}

bool
fh_load_bundle(LilvWorld* const world, const char* const folder)
{
  char path[FH_PATH_MAX];
  if (!has_manifest(folder) || !join(path, folder, "")) {
    return false;
  }
  LilvNode* const node = lilv_new_file_uri(world, NULL, path);
  lilv_world_load_bundle(world, node);
  lilv_node_free(node);
  return true;
}

/// True for a bundle of ours that brings no binary: saved presets
static bool
is_preset_bundle(const char* const folder)
{
  char path[FH_PATH_MAX];
  if (!join(path, folder, "manifest.ttl")) {
    return false;
  }
  FILE* const file = fopen(path, "re");
  if (!file) {
    return false;
  }
  char         text[16384];
  const size_t length = fread(text, 1, sizeof(text) - 1, file);
  text[length]        = '\0';
  fclose(file);
  return strstr(text, "urn:fronthash:") && !strstr(text, "lv2:binary") && !strstr(text, "lv2core#binary");
}

void
fh_load_preset_bundles(LilvWorld* const world)
{
  const char* const set = getenv("LV2_PATH");
  char              folder[FH_PATH_MAX];
  for (const char* path = set ? set : DEFAULT_PATH; next_folder(&path, folder);) {
    DIR* const dir = opendir(folder);
    for (const struct dirent* entry = NULL; dir && (entry = readdir(dir));) {
      const size_t length = strlen(entry->d_name);
      char         bundle[FH_PATH_MAX];
      if (length > 4 && !strcmp(entry->d_name + length - 4, ".lv2") && join(bundle, folder, entry->d_name) &&
          is_preset_bundle(bundle)) {
        fh_load_bundle(world, bundle);
      }
    }
    if (dir) {
      closedir(dir);
    }
  }
}
