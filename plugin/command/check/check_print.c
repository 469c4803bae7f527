// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_print.h"

#include "command/check/check_codes.h"

#include <math.h>

static void
print_places(FILE* const file, const FhSoundcheck* const take, const FhReport* const report)
{
  char name[8];
  if (!report->count) {
    return;
  }
  const bool group = report->kind == FH_CHECK_GROUP;
  fprintf(file, "\n%-10s %12s %12s", group ? "Player" : "Note", "level", "expected");
  if (take->closes == 2) {
    fprintf(file, " %12s %12s", "close 1", "close 2");
  }
  fprintf(file, "%s\n", report->kind == FH_CHECK_SOLOIST ? "  above 2 kHz" : "");
  for (size_t i = 0; i < report->count; ++i) {
    const FhPlace* const p = &report->places[i];
    if (group) {
      fprintf(file, "%-10d", p->note);
    } else {
      fprintf(file, "%-10s", fh_note_name(p->note, name));
    }
    fprintf(file, " %7.1f dBFS", p->total);
    if (isnan(p->expected)) {
      fprintf(file, " %12s", "-");
    } else {
      fprintf(file, " %7.1f dBFS", p->expected);
    }
    if (take->closes == 2) {
      fprintf(file, " %7.1f dBFS %7.1f dBFS", p->level[0], p->level[1]);
    }
    if (report->kind == FH_CHECK_SOLOIST) {
      fprintf(file, " %9.1f dB", p->bright);
    }
    fprintf(file, "%s\n", p->fault ? "  *" : "");
  }
}

static void
print_sort(FILE* const file, const FhReport* const report, const FhSort sort)
{
  for (size_t i = 0; i < report->findings.count; ++i) {
    if (fh_finding_sort(report, i) == sort) {
      fprintf(file, "  %s\n", report->findings.list[i].text);
    }
  }
}

void
fh_check_print(FILE* const file, const FhSoundcheck* const take, const FhReport* const report)
{
  const size_t faults = fh_count(report, FH_SORT_FAULT);
  const size_t open   = fh_count(report, FH_SORT_OPEN);
  if (faults) {
    fprintf(file, "To do, in this order\n");
    print_sort(file, report, FH_SORT_FAULT);
    fprintf(file, "\n");
  } else if (!open) {
    fprintf(file, "Nothing to do.\n\n");
  }
  if (open) {
    fprintf(file, "%s\n", faults ? "Could not be judged" : "Nothing to do as far as could be judged. Could not be judged");
    print_sort(file, report, FH_SORT_OPEN);
    fprintf(file, "\n");
  }
  fprintf(file, "Figures\n");
  print_sort(file, report, FH_SORT_FIGURE);
  print_places(file, take, report);
}

static void
put_place(FhJson* const json, const FhSoundcheck* const take, const FhReport* const report, const FhPlace* const p)
{
  char name[8];
  fh_json_object(json, NULL);
  if (report->kind == FH_CHECK_GROUP) {
    fh_json_number(json, "player", p->note);
  } else {
    fh_json_text(json, "note", fh_note_name(p->note, name));
    fh_json_number(json, "midi", p->note);
    fh_json_number(json, "times", p->strokes);
  }
  fh_json_number(json, "level_dbfs", p->total);
  fh_json_number(json, "expected_dbfs", p->expected);
  if (take->closes == 2) {
    fh_json_number(json, "close_1_dbfs", p->level[0]);
    fh_json_number(json, "close_2_dbfs", p->level[1]);
  }
  if (report->kind == FH_CHECK_SOLOIST) {
    fh_json_number(json, "above_2_khz_db", p->bright);
  }
  fh_json_bool(json, "stands_out", p->fault);
  fh_json_end(json, '}');
}

/// @param report Where they come from one: what could not be judged is told, too
static void
put_findings(FhJson* const json, const char* const key, const FhFindings* const findings, const FhReport* const report)
{
  fh_json_array(json, key);
  for (size_t i = 0; i < findings->count; ++i) {
    const FhFinding* const finding = &findings->list[i];
    fh_json_object(json, NULL);
    fh_json_text(json, "code", finding->code);
    fh_json_bool(json, "fault", finding->fault);
    if (report) {
      fh_json_bool(json, "open", fh_finding_sort(report, i) == FH_SORT_OPEN);
    }
    fh_json_number(json, "value", finding->value);
    fh_json_text(json, "unit", finding->unit);
    fh_json_text(json, "text", finding->text);
    fh_json_end(json, '}');
  }
  fh_json_end(json, ']');
}

void
fh_check_put_findings(FhJson* const json, const char* const key, const FhFindings* const findings)
{
  put_findings(json, key, findings, NULL);
}

void
fh_check_put_report(FhJson* const json, const FhSoundcheck* const take, const FhReport* const report)
{
  static const char* const kinds[] = {"soloist", "group", "mallets"};
  char                     name[8];
  fh_json_text(json, "kind", kinds[report->kind]);
  fh_json_number(json, "faults", (double)fh_count(report, FH_SORT_FAULT));
  fh_json_text(json, "verdict", fh_verdict_name(report->verdict));
  put_findings(json, "findings", &report->findings, report);
  fh_json_text(json, "crossover", report->crossover ? fh_note_name(report->crossover, name) : NULL);
  fh_json_array(json, report->kind == FH_CHECK_GROUP ? "players" : "notes");
  for (size_t i = 0; i < report->count; ++i) {
    put_place(json, take, report, &report->places[i]);
  }
  fh_json_end(json, ']');
}
