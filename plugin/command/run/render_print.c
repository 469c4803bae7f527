// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/render_print.h"

#include "command/base/json.h"
#include "command/base/table.h"
#include "ui/fault_words.h"

#include <math.h>
#include <stdio.h>

static void
print_figure(const char* const name, const double value, const char* const unit, const char* const note)
{
  if (isnan(value)) {
    printf("  %-32s       -        %s\n", name, note);
  } else {
    printf("  %-32s %8.1f %-6s %s\n", name, value, unit, note);
  }
}

void
fh_render_print(const char* const take, const FhRenderJob* const job)
{
  const FhFigures* const f = &job->figures;
  printf("%s, %.1f s, latency %u frames\n", take, f->seconds, job->latency);
  print_figure("time open", f->open_percent, "%", "");
  print_figure("openings per minute", f->openings_per_minute, "", "");
  const char* const none = f->open_percent > 0.0 ? "the gate never rests" : "nothing comes out";
  print_figure("pickup removed between phrases", f->removed, "dB", isnan(f->removed) ? none : "");
  print_figure("duck while open", f->ducked, "dB", isnan(f->ducked) ? "the gate never opens" : "");
  print_figure("separation", f->separation, "dB", "soloist over the field, in the close microphone");
  if (f->verdict != FH_VERDICT_UNKNOWN) {
    printf("  %-32s %8s        %s\n", "", fh_verdict_word(f->verdict), fh_verdict_advice(f->verdict));
  }
  bool fault = false;
  for (int i = FH_FAULT_NO_AMBIENT; i < FH_FAULT_COUNT; ++i) {
    if (f->fault_seconds[i] > 0.0) {
      printf("  %-32s %8.1f %-6s %s: %s\n", fault ? "" : "fault", f->fault_seconds[i], "s", fh_fault_word(i),
             fh_fault_advice(i, FH_TOLD_OF_TAKE, false));
      fault = true;
    }
  }
  if (!fault) {
    printf("  %-32s     none\n", "fault");
  }
  printf("wrote %s\n", job->sound.path);
  if (*job->picture.path) {
    printf("drew %s\n", job->picture.path);
  }
}

/// The figures of one job, into an open object
static void
put_job(FhJson* const json, const FhRenderJob* const job)
{
  const FhFigures* const f = &job->figures;
  fh_json_text(json, "output", job->sound.path);
  fh_json_text(json, "picture", *job->picture.path ? job->picture.path : NULL);
  fh_json_number(json, "seconds", f->seconds);
  fh_json_number(json, "latency_frames", job->latency);
  fh_json_number(json, "open_percent", f->open_percent);
  fh_json_number(json, "openings_per_minute", f->openings_per_minute);
  fh_json_number(json, "removed_between_phrases_db", f->removed);
  fh_json_number(json, "ducked_while_open_db", f->ducked);
  fh_json_number(json, "separation_db", f->separation);
  fh_json_text(json, "verdict", fh_verdict_name(f->verdict));
  fh_json_object(json, "fault_seconds");
  for (int i = FH_FAULT_NO_AMBIENT; i < FH_FAULT_COUNT; ++i) {
    fh_json_number(json, fh_fault_key(i), f->fault_seconds[i]);
  }
  fh_json_end(json, '}');
}

void
fh_render_print_json(const char* const take, const FhRenderJob* const job)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "take", take);
  put_job(&json, job);
  fh_json_end(&json, '}');
}

void
fh_render_print_show_json(const FhDesk* const desk, const FhRenderJob* const jobs, const char* const folder)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "take", desk->recording.path);
  fh_json_text(&json, "show", desk->show->path);
  fh_json_text(&json, "folder", folder);
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < desk->count; ++i) {
    const FhSoloist* const soloist = desk->stand[i].soloist;
    fh_json_object(&json, NULL);
    fh_json_text(&json, "stand", desk->stand[i].stand->name);
    fh_json_text(&json, "soloist", soloist ? soloist->name : NULL);
    put_job(&json, &jobs[i]);
    fh_json_end(&json, '}');
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
}

static void
put_cell(FhTable* const table, const size_t column, const double value)
{
  fh_table_cell(table, column, isnan(value) ? ">-" : ">%.1f", value);
}

void
fh_render_print_show(const FhDesk* const desk, const FhRenderJob* const jobs, const char* const folder)
{
  static const char* const heads[] = {"stand", "soloist", ">open %", ">openings/min", ">removed dB", ">duck dB", ">separation dB",
                                      "fault", NULL};
  printf("%s, %.1f s, %zu stand%s of %s\n\n", desk->recording.path, fh_recording_seconds(&desk->recording), desk->count,
         desk->count > 1 ? "s" : "", desk->show->path);
  FhTable table = fh_table_begin(heads);
  for (size_t i = 0; i < desk->count; ++i) {
    const FhFigures* const f       = &jobs[i].figures;
    const FhSoloist* const soloist = desk->stand[i].soloist;
    const double values[] = {f->open_percent, f->openings_per_minute, f->removed, f->ducked, f->separation};
    int          worst    = FH_FAULT_NONE;
    for (int k = FH_FAULT_NO_AMBIENT; k < FH_FAULT_COUNT; ++k) {
      worst = f->fault_seconds[k] > (worst ? f->fault_seconds[worst] : 0.0) ? k : worst;
    }
    fh_table_row(&table);
    fh_table_cell(&table, 0, "%s", desk->stand[i].stand->name);
    fh_table_cell(&table, 1, "%s", soloist ? soloist->name : "");
    for (size_t k = 0; k < 5; ++k) {
      put_cell(&table, 2 + k, values[k]);
    }
    if (worst) {
      fh_table_cell(&table, 7, "%s for %.1f s", fh_fault_word(worst), f->fault_seconds[worst]);
    }
  }
  fh_table_print(&table);
  printf("\nremoved: pickup taken off between phrases; separation: soloist over the field in the close microphone,\n"
         "- where soloist and field cannot be told apart\n");
  printf("wrote %zu sound file%s%s to %s\n", desk->count, desk->count > 1 ? "s" : "",
         *jobs[0].picture.path ? " and as many pictures" : "", folder);
}
