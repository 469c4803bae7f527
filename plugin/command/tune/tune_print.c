// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/tune/tune_print.h"

#include "command/measure/stretches.h"
#include "command/tune/preset_write.h"

#include <math.h>
#include <stdio.h>

static void
print_row(const char* const name, const double before, const double after, const char* const unit)
{
  printf("  %-34s", name);
  const double both[] = {before, after};
  for (int i = 0; i < FH_TUNE_RUNS; ++i) {
    if (isnan(both[i])) {
      printf("%10s", "-");
    } else {
      printf("%10.1f", both[i]);
    }
  }
  printf(" %s\n", unit);
}

static void
print_written(const FhTuneSession* const s)
{
  const FhFigures* const  f = s->figures;
  const FhEvidence* const e = s->evidence;
  const FhTuning* const   t = &s->tuning;
  for (const FhChoice* c = t->choice; c < t->choice + t->count; ++c) {
    printf("  %-14s %7g %-3s %s\n", fh_controls[c->control].name, (double)c->value, fh_controls[c->control].unit, c->why);
  }
  printf("\n  %-34s%10s%10s\n", "", "before", "after");
  print_row("opened by the band alone", e[FH_TUNE_BEFORE].false_open, e[FH_TUNE_AFTER].false_open, "% of its time");
  print_row("soloist missed", e[FH_TUNE_BEFORE].missed, e[FH_TUNE_AFTER].missed, "% of the sounding time");
  print_row("time open", f[FH_TUNE_BEFORE].open_percent, f[FH_TUNE_AFTER].open_percent, "%");
  print_row("openings per minute", f[FH_TUNE_BEFORE].openings_per_minute, f[FH_TUNE_AFTER].openings_per_minute, "");
  print_row("pickup removed between phrases", f[FH_TUNE_BEFORE].removed, f[FH_TUNE_AFTER].removed, "dB");
  print_row("duck while open", f[FH_TUNE_BEFORE].ducked, f[FH_TUNE_AFTER].ducked, "dB");
  printf("\nwrote preset \"%s\" to %s%s\n", s->label, s->folder, fh_tuning_changes(t) ? "" : ", which holds what was learnt and changes no value");
  for (int i = 0; i < FH_TUNE_RUNS; ++i) {
    printf("wrote %s and %s\n", s->outputs.sound[i].path, s->outputs.picture[i].path);
  }
  char filter[FH_FILTER_MAX];
  fh_preset_filter(s->take.variant, t->settings, filter);
  printf("\nffmpeg loads no presets; the same controls there, without what was learnt:\n  -af '%s'\n", filter);
}

void
fh_tune_print(const FhTuneSession* const s)
{
  const FhTuning* const   t    = &s->tuning;
  const FhDivision* const d    = &s->division;
  const FhFigures* const  last = &s->figures[FH_TUNE_AFTER];
  printf("%s, %.1f s: the band alone for %.1f s, the soloist for %.1f s\n", s->options.desk.take, fh_take_seconds(&s->take),
         fh_stretches_seconds(&d->band), fh_stretches_seconds(&d->solo));
  if (isnan(last->separation)) {
    printf("separation: unknown, for soloist and field cannot be told apart\n\n");
  } else {
    printf("separation %.1f dB: %s. %s.\n\n", last->separation, fh_verdict_word(last->verdict), fh_verdict_advice(last->verdict));
  }
  printf("After Learn, with the values it began from, it opens by the band alone for %.1f %% of its time and misses %.1f %% of the\n"
         "soloist. %s %.2f %% over that (missed plus twice opened by the band), give or take %.2f\n"
         "by the halves of the take.\n\n", t->before.false_open, t->before.missed,
         t->gain > t->spread ? "The values chosen gain" : "No values gain more than luck; those looked at gain", t->gain, t->spread);
  if (s->written) {
    print_written(s);
  } else {
    printf("So nothing was written: leave the controls as they are, and let it learn at the soundcheck. What tune was good for here is\n"
           "the separation above, and to know that neither an ambient delay nor another value helps. --keep writes a preset all the same,\n"
           "which holds what was learnt from this take.\n");
  }
}

static void
json_stretches(FhJson* const json, const char* const key, const FhStretches* const stretches)
{
  fh_json_array(json, key);
  for (size_t i = 0; i < stretches->count; ++i) {
    fh_json_object(json, NULL);
    fh_json_number(json, "start_s", stretches->at[i].start);
    fh_json_number(json, "end_s", stretches->at[i].end);
    fh_json_end(json, '}');
  }
  fh_json_end(json, ']');
}

void
fh_tune_put(FhJson* const json, const FhTuneSession* const s)
{
  fh_json_text(json, "take", s->options.desk.take);
  fh_json_text(json, "label", s->label);
  fh_json_text(json, "preset", s->written ? s->folder : NULL);
  char filter[FH_FILTER_MAX];
  fh_preset_filter(s->take.variant, s->tuning.settings, filter);
  fh_json_text(json, "ffmpeg_filter", filter);
  json_stretches(json, "band", &s->division.band);
  json_stretches(json, "solo", &s->division.solo);
  fh_json_number(json, "separation_db", s->figures[FH_TUNE_AFTER].separation);
  fh_json_text(json, "verdict", fh_verdict_name(s->figures[FH_TUNE_AFTER].verdict));
  fh_json_object(json, "learnt");
  fh_json_number(json, "false_open_percent", s->tuning.before.false_open);
  fh_json_number(json, "missed_percent", s->tuning.before.missed);
  fh_json_end(json, '}');
  fh_json_number(json, "gain_percent", s->tuning.gain);
  fh_json_number(json, "gain_spread_percent", s->tuning.spread);
  fh_json_array(json, "choices");
  for (size_t i = 0; i < s->tuning.count; ++i) {
    const FhChoice* const c = &s->tuning.choice[i];
    fh_json_object(json, NULL);
    fh_json_text(json, "port", fh_controls[c->control].symbol);
    fh_json_number(json, "value", (double)c->value);
    fh_json_text(json, "unit", fh_controls[c->control].unit);
    fh_json_text(json, "why", c->why);
    fh_json_end(json, '}');
  }
  fh_json_end(json, ']');
  for (int i = 0; s->written && i < FH_TUNE_RUNS; ++i) {
    fh_json_object(json, fh_tune_run_names[i]);
    fh_json_text(json, "sound", s->outputs.sound[i].path);
    fh_json_text(json, "picture", s->outputs.picture[i].path);
    fh_json_number(json, "false_open_percent", s->evidence[i].false_open);
    fh_json_number(json, "missed_percent", s->evidence[i].missed);
    fh_json_number(json, "open_percent", s->figures[i].open_percent);
    fh_json_number(json, "openings_per_minute", s->figures[i].openings_per_minute);
    fh_json_number(json, "removed_between_phrases_db", s->figures[i].removed);
    fh_json_number(json, "ducked_while_open_db", s->figures[i].ducked);
    fh_json_end(json, '}');
  }
}

void
fh_tune_print_json(const FhTuneSession* const s)
{
  FhJson json = fh_json_begin(stdout);
  fh_tune_put(&json, s);
  fh_json_end(&json, '}');
}
