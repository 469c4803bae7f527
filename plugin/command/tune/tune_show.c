// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/tune_show.h"

#include "command/base/complain.h"
#include "command/base/table.h"
#include "command/tune/tune_print.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/// What the stand that is tuned complains of, held back as long as the next one may complain of the same
typedef struct {
  const FhDesk* desk;
  size_t        now;                   ///< Stand that is tuned
  char          line[1024];            ///< Empty: nothing is held back
  size_t        count;
  size_t        stand[FH_SHOW_STANDS]; ///< Whose it is
} Held;

/// Complain once for all whom it concerns
static void
say_held(Held* const held)
{
  char   names[768] = "";
  size_t at         = 0;
  for (size_t i = 0; i < held->count && at < sizeof(names) - FH_SHOW_NAME - 32; ++i) {
    const size_t left = held->count - i;
    at += (size_t)snprintf(names + at, sizeof(names) - at, "%s%s", i ? ", " : "", held->desk->stand[held->stand[i]].stand->name);
    if (at >= sizeof(names) - FH_SHOW_NAME - 32 && left > 1) {
      snprintf(names + at, sizeof(names) - at, " and %zu more", left - 1);
    }
  }
  fh_complain_to(NULL, NULL);
  if (held->count) {
    fh_complain("%s: %s", names, held->line);
  }
  held->count = 0;
}

static void
hold(void* const data, const char* const line)
{
  Held* const held = (Held*)data;
  if (strncmp(held->line, line, sizeof(held->line) - 1) != 0) {
    say_held(held);
    fh_complain_to(hold, held);
  }
  snprintf(held->line, sizeof(held->line), "%s", line);
  if (held->count < FH_SHOW_STANDS) {
    held->stand[held->count++] = held->now;
  }
}

static bool
may(const FhTuneOptions* const o, const FhDesk* const desk)
{
  if (o->output) {
    return fh_complain("the presets of a show go to ~/.lv2, each to a folder of its own; leave --output out");
  }
  return !o->solo.count || desk->count == 1 ||
         fh_complain("--solo is one soloist's; name the stand, too, with --stand, or leave --solo out");
}

/// Tune one stand and name its preset in the show
static bool
tune_stand(const FhTuneOptions* const o, FhDesk* const desk, const FhSurvey* const survey, const size_t index,
           const char* const folder, FhTuneSession* const s)
{
  const FhDeskStand* const stand   = &desk->stand[index];
  const FhSoloist* const   soloist = stand->soloist;
  char                     stem[FH_PATH_MAX];
  s->options              = *o;
  s->options.desk.soloist = soloist ? soloist->name : stand->stand->name;
  s->options.title        = o->title ? o->title : *desk->show->title ? desk->show->title : NULL;
  s->options.renders      = stem;
  bool ok = fh_desk_file(stem, folder, stand, "") && fh_tune_session(s, &desk->recording, survey, &stand->mics);
  if (ok && soloist && s->written) {
    ok = fh_show_set_preset(desk->show, stand->number - 1, (size_t)(soloist - stand->stand->soloist), s->label);
  }
  fh_tune_session_free(s);
  return ok;
}

static void
put_change(FhTable* const table, const size_t column, const double before, const double after)
{
  fh_table_cell(table, column, ">%.1f to %.1f", before, after);
}

static void
print_show(const FhDesk* const desk, const FhTuneSession* const sessions, const bool* const done, const char* const folder)
{
  static const char* const heads[] = {"stand", "soloist", ">separation dB", ">opened by the band %", ">missed %", "preset", NULL};
  printf("%s, %.1f s, %zu stand%s of %s\n\n", desk->recording.path, fh_recording_seconds(&desk->recording), desk->count,
         desk->count > 1 ? "s" : "", desk->show->path);
  FhTable table   = fh_table_begin(heads);
  size_t  written = 0;
  for (size_t i = 0; i < desk->count; ++i) {
    const FhTuneSession* const s = &sessions[i];
    const FhEvidence* const    e = s->evidence;
    fh_table_row(&table);
    fh_table_cell(&table, 0, "%s", desk->stand[i].stand->name);
    fh_table_cell(&table, 1, "%s", desk->stand[i].soloist ? desk->stand[i].soloist->name : "");
    if (done[i]) {
      const double separation = s->figures[FH_TUNE_AFTER].separation;
      fh_table_cell(&table, 2, isnan(separation) ? ">-" : ">%.1f", separation);
    }
    if (done[i] && s->written) {
      ++written;
      put_change(&table, 3, e[FH_TUNE_BEFORE].false_open, e[FH_TUNE_AFTER].false_open);
      put_change(&table, 4, e[FH_TUNE_BEFORE].missed, e[FH_TUNE_AFTER].missed);
    }
    fh_table_cell(&table, 5, "%s", !done[i] ? "not tuned" : s->written ? s->label : "none: no value gains over Learn alone");
  }
  fh_table_print(&table);
  printf("\nseparation: - where soloist and field cannot be told apart\n");
  if (written) {
    printf("other figures: with the plugin as it comes, following the field, to those through the preset;\n"
           "sounds and pictures of both are in %s, the presets in ~/.lv2, their names in %s\n", folder, desk->show->path);
  }
  if (written < desk->count) {
    printf("%s no preset%s: leave the controls as they are, and let it learn at the soundcheck\n", written ? "where there is" : "there is",
           written ? "" : " to write");
  }
}

static void
print_json(const FhDesk* const desk, const FhTuneSession* const sessions, const bool* const done)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "take", desk->recording.path);
  fh_json_text(&json, "show", desk->show->path);
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < desk->count; ++i) {
    fh_json_object(&json, NULL);
    fh_json_text(&json, "stand", desk->stand[i].stand->name);
    fh_json_text(&json, "soloist", desk->stand[i].soloist ? desk->stand[i].soloist->name : NULL);
    fh_json_bool(&json, "tuned", done[i]);
    if (done[i]) {
      fh_tune_put(&json, &sessions[i]);
    }
    fh_json_end(&json, '}');
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
}

/// Tune all of them, with a line for each on standard error. @return How many could be
static size_t
tune_stands(const FhTuneOptions* const o, FhDesk* const desk, const char* const folder, FhTuneSession* const sessions,
            bool* const done)
{
  FhSurvey survey = {0};
  Held     held   = {.desk = desk};
  size_t   count  = 0;
  if (fh_survey_make(&survey, &desk->recording, false)) {
    for (held.now = 0; held.now < desk->count; ++held.now) {
      const size_t i = held.now;
      fh_complain_to(hold, &held);
      done[i] = tune_stand(o, desk, &survey, i, folder, &sessions[i]);
      count += done[i];
      if (done[i]) {
        say_held(&held);
        fprintf(stderr, "fronthash tune: %s is done, %zu of %zu\n", desk->stand[i].stand->name, i + 1, desk->count);
      }
    }
    say_held(&held);
  }
  fh_survey_free(&survey);
  return count;
}

bool
fh_tune_show(const FhTuneOptions* const o)
{
  FhDesk desk                 = {0};
  char   folder[FH_PATH_MAX];
  bool   done[FH_SHOW_STANDS] = {false};
  if (!fh_desk_open(&desk, &o->desk)) {
    return false;
  }
  const char* const dot  = strrchr(o->desk.take, '.');
  const int         stem = (int)(dot && !strchr(dot, '/') ? dot - o->desk.take : (long)strlen(o->desk.take));
  const int n = o->renders ? snprintf(folder, sizeof(folder), "%s", o->renders)
                           : snprintf(folder, sizeof(folder), "%.*s-tuned", stem, o->desk.take);
  bool ok = may(o, &desk) && ((n > 0 && (size_t)n < sizeof(folder)) || fh_complain("the folder's name is too long; name a shorter one"));
  const bool made = ok && !mkdir(folder, 0777);
  ok = ok && (made || errno == EEXIST || fh_complain("the folder %s cannot be made (%s); name another with --renders", folder,
                                                      strerror(errno)));
  FhTuneSession* const sessions = ok ? calloc(desk.count, sizeof(*sessions)) : NULL;
  ok                            = ok && (sessions || fh_complain("not enough memory; close other programs"));
  if (ok) {
    const size_t count = tune_stands(o, &desk, folder, sessions, done);
    ok                 = count && fh_show_write(desk.show);
    if (ok) {
      if (o->json) {
        print_json(&desk, sessions, done);
      } else {
        print_show(&desk, sessions, done, folder);
      }
    }
    ok = ok && count == desk.count;
  }
  if (made) {
    rmdir(folder); // stays where something is in it
  }
  free(sessions);
  fh_desk_close(&desk);
  return ok;
}
