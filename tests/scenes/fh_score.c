// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-score: run made-up field scenes with known truth through the engine and print how well it did.

#include "jobs.h"
#include "table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 64

typedef struct {
  const FhSceneSpec* specs[MOST];
  int                spec_count;
  FhCondition        conditions[FH_CONDITIONS];
  int                condition_count;
  double             ratios[MOST];
  int                ratio_count;
  double             seeds[MOST];
  int                seed_count;
  double             rate;
  bool               synth, json, brief, beside;
  FhFont             font;
  const char*        cache;
  FhJobPlan          plan;
} Options;

static void
print_help(void)
{
  puts("Usage: fh-score [OPTION]...\n\n"
       "Run made-up field scenes with known truth through the engine and print how well it did. Lists are\n"
       "separated by commas.\n\n"
       "  --scenes LIST|first|all    first: the first four families; all (default): the usual ones; see fh-scene --list\n"
       "  --conditions LIST|all      default plain\n"
       "  --ratios LIST              solo over pickup, dB; default 3,6,10,15\n"
       "  --seeds LIST               default 1\n"
       "  --rate HZ                  48000 (default) or 96000\n"
       "  --synth                    synthesised instead of sampled instruments\n"
       "  --font NAME                timgm6mb (default), musescore-general or csound\n"
       "  --unlearnt                 nobody presses learn: the field is only followed\n"
       "  --set PORT=VALUE           change a control from its default; may be repeated\n"
       "  --beside                   each scene with the defaults, too, before the settings; for --json\n"
       "  --references               score the fixed gate and the echo suppressor too\n"
       "  --brief                    only the means\n"
       "  --trace DIR                write what happened in each millisecond, a text file per scene\n"
       "  --json                     an array of objects instead of the table\n"
       "  --jobs N                   processes, default 2\n"
       "  --cache DIR, --no-cache    where rendered stems are kept\n"
       "  --help                     show this");
}

static void
fail(const char* const what, const char* const which)
{
  fprintf(stderr, "fh-score: %s%s\n", what, which);
  exit(EXIT_FAILURE);
}

static double
number(const char* const text, const double low, const double high)
{
  char*        end = NULL;
  const double x   = strtod(text, &end);
  if (end == text || *end || !(x >= low && x <= high)) {
    fail("not a number in range: ", text);
  }
  return x;
}

static int
numbers(char* const list, double* const to, const double low, const double high)
{
  int count = 0;
  for (char* item = strtok(list, ","); item && count < MOST; item = strtok(NULL, ",")) {
    to[count++] = number(item, low, high);
  }
  return count;
}

static void
choose_scenes(Options* const o, char* const list)
{
  size_t                   count = 0;
  const FhSceneSpec* const all   = fh_scene_list(&count);
  o->spec_count                  = 0;
  if (!strcmp(list, "first") || !strcmp(list, "all")) {
    for (size_t i = 0; i < (list[0] == 'f' ? 4 : count); ++i) {
      if (!all[i].turns && !all[i].extra) {
        o->specs[o->spec_count++] = &all[i];
      }
    }
    return;
  }
  for (char* item = strtok(list, ","); item && o->spec_count < MOST; item = strtok(NULL, ",")) {
    const FhSceneSpec* const spec = fh_scene_find(item);
    if (!spec) {
      fail("no such scene (see fh-scene --list): ", item);
    }
    o->specs[o->spec_count++] = spec;
  }
}

static void
choose_conditions(Options* const o, char* const list)
{
  const bool all     = !strcmp(list, "all");
  o->condition_count = 0;
  for (int c = 0; c < FH_CONDITIONS && all; ++c) {
    o->conditions[o->condition_count++] = (FhCondition)c;
  }
  for (char* item = strtok(list, ","); item && !all && o->condition_count < FH_CONDITIONS; item = strtok(NULL, ",")) {
    int c = 0;
    while (c < FH_CONDITIONS && strcmp(item, fh_condition_names[c]) != 0) {
      ++c;
    }
    if (c == FH_CONDITIONS) {
      fail("no such condition (see fh-scene --list): ", item);
    }
    o->conditions[o->condition_count++] = (FhCondition)c;
  }
}

static void
set_control(FhJobPlan* const plan, char* const text)
{
  char* const equals = strchr(text, '=');
  if (!equals || plan->setting_count == FH_MAX_SETTINGS) {
    fail("want PORT=VALUE: ", text);
  }
  *equals = '\0';
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    if (fh_controls[i].flow == FH_INPUT && !strcmp(fh_controls[i].symbol, text)) {
      plan->setting[plan->setting_count] = i;
      plan->value[plan->setting_count++] = (float)number(equals + 1, (double)fh_controls[i].min, (double)fh_controls[i].max);
      return;
    }
  }
  fail("no such input port: ", text);
}

static void
parse(Options* const o, const int argc, char** const argv)
{
  for (int i = 1; i < argc; ++i) {
    char* const arg   = argv[i];
    char* const value = i + 1 < argc ? argv[i + 1] : NULL;
    if (!strcmp(arg, "--help")) {
      print_help();
      exit(EXIT_SUCCESS);
    } else if (!strcmp(arg, "--synth")) {
      o->synth = true;
    } else if (!strcmp(arg, "--json")) {
      o->json = true;
    } else if (!strcmp(arg, "--beside")) {
      o->beside = true;
    } else if (!strcmp(arg, "--brief")) {
      o->brief = true;
    } else if (!strcmp(arg, "--unlearnt")) {
      o->plan.unlearnt = true;
    } else if (!strcmp(arg, "--references")) {
      o->plan.references = true;
    } else if (!strcmp(arg, "--no-cache")) {
      o->cache = NULL;
    } else if (!value) {
      fail("not understood or without its value: ", arg);
    } else {
      ++i;
      if (!strcmp(arg, "--scenes")) {
        choose_scenes(o, value);
      } else if (!strcmp(arg, "--conditions")) {
        choose_conditions(o, value);
      } else if (!strcmp(arg, "--ratios")) {
        o->ratio_count = numbers(value, o->ratios, -20.0, 60.0);
      } else if (!strcmp(arg, "--seeds")) {
        o->seed_count = numbers(value, o->seeds, 0.0, 1e9);
      } else if (!strcmp(arg, "--rate")) {
        o->rate = number(value, 48000.0, 96000.0);
      } else if (!strcmp(arg, "--font")) {
        if (!fh_font_find(value, &o->font)) {
          fail("no such font; --help names them: ", value);
        }
      } else if (!strcmp(arg, "--set")) {
        set_control(&o->plan, value);
      } else if (!strcmp(arg, "--jobs")) {
        o->plan.processes = (int)number(value, 1.0, 64.0);
      } else if (!strcmp(arg, "--trace")) {
        o->plan.trace_dir = value;
      } else if (!strcmp(arg, "--cache")) {
        o->cache = value;
      } else {
        fail("not understood; --help shows the options: ", arg);
      }
    }
  }
}

static size_t
list_requests(const Options* const o, FhResult* const results)
{
  size_t count = 0;
  for (int s = 0; s < o->spec_count; ++s) {
    for (int d = 0; d < o->seed_count; ++d) {
      for (int c = 0; c < o->condition_count; ++c) {
        const bool nobody = o->conditions[c] >= FH_NO_SOLO; // the same for all soloists and ratios: once will do
        for (int r = 0; r < (nobody ? s == 0 : o->ratio_count); ++r) {
          for (int set = o->beside ? 0 : 1; set < 2; ++set, ++count) {
            if (results) {
              results[count].defaults = !set;
              results[count].request  = (FhSceneRequest){o->specs[s], (uint64_t)o->seeds[d], o->ratios[r], o->rate,
                                                         !o->synth,   o->conditions[c],      0,            o->cache, o->font, 0, 0};
            }
          }
        }
      }
    }
  }
  return count;
}

int
main(const int argc, char** const argv)
{
  Options o = {.conditions      = {FH_PLAIN},
               .condition_count = 1,
               .ratios          = {3.0, 6.0, 10.0, 15.0},
               .ratio_count     = 4,
               .seeds           = {1.0},
               .seed_count      = 1,
               .rate            = 48000.0,
               .cache           = FH_CACHE_DIR,
               .plan            = {.processes = 2}};
  char    all[] = "all";
  choose_scenes(&o, all);
  parse(&o, argc, argv);
  if (o.beside && !o.json) {
    fail("--beside wants --json", "");
  }
  const char* why = NULL;
  if (!o.synth && !fh_sampled_available(o.font, &why)) {
    fprintf(stderr, "fh-score: %s; or choose --synth\n", why);
    return EXIT_FAILURE;
  }
  const size_t    count   = list_requests(&o, NULL);
  FhResult* const results = fh_results_make(count);
  list_requests(&o, results);
  const size_t failed = fh_jobs_run(results, count, &o.plan);
  o.json ? fh_table_print_json(results, count) : fh_table_print(results, count, o.brief);
  return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
