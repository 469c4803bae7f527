// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/temp.h"
#include "command/show/show_words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool
fh_show_set_preset(FhShow* const show, const size_t stand, const size_t soloist, const char* const preset)
{
  FhSoloist* const s       = &show->stand[stand].soloist[soloist];
  const bool       has_one = s->preset_at[1] != 0;
  const size_t     from    = has_one ? s->preset_at[0] : s->name_end;
  const size_t     to      = has_one ? s->preset_at[1] : s->name_end;
  const size_t     length  = strlen(show->text);
  char             word[2 * FH_SHOW_NAME + 3];
  if (!*preset || !fh_show_quote(word, sizeof(word), preset)) {
    return fh_complain("%s: the preset's name '%s' cannot stand in a show file; name a shorter one", show->path, preset);
  }
  char* const text = malloc(length + sizeof(word) + 16);
  if (!text) {
    return fh_complain("not enough memory; close other programs");
  }
  const int     n       = snprintf(text, length + sizeof(word) + 16, "%.*s%s%s%s", (int)from, show->text,
                                   has_one ? "" : " preset ", word, show->text + to);
  FhShow* const changed = fh_show_parse(show->path, text, (size_t)n);
  free(text);
  if (!changed) {
    return false;
  }
  free(show->text);
  *show         = *changed;
  changed->text = NULL;
  fh_show_free(changed);
  return true;
}

bool
fh_show_write(const FhShow* const show)
{
  FhTemp temp;
  if (!fh_temp_open(&temp, show->path, true)) {
    return false;
  }
  FILE* const  file   = fopen(temp.temp, "wb");
  const size_t length = strlen(show->text);
  const bool   ok     = file && fwrite(show->text, 1, length, file) == length;
  if ((file && fclose(file)) || !ok) {
    fh_temp_drop(&temp);
    return fh_complain("%s cannot be written to its end; is the disk full?", show->path);
  }
  return fh_temp_commit(&temp);
}
