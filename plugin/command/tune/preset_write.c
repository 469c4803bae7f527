// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/preset_write.h"

#include "command/base/complain.h"

#include <lv2/atom/atom.h>
#include <lv2/presets/presets.h>

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define TURTLE "state.ttl" // the name that jalv -l looks for

/// Well-formed UTF-8 without control characters (RFC 3629, table of section 4): what Turtle takes as it is
static bool
is_text(const char* const text)
{
  for (const unsigned char* c = (const unsigned char*)text; *c;) {
    const int more = *c < 0x80 ? 0 : *c >= 0xC2 && *c < 0xE0 ? 1 : *c >= 0xE0 && *c < 0xF0 ? 2 : *c < 0xF5 ? 3 : 4;
    if (*c < 0x20 || *c == 0x7F || (*c >= 0x80 && *c < 0xC2) || more > 3) {
      return false;
    }
    // Neither longer than needed, nor a surrogate, nor beyond the last character
    const unsigned low  = *c == 0xE0 ? 0xA0 : *c == 0xF0 ? 0x90 : 0x80;
    const unsigned high = *c == 0xED ? 0x9F : *c == 0xF4 ? 0x8F : 0xBF;
    for (int i = 1; i <= more; ++i) {
      if (c[i] < (i == 1 ? low : 0x80u) || c[i] > (i == 1 ? high : 0xBFu)) {
        return false;
      }
    }
    c += more + 1;
  }
  return true;
}

/// A letter or digit, of any script: what a folder may be called
static bool
is_plain(const char c)
{
  return isalnum((unsigned char)c) || (c & 0x80);
}

bool
fh_preset_may_call(const char* const label)
{
  bool named = false;
  for (const char* c = label; *c; ++c) {
    named = named || is_plain(*c);
  }
  return (is_text(label) ||
          fh_complain("the preset's name '%s' is no plain UTF-8 text; name another with --soloist and --title", label)) &&
         (named || fh_complain("the preset's name '%s' has no letter or digit; name another with --soloist and --title", label));
}

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
    if (is_plain(*from)) {
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
  return replace || fh_complain("%s is there already; name another with --title or --output, or allow it with --replace", folder);
}

/// A bundle on its way: a folder of its own beside the place it goes to, so that no host takes it for a bundle
typedef struct {
  char room[FH_PATH_MAX];   ///< The folder beside
  char bundle[FH_PATH_MAX]; ///< In it, the bundle; after the exchange the old one
  char files[2][FH_PATH_MAX];
} Draft;

static void
remove_draft(const Draft* const draft)
{
  const char* const names[] = {draft->files[0], draft->files[1], draft->bundle, draft->room};
  for (size_t i = 0; i < 4; ++i) {
    if (unlink(names[i])) {
      rmdir(names[i]);
    }
    fh_temp_note(names[i], "");
  }
}

/// Make the folders of a draft for `place`
static bool
open_draft(Draft* const draft, const char* const place)
{
  const char* const slash  = strrchr(place, '/');
  const int         parent = slash ? (int)(slash - place) + 1 : 0;
  memset(draft, 0, sizeof(*draft));
  if ((size_t)snprintf(draft->room, FH_PATH_MAX - 32, "%.*s.fronthash-XXXXXX", parent, place) >= FH_PATH_MAX - 32) {
    errno = ENAMETOOLONG;
    return false;
  }
  if (!mkdtemp(draft->room)) {
    return false;
  }
  snprintf(draft->bundle, FH_PATH_MAX, "%.*s/new.lv2", FH_PATH_MAX - 32, draft->room);
  snprintf(draft->files[0], FH_PATH_MAX, "%.*s/manifest.ttl", FH_PATH_MAX - 16, draft->bundle);
  snprintf(draft->files[1], FH_PATH_MAX, "%.*s/" TURTLE, FH_PATH_MAX - 16, draft->bundle);
  const char* const names[] = {draft->files[0], draft->files[1], draft->bundle, draft->room};
  for (size_t i = 0; i < 4; ++i) {
    fh_temp_note("", names[i]);
  }
  return !mkdir(draft->bundle, 0777);
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

/// Give the finished bundle its place, in one step; an old one goes into the draft
static bool
move_into_place(const Draft* const draft, const char* const place, const bool replace)
{
  if (!rename(draft->bundle, place)) { // only where nothing is, or an empty folder
    return true;
  }
  if (!replace || (errno != ENOTEMPTY && errno != EEXIST)) {
    return false;
  }
  if (!renameat2(AT_FDCWD, draft->bundle, AT_FDCWD, place, RENAME_EXCHANGE)) {
    return true;
  }
  if (errno != EINVAL && errno != ENOSYS) {
    return false;
  }
  // A file system that cannot exchange: two steps, and back if the second fails
  char old[FH_PATH_MAX];
  snprintf(old, sizeof(old), "%.*s/old.lv2", FH_PATH_MAX - 16, draft->room);
  if (rename(place, old)) {
    return false;
  }
  if (rename(draft->bundle, place)) {
    rename(old, place);
    return false;
  }
  return !rename(old, draft->bundle);
}

/// What reading back found
typedef struct {
  FhHost* host;
  size_t  same; ///< Ports as written
} ReadBack;

static void
compare_port(const char* const symbol,
             void* const       handle,
             const void* const value,
             const uint32_t    size,
             const uint32_t    type)
{
  ReadBack* const back    = (ReadBack*)handle;
  const int       control = fh_control_by_symbol(symbol);
  if (control >= 0 && size == sizeof(float) && type == back->host->map.map(back->host->map.handle, LV2_ATOM__Float)) {
    const float wanted = back->host->v[control];
    back->same += fabsf(*(const float*)value - wanted) <= 1e-5f * fmaxf(1.0f, fabsf(wanted)); // digits of the text
  }
}

static void
count_port(const char* const symbol,
           void* const       handle,
           const void* const value,
           const uint32_t    size,
           const uint32_t    type)
{
  (void)symbol;
  (void)value;
  (void)size;
  (void)type;
  ++*(size_t*)handle;
}

/// A world that knows nothing else finds the preset by its manifest, with the same name, ports and properties
static bool
reads_back(FhHost* const host, const char* const bundle, const LilvState* const written)
{
  LilvWorld* const world = lilv_world_new();
  fh_load_bundle(world, bundle);
  LilvNode* const  type   = lilv_new_uri(world, LILV_NS_RDF "type");
  LilvNode* const  preset = lilv_new_uri(world, LV2_PRESETS__Preset);
  LilvNodes* const found  = lilv_world_find_nodes(world, NULL, type, preset);
  LilvState*       state  = NULL;
  if (lilv_nodes_size(found) == 1 && lilv_world_load_resource(world, lilv_nodes_get_first(found)) > 0) {
    state = lilv_state_new_from_world(world, &host->map, lilv_nodes_get_first(found));
  }
  bool ok = false;
  if (state) {
    size_t   count = 0;
    ReadBack back  = {.host = host};
    lilv_state_emit_port_values(written, count_port, &count);
    lilv_state_emit_port_values(state, compare_port, &back);
    const char* const label = lilv_state_get_label(state);
    ok                      = label && !strcmp(label, lilv_state_get_label(written)) && back.same == count &&
         lilv_state_get_num_properties(state) == lilv_state_get_num_properties(written);
  }
  lilv_state_free(state);
  lilv_nodes_free(found);
  lilv_node_free(preset);
  lilv_node_free(type);
  lilv_world_free(world);
  return ok;
}

/// Write the files of a draft, and read them back
static bool
write_draft(FhHost* const host, const Draft* const draft, const char* const label)
{
  const int        quiet = fh_quiet_begin();
  LilvState* const state = fh_host_state(host);
  lilv_state_set_label(state, label);
  const bool ok = !lilv_state_save(host->world, &host->map, &host->unmap, state, NULL, draft->bundle, TURTLE) &&
                  is_ours(draft->bundle) && reads_back(host, draft->bundle, state) && fh_flush(draft->files[0]) &&
                  fh_flush(draft->files[1]) && fh_flush(draft->bundle);
  lilv_state_free(state);
  fh_quiet_end(quiet);
  return ok;
}

bool
fh_preset_write(FhHost* const host, const char* const folder, const char* const label, const bool replace)
{
  char         place[FH_PATH_MAX];
  char         bare[FH_PATH_MAX];
  const size_t length = strlen(folder);
  const bool   slash  = length > 1 && folder[length - 1] == '/'; // which would hide a link
  snprintf(bare, sizeof(bare), "%.*s", (int)(length - slash), folder);
  if (!fh_preset_may_call(label) || !fh_preset_may_write(folder, replace) || !fh_resolve(bare, place)) {
    return false;
  }
  make_parent(place);
  Draft draft;
  if (!open_draft(&draft, place)) {
    const int error = errno;
    remove_draft(&draft);
    return fh_complain("%s cannot be written (%s); name another place", folder, strerror(error));
  }
  const bool ok = write_draft(host, &draft, label) && move_into_place(&draft, place, replace);
  remove_draft(&draft);
  return (ok && fh_flush_folder_of(place)) || fh_complain("%s cannot be written; is the disk full?", folder);
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
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    if (fh_is_setting(c) && settings[c] != fh_controls[c].def) {
      at += (size_t)snprintf(text + at, FH_FILTER_MAX - at, "%s%s=%.6g", any ? "|" : ":c=", fh_controls[c].symbol,
                             (double)settings[c]);
      any = true;
    }
  }
}
