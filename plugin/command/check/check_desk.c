// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_desk.h"

#include "command/base/complain.h"
#include "command/base/json.h"
#include "command/base/table.h"
#include "command/check/check_codes.h"
#include "command/check/check_print.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FH_SHORTEST 3.0 // s

void
fh_check_family(FhCheckOptions* const options, const FhFamily* const family)
{
  options->low         = family ? family->low : 40;
  options->high        = family ? family->high : 96;
  options->sings       = !family || !strcmp(family->name, "voice"); // who knows
  const bool xylophone = family && !strcmp(family->name, "xylophone");
  options->partials[0] = xylophone ? 3.0 : 4.0;
  options->partials[1] = xylophone ? 6.0 : 10.0;
}

bool
fh_check_mics(FhChecked* const checked, FhRecording* const recording, const FhSurvey* const survey, const FhChannels* const mics)
{
  FhStretches parts;
  FhTake      take = {0};
  if (fh_recording_seconds(recording) < FH_SHORTEST) {
    return fh_complain("%s is only %.1f s long; record at least %.0f s of soundcheck", recording->path,
                       fh_recording_seconds(recording), FH_SHORTEST);
  }
  fh_survey_choose(survey, recording, mics, NULL, &parts);
  if (!fh_take_load(&take, recording, mics, &parts)) {
    return false;
  }
  checked->take = (FhSoundcheck){.closes = mics->count - 1, .frames = take.sound.frames, .rate = take.sound.rate};
  for (size_t mic = 0; mic < mics->count; ++mic) {
    checked->take.mic[mic] = take.sound.data[mic];
  }
  checked->heard = fh_take_seconds(&take);
  const bool ok  = fh_check(&checked->take, &checked->options, &checked->report) ||
                  fh_complain("out of memory; check a shorter part of the recording");
  memset(checked->take.mic, 0, sizeof(checked->take.mic));
  fh_take_free(&take);
  return ok;
}

static double
between(const FhSpot* const a, const FhSpot* const b)
{
  return a->known && b->known ? hypot(a->x - b->x, a->y - b->y) : 0.0;
}

/// Check all stands of one recording
static bool
check_stands(FhDesk* const desk, const double celsius, FhChecked* const checked)
{
  FhSurvey survey = {0};
  bool     ok     = fh_survey_make(&survey, &desk->recording, true);
  for (size_t i = 0; ok && i < desk->count; ++i) {
    const FhStand* const  stand = desk->stand[i].stand;
    const FhFamily* const plays = desk->stand[i].soloist ? desk->stand[i].soloist->family : stand->family;
    FhCheckOptions* const o     = &checked[i].options;
    checked[i].name             = stand->name;
    *o                          = (FhCheckOptions){
                               .kind = stand->mic == FH_MIC_PAIR    ? FH_CHECK_MALLETS
                                       : stand->mic == FH_MIC_GROUP ? FH_CHECK_GROUP
                                                                    : FH_CHECK_SOLOIST,
                               .players          = stand->mic == FH_MIC_GROUP ? (int)stand->players : 0,
                               .mic_distance     = stand->distance,
                               .ambient_distance = between(&stand->at, &desk->show->ambient_at),
                               .planned          = true,
                               .celsius          = celsius,
    };
    fh_check_family(o, plays);
    fh_survey_leave(&survey, desk->all, desk->all_count, &desk->stand[i].mics);
    ok = fh_check_mics(&checked[i], &desk->recording, &survey, &desk->stand[i].mics);
  }
  fh_survey_free(&survey);
  return ok;
}

static void
put_value(FhTable* const table, const size_t column, const FhReport* const report, const char* const code)
{
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    if (!strcmp(f->code, code) && isfinite(f->value)) {
      fh_table_cell(table, column, ">%.1f", f->value);
      return;
    }
  }
  fh_table_cell(table, column, ">-");
}

/// Sentences under the name of what they are about
/// @param report Where they come from one; then only those of a sort
static void
print_sentences(const char* const name, const FhFindings* const findings, const FhReport* const report, const FhSort sort)
{
  bool first = true;
  for (size_t i = 0; i < findings->count; ++i) {
    if (!report || fh_finding_sort(report, i) == sort) {
      if (first) {
        printf("  %s\n", name);
      }
      printf("    %s\n", findings->list[i].text);
      first = false;
    }
  }
}

static void
print_show(const FhDesk* const desk, const FhChecked* const checked, const char* const against, const FhFindings* const all)
{
  const char* const heads[] = {"stand", "soloist", ">loud dBFS", ">rest dBFS", ">separation dB", ">arrival ms", ">to do",
                                      against ? ">moved" : NULL, NULL};
  printf("%s, %.1f s, %zu stand%s of %s", desk->recording.path, fh_recording_seconds(&desk->recording), desk->count,
         desk->count > 1 ? "s" : "", desk->show->path);
  printf(checked->heard < fh_recording_seconds(&desk->recording) - 1.0 ? ", about %.0f s of it heard for each\n\n" : "\n\n",
         checked->heard);
  FhTable table = fh_table_begin(heads);
  size_t  to_do = 0;
  size_t  open  = 0;
  for (size_t i = 0; i < desk->count; ++i) {
    const FhReport* const  report  = &checked[i].report;
    const FhSoloist* const soloist = desk->stand[i].soloist;
    const size_t           faults  = fh_count(report, FH_SORT_FAULT);
    to_do += faults;
    open += fh_count(report, FH_SORT_OPEN);
    fh_table_row(&table);
    fh_table_cell(&table, 0, "%s", checked[i].name);
    fh_table_cell(&table, 1, "%s", soloist ? soloist->name : "");
    fh_table_cell(&table, 2, ">%.1f", report->heard.peak[0]);
    fh_table_cell(&table, 3, ">%.1f", report->heard.rest[0]);
    put_value(&table, 4, report, "separation");
    put_value(&table, 5, report, "arrival");
    fh_table_cell(&table, 6, faults ? ">%zu" : ">-", faults);
    if (against) {
      fh_table_cell(&table, 7, checked[i].moved.count ? ">%zu" : ">-", checked[i].moved.count);
    }
  }
  fh_table_print(&table);
  printf(to_do ? "\nTo do, in this order\n" : open ? "\nNothing to do as far as could be judged.\n" : "\nNothing to do.\n");
  for (FhSort sort = FH_SORT_FAULT; sort <= (open ? FH_SORT_OPEN : FH_SORT_FAULT); ++sort) {
    fputs(sort == FH_SORT_OPEN ? "\nCould not be judged\n" : "", stdout);
    for (size_t i = 0; i < desk->count; ++i) {
      print_sentences(checked[i].name, &checked[i].report.findings, &checked[i].report, sort);
    }
  }
  if (against) {
    size_t moved = all->count;
    for (size_t i = 0; i < desk->count; ++i) {
      moved += checked[i].moved.count;
    }
    printf(moved ? "\nMoved since %s\n" : "\nNothing has moved since %s.\n", against);
    print_sentences("All stands", all, NULL, FH_SORT_FAULT);
    for (size_t i = 0; i < desk->count; ++i) {
      print_sentences(checked[i].name, &checked[i].moved, NULL, FH_SORT_FAULT);
    }
  }
}

static void
print_json(const FhDesk* const desk, const FhChecked* const checked, const char* const against, const FhFindings* const all)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "take", desk->recording.path);
  fh_json_text(&json, "show", desk->show->path);
  fh_json_text(&json, "against", against);
  if (against) {
    fh_check_put_findings(&json, "moved", all);
  }
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < desk->count; ++i) {
    const FhSoloist* const soloist = desk->stand[i].soloist;
    fh_json_object(&json, NULL);
    fh_json_text(&json, "stand", checked[i].name);
    fh_json_text(&json, "soloist", soloist ? soloist->name : NULL);
    fh_json_number(&json, "heard_seconds", checked[i].heard);
    if (against) {
      fh_check_put_findings(&json, "moved", &checked[i].moved);
    }
    fh_check_put_report(&json, &checked[i].take, &checked[i].report);
    fh_json_end(&json, '}');
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
}

int
fh_check_show(const FhDeskWish* const wish, const char* const against, const double celsius, const bool as_json)
{
  FhDesk     desk = {0};
  FhDesk     old  = {0};
  FhDeskWish past = *wish;
  FhFindings all  = {0};
  past.take       = against;
  FhChecked* const checked = calloc(2 * FH_SHOW_STANDS, sizeof(*checked));
  FhChecked* const before  = checked + FH_SHOW_STANDS;
  bool ok = (checked || fh_complain("not enough memory; close other programs")) && fh_desk_open(&desk, wish) &&
            (!against || fh_desk_open(&old, &past)) && check_stands(&desk, celsius, checked);
  if (ok && against) {
    ok = check_stands(&old, celsius, before);
    fh_check_moved(checked, before, ok ? desk.count : 0, &all);
  }
  if (ok) {
    (as_json ? print_json : print_show)(&desk, checked, against, &all);
  }
  int code = ok ? EXIT_SUCCESS : FH_EXIT_UNJUDGED;
  for (size_t i = 0; ok && i < desk.count; ++i) {
    code = fh_worse_exit(fh_check_exit(&checked[i].report), code);
  }
  free(checked);
  fh_desk_close(&old);
  fh_desk_close(&desk);
  return code;
}
