// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/save.h"

#include "command/base/complain.h"

#include <errno.h>
#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define SAVE_MAX (4u << 20) ///< Bytes of a file, at most

/// Files on their way when the machine went down: `.` + six characters + `-` + name, see temp.c
static void
remove_unfinished(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  char              pattern[FH_PATH_MAX + 16];
  glob_t            found;
  if (strpbrk(path, "*?[\\")) {
    return;
  }
  snprintf(pattern, sizeof(pattern), "%.*s.\?\?\?\?\?\?-%s", slash ? (int)(slash - path) + 1 : 0, path,
           slash ? slash + 1 : path);
  if (!glob(pattern, 0, NULL, &found)) {
    for (size_t i = 0; i < found.gl_pathc; ++i) {
      unlink(found.gl_pathv[i]);
    }
    globfree(&found);
  }
}

bool
fh_save_begin(FhSave* const save, const char* const show_path, const char* const path)
{
  *save             = (FhSave){.looked = -FH_SAVE_SECONDS};
  const size_t stem = strlen(show_path);
  const int    cut  = stem > 5 && !strcmp(show_path + stem - 5, ".show") ? (int)stem - 5 : (int)stem;
  const int    n    = path ? snprintf(save->path, FH_PATH_MAX, "%s", path) : snprintf(save->path, FH_PATH_MAX, "%.*s.live", cut, show_path);
  if (n >= FH_PATH_MAX - 16) {
    return fh_complain("the file name is too long; name a shorter one with --state");
  }
  remove_unfinished(save->path);
  return true;
}

/// Keep what the next save would leave out: it renames another file over this one
static bool
keep_stranger(const FhSave* const save, const char* const stranger)
{
  char before[FH_PATH_MAX + 16];
  snprintf(before, sizeof(before), "%s.before", save->path);
  unlink(before);
  const bool kept = !link(save->path, before);
  return fh_complain("the show has no stand %s any more%s%s", stranger, kept ? "; what it had learnt is kept in " : "", kept ? before : "");
}

bool
fh_save_restore(FhSave* const save, FhRig* const rig)
{
  FILE* const file = fopen(save->path, "re");
  if (!file) {
    return errno == ENOENT || fh_complain("%s cannot be read (%s); what was learnt before is not there", save->path, strerror(errno));
  }
  char* const  text   = (char*)malloc(SAVE_MAX + 1);
  const size_t length = text ? fread(text, 1, SAVE_MAX, file) : 0;
  fclose(file);
  size_t wrong                  = 1;
  char   stranger[FH_SHOW_NAME] = "";
  if (text) {
    text[length] = '\0';
    wrong        = fh_save_read(rig, text, stranger);
  }
  free(text);
  if (!wrong) {
    return !*stranger || keep_stranger(save, stranger);
  }
  char broken[FH_PATH_MAX + 16];
  snprintf(broken, sizeof(broken), "%s.broken", save->path);
  const bool moved = !rename(save->path, broken);
  return fh_complain("%s is damaged from line %zu on; what stood before is used, learn the others again%s%s", save->path, wrong,
                     moved ? ", the file is kept as " : "", moved ? broken : "");
}

/// Write the text whole or not at all
static bool
write_file(const FhSave* const save, const char* const text)
{
  FhTemp temp;
  if (!fh_temp_open(&temp, save->path, true)) {
    return false;
  }
  FILE* const  file   = fopen(temp.temp, "we");
  const size_t length = strlen(text);
  const bool   ok     = file && fwrite(text, 1, length, file) == length;
  if ((file && fclose(file)) || !ok) {
    fh_temp_drop(&temp);
    return fh_complain("%s cannot be written (%s); is the disk full?", save->path, strerror(errno));
  }
  return fh_temp_commit(&temp);
}

void
fh_save_tick(FhSave* const save, FhRig* const rig, const double now)
{
  bool news = false;
  for (size_t i = 0; i < rig->count; ++i) {
    news = news || rig->stand[i].news;
  }
  if (now - save->looked < (news && !save->failing ? 0.5 : FH_SAVE_SECONDS)) {
    return;
  }
  save->looked     = now;
  char* const text = fh_save_text(rig);
  const bool  same = text && save->last && !strcmp(text, save->last);
  save->failing    = !text || (!same && !write_file(save, text)); // A disk that is full or gone is tried again and again
  if (save->failing || same) {
    free(text);
  } else {
    free(save->last);
    save->last = text;
  }
  for (size_t i = 0; !save->failing && i < rig->count; ++i) {
    rig->stand[i].news = false;
  }
}

void
fh_save_end(FhSave* const save)
{
  free(save->last);
  save->last = NULL;
}
