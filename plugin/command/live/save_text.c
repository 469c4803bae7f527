// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/save.h"

#include "command/base/options.h"

#include <lv2/core/lv2.h>
#include <lv2/presets/presets.h>

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define URI_SAVED "urn:fronthash:saved"
#define NOTHING 0xcbf29ce484222325u // the sum of no text

/// What belongs to the stand beside what it has learnt. Listening to anything but the output does not outlast a restart
static const FhControl of_stand[] = {FH_ENABLED, FH_MUTED};
#define OF_STAND (sizeof(of_stand) / sizeof(of_stand[0]))

/// Of what a stand has learnt: FNV-1a, 64 bits (draft-eastlake-fnv). It tells damage, not malice
static uint64_t
sum_of(uint64_t sum, const char* const text, const size_t length)
{
  for (size_t i = 0; i < length; ++i) {
    sum = (sum ^ (unsigned char)text[i]) * 0x100000001b3u;
  }
  return sum;
}

static void
write_learnt(FILE* const file, FhHost* const host)
{
  LilvState* const state = fh_host_learnt(host);
  char* const      text  = state && lilv_state_get_num_properties(state)
                             ? lilv_state_to_string(host->world, &host->map, &host->unmap, state, URI_SAVED, NULL)
                             : NULL;
  uint64_t sum = NOTHING;
  for (const char* line = text; line && *line;) {
    const size_t length = strcspn(line, "\n");
    fprintf(file, "  | %.*s\n", (int)length, line);
    sum = sum_of(sum, line, length);
    line += length + (line[length] == '\n');
  }
  if (text) {
    fprintf(file, "  sum %016" PRIx64 "\n", sum);
  }
  lilv_free(text);
  lilv_state_free(state);
}

static void
write_stand(FILE* const file, const FhRigStand* const stand)
{
  fprintf(file, "stand %s\n", stand->stand->name);
  for (size_t i = 0; i < OF_STAND; ++i) {
    fprintf(file, "  %s %.9g\n", fh_controls[of_stand[i]].symbol, (double)fh_rig_value(stand, of_stand[i]));
  }
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    const FhManners* const manners = &stand->manners[i];
    fprintf(file, "  %s %s\n", i == stand->soloist ? "there" : "soloist", fh_rig_soloist_name(stand, i));
    for (int k = 0; k < FH_CONTROL_COUNT; ++k) {
      if (fh_is_setting(k) && manners->now[k] != manners->preset[k]) {
        fprintf(file, "    %s %.9g\n", fh_controls[k].symbol, (double)manners->now[k]);
      }
    }
  }
  write_learnt(file, stand->host);
}

char*
fh_save_text(const FhRig* const rig)
{
  char*       text = NULL;
  size_t      size = 0;
  FILE* const file = open_memstream(&text, &size);
  if (!file) {
    return NULL;
  }
  fprintf(file, "fronthash-live %d\n# Written by fronthash live; see docs/live.md\n", FH_SAVE_VERSION);
  for (size_t i = 0; i < rig->count; ++i) {
    write_stand(file, &rig->stand[i]);
  }
  fprintf(file, "end\n");
  if (fclose(file)) {
    free(text);
    return NULL;
  }
  return text;
}

/// How far reading has come
typedef struct {
  FhRig*      rig;
  int         version;
  FhRigStand* stand;   ///< NULL: one that is not in the show any more
  size_t      soloist; ///< SIZE_MAX: none yet, or one who does not come any more
  size_t      there;
  bool        in_soloist;
  char*       learnt;  ///< State of the stand, as Turtle
  size_t      learnt_size;
  FILE*       learnt_file;
  uint64_t    sum;     ///< Of it so far
  bool        summed;  ///< Sum and text agree
  char*       stranger; ///< As of fh_save_read
} Reading;

/// Said before what was saved, which says it, too: lilv 0.24 crashes on a text that is damaged and does not. Needed by version 1 alone,
/// whose damage no sum tells
static const char known[] = "<" URI_SAVED "> a <" LV2_PRESETS__Preset "> ; <" LV2_CORE__appliesTo "> <" FH_URI_SOLO "> .\n";

/// Take a stand's state when all of it was read. lilv sees it only where its sum is right: a damaged text may crash it
static bool
finish_stand(Reading* const r)
{
  bool ok = true;
  if (r->learnt_file) {
    fclose(r->learnt_file);
    FhHost* const    host  = r->stand && r->summed ? r->stand->host : NULL;
    const int        quiet = fh_quiet_begin();
    LilvState* const state = host ? lilv_state_new_from_string(host->world, &host->map, r->learnt) : NULL;
    fh_quiet_end(quiet);
    ok = !r->stand || (state && lilv_state_get_num_properties(state));
    if (host && ok) {
      fh_host_restore(host, state);
    }
    lilv_state_free(state);
    free(r->learnt);
  }
  if (r->stand && r->there < r->stand->soloist_count) {
    fh_rig_come(r->stand, r->there);
  }
  r->learnt_file = NULL;
  r->learnt      = NULL;
  r->sum         = NOTHING;
  r->summed      = r->version < 2;
  r->soloist = r->there = SIZE_MAX;
  r->in_soloist         = false;
  return ok;
}

static FhRigStand*
find_stand(const FhRig* const rig, const char* const name)
{
  for (size_t i = 0; i < rig->count; ++i) {
    if (!strcmp(rig->stand[i].stand->name, name)) {
      return &rig->stand[i];
    }
  }
  return NULL;
}

static size_t
find_soloist(const FhRigStand* const stand, const char* const name)
{
  for (size_t i = 0; stand && i < stand->soloist_count; ++i) {
    if (!strcmp(fh_rig_soloist_name(stand, i), name)) {
      return i;
    }
  }
  return SIZE_MAX;
}

static bool
read_control(Reading* const r, const char* const key, const char* const text)
{
  const int control = fh_control_by_symbol(key);
  double    value   = 0.0;
  if (control < 0 || fh_controls[control].flow != FH_INPUT || control == FH_LEARN || control == FH_CLEAR || control == FH_LISTEN || !fh_parse_number(text, &value) ||
      value < (double)fh_controls[control].min || value > (double)fh_controls[control].max ||
      fh_is_setting(control) != r->in_soloist) {
    return false;
  }
  if (r->stand && !r->in_soloist) {
    fh_rig_set(r->stand, (FhControl)control, (float)value, 0.0);
  } else if (r->stand && r->soloist != SIZE_MAX) {
    r->stand->manners[r->soloist].now[control] = (float)value;
  }
  return true;
}

/// @param line Without its end and the spaces before it. @param ended Set by the last line
static bool
read_line(Reading* const r, char* const line, bool* const ended)
{
  char* const space = strchr(line, ' ');
  const char* rest  = space ? space + 1 : "";
  if (space) {
    *space = '\0';
  }
  if (!*line || *line == '#') {
    return true;
  }
  if (!strcmp(line, "end")) {
    *ended = true;
    return finish_stand(r);
  }
  if (!strcmp(line, "stand")) {
    const bool ok = finish_stand(r);
    r->stand      = find_stand(r->rig, rest);
    if (!r->stand && !*r->stranger) {
      snprintf(r->stranger, FH_SHOW_NAME, "%s", rest);
    }
    return ok;
  }
  if (!strcmp(line, "there") || !strcmp(line, "soloist")) {
    r->soloist    = find_soloist(r->stand, rest);
    r->there      = *line == 't' ? r->soloist : r->there;
    r->in_soloist = true;
    return true;
  }
  if (!strcmp(line, "|")) {
    if (!r->learnt_file && (r->learnt_file = open_memstream(&r->learnt, &r->learnt_size))) {
      fputs(known, r->learnt_file);
    }
    r->sum = sum_of(r->sum, rest, strlen(rest));
    return r->learnt_file && fprintf(r->learnt_file, "%s\n", rest) > 0;
  }
  if (!strcmp(line, "sum")) {
    char right[17];
    snprintf(right, sizeof(right), "%016" PRIx64, r->sum);
    r->summed = !strcmp(rest, right);
    return r->summed;
  }
  return read_control(r, line, rest);
}

size_t
fh_save_read(FhRig* const rig, const char* const text, char stranger[FH_SHOW_NAME])
{
  *stranger = '\0';
  static const char head[]  = "fronthash-live ";
  const int         version = strncmp(text, head, strlen(head)) ? 0 : text[strlen(head)] - '0';
  if (version < 1 || version > FH_SAVE_VERSION || text[sizeof(head)] != '\n') {
    return 1;
  }
  Reading r = {.rig = rig, .version = version, .soloist = SIZE_MAX, .there = SIZE_MAX, .sum = NOTHING, .summed = version < 2, .stranger = stranger};
  size_t number = 1;
  bool   ok = true, ended = false;
  for (const char* at = text + sizeof(head) + 1; *at && ok && !ended;) {
    const size_t length = strcspn(at, "\n");
    const size_t indent = strspn(at, " ");
    char* const  line   = strndup(at + indent, length > indent ? length - indent : 0);
    ++number;
    ok = line && read_line(&r, line, &ended);
    free(line);
    at += length + (at[length] == '\n');
  }
  if (!ended) { // Broken off, or wrong
    r.stand = NULL;
    finish_stand(&r);
  }
  return ok && ended ? 0 : number;
}
