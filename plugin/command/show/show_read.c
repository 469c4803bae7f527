// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/temp.h"
#include "command/show/show_keys.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/// The first line with words says which version of the file this is
static bool
read_version(FhShowLine* const line)
{
  double version = 0.0;
  if (line->count < 1 || strcmp(line->word[0].value, "fronthash-show")) {
    return fh_show_wrong(line, line->count ? line->word[0].from : line->from,
                         "no show file: it begins with the line: fronthash-show %d", FH_SHOW_VERSION);
  }
  if (line->count != 2 || !fh_parse_number(line->word[1].value, &version) || version < 1.0 || version != floor(version)) {
    return fh_show_wrong(line, line->word[0].to, "after fronthash-show comes the version, a whole number: %d", FH_SHOW_VERSION);
  }
  return version <= FH_SHOW_VERSION ||
         fh_show_wrong(line, line->word[1].from, "version %s is newer than this fronthash, which reads version %d; update it",
                       line->word[1].value, FH_SHOW_VERSION);
}

static bool
read_text(FhShowReader* const r)
{
  bool begun = false;
  while (fh_show_more(&r->line)) {
    if (!fh_show_next_line(&r->line)) {
      return false;
    }
    if (r->line.count && !(begun ? fh_show_read_key(r) : read_version(&r->line))) {
      return false;
    }
    begun = begun || r->line.count;
  }
  if (!begun) {
    return fh_complain("%s is empty; a show file begins with the line: fronthash-show %d", r->line.path, FH_SHOW_VERSION);
  }
  if (!fh_show_finish_stand(r)) {
    return false;
  }
  if (!r->show->stand_count) {
    return fh_complain("%s has no stand; add one: stand NAME", r->line.path);
  }
  return r->show->ambient || fh_complain("%s names no ambient microphone; add a line before the first stand: ambient CHANNEL",
                                         r->line.path);
}

FhShow*
fh_show_parse(const char* const path, const char* const text, const size_t length)
{
  FhShow* const show = calloc(1, sizeof(*show));
  FhShowReader* const r    = calloc(1, sizeof(*r));
  char* const   copy = malloc(length + 1);
  bool          ok   = show && r && copy;
  if (!ok) {
    fh_complain("not enough memory; close other programs");
    free(copy);
  } else {
    memcpy(copy, text, length);
    copy[length] = '\0';
    show->text   = copy;
    show->rate   = 48000;
    snprintf(show->path, sizeof(show->path), "%s", path);
    const size_t mark = length >= 3 && !memcmp(text, "\xEF\xBB\xBF", 3) ? 3 : 0; // some editors' mark of UTF-8
    *r = (FhShowReader){.line = {.path = show->path, .text = copy, .length = length, .next = mark}, .show = show};
    ok = read_text(r);
  }
  free(r);
  if (!ok) {
    fh_show_free(show);
    return NULL;
  }
  return show;
}

void
fh_show_free(FhShow* const show)
{
  if (show) {
    free(show->text);
    free(show);
  }
}

FhShow*
fh_show_read(const char* const path)
{
  struct stat there;
  if (stat(path, &there)) {
    fh_complain("%s cannot be found; check the name", path);
    return NULL;
  }
  if (!S_ISREG(there.st_mode)) {
    fh_complain("%s is not a file; name a show file", path);
    return NULL;
  }
  if (there.st_size > FH_SHOW_BYTES || strlen(path) >= FH_PATH_MAX) {
    fh_complain("%s is too long for a show file; is it the right one?", path);
    return NULL;
  }
  char* const  text = malloc(FH_SHOW_BYTES);
  FILE* const  file = text ? fopen(path, "rb") : NULL;
  const size_t got  = file ? fread(text, 1, FH_SHOW_BYTES, file) : 0;
  FhShow*      show = NULL;
  if (!file || ferror(file)) {
    fh_complain("%s cannot be read (%s); check its permissions", path, strerror(errno));
  } else {
    show = fh_show_parse(path, text, got);
  }
  if (file) {
    fclose(file);
  }
  free(text);
  return show;
}

uint32_t
fh_stand_closes(const FhStand* const stand)
{
  return stand->input[1] ? 2 : 1;
}

const FhStand*
fh_show_find(const FhShow* const show, const char* const name)
{
  char   list[512] = "";
  size_t at        = 0;
  for (size_t i = 0; i < show->stand_count; ++i) {
    if (!strcmp(show->stand[i].name, name)) {
      return &show->stand[i];
    }
    if (at < sizeof(list)) {
      at += (size_t)snprintf(list + at, sizeof(list) - at, "%s%s", i ? ", " : "", show->stand[i].name);
    }
  }
  fh_complain("%s has no stand '%s'; there are %s", show->path, name, list);
  return NULL;
}
