// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-soundchecks: what fronthash check makes of soundchecks with known faults, and of clean ones

#include "soundcheck_rows.h"

#include "../../scenes/processes.h"
#include "command/check/check_codes.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FH_SEPARATION_OFF 4.5 // dB by which a clean scale's separation may differ from the truth: more accuses, or lulls
#define FH_FEW_MISSED 3 // of those that --few makes

/// Of one kind of fault at one strength, or of clean takes
typedef struct {
  int takes, named, first, accused;
} Tally;

/// Of one take
typedef struct {
  bool done, named, first, accused;
  char text[6000]; ///< What was wrong in the judgement; empty: nothing
} Outcome;

typedef struct {
  bool brief, tell;
  int  jobs;
} How;

/// All takes, and what came of them, in memory that processes share
typedef struct {
  const FhRows* rows;
  bool          tell; ///< Print all that is found
  Outcome*      outcomes;
} Work;

/// Is a word in a list of words between blanks?
static bool
lists(const char* const list, const char* const word)
{
  const size_t length = strlen(word);
  for (const char* at = list; (at = strstr(at, word)); ++at) {
    if ((at == list || at[-1] == ' ') && (!at[length] || at[length] == ' ')) {
      return true;
    }
  }
  return false;
}

static void
describe(const FhRow* const row, char* const text, const size_t size)
{
  int at = snprintf(text, size, "%s, %s, %s, seed %llu, %zu close:", row->request.spec->name,
                    fh_form_names[row->request.form], row->request.sampled ? fh_font_names[row->request.font] : "synth",
                    (unsigned long long)row->request.seed, row->request.closes);
  for (size_t i = 0; i < row->count; ++i) {
    at += snprintf(text + at, size - (size_t)at, "%s %s (%g)", i ? " and" : "", fh_spoils[row->faults[i].what].name,
                   fh_spoils[row->faults[i].what].amount[row->faults[i].strength]);
  }
  if (!row->count) {
    snprintf(text + at, size - (size_t)at, " clean");
  }
}

/// Is it first among the faults named? Of two, the one to be mended first, if they differ in that
static bool
leads(const FhRow* const row, const size_t k, const char* const first)
{
  const FhSpoilKind* const own = &fh_spoils[row->faults[k].what];
  for (size_t i = 0; i < row->count; ++i) {
    const FhSpoilKind* const other = &fh_spoils[row->faults[i].what];
    if (i != k && other->rank <= own->rank && lists(other->codes, first)) {
      return true;
    }
  }
  return lists(own->codes, first);
}

/// The separation that check measures of a soloist who plays a scale alone, against that of the music which both are taken from
static bool
separation_off(const FhRow* const row, const FhFinding* const f)
{
  const double truth = 10.0 * log10(1.0 + pow(10.0, FH_REHEARSAL_RATIO / 10.0));
  return row->count == 0 && row->request.form == FH_FORM_SCALE && !strcmp(f->code, "separation") && fabs(f->value - truth) > FH_SEPARATION_OFF;
}

static void
judge(const FhRow* const row, const bool tell, const FhReport* const report, Outcome* const o)
{
  const FhFindings* const findings = &report->findings;
  const char* first   = NULL;
  bool        named[FH_FAULTS_MOST] = {false};
  char        what[256];
  char        said[400] = "";
  for (size_t i = 0; i < findings->count; ++i) {
    const FhFinding* const f = &findings->list[i];
    if (separation_off(row, f)) {
      o->accused = true;
      snprintf(said + strlen(said), sizeof(said) - strlen(said), " separation of %.1f dB", f->value);
    }
    if (fh_finding_sort(report, i) != FH_SORT_FAULT) { // what could not be judged accuses nobody
      continue;
    }
    bool known = false;
    first      = first ? first : f->code;
    for (size_t k = 0; k < row->count; ++k) {
      named[k] = named[k] || lists(fh_spoils[row->faults[k].what].codes, f->code);
      known = known || lists(fh_spoils[row->faults[k].what].codes, f->code) ||
              lists(fh_spoils[row->faults[k].what].also, f->code);
    }
    o->accused = o->accused || !known;
    snprintf(said + strlen(said), sizeof(said) - strlen(said), " %s", f->code);
  }
  size_t both = 0, lead = 0;
  for (size_t k = 0; k < row->count; ++k) {
    both += named[k];
    lead += first && leads(row, k, first);
  }
  o->named = both == row->count;
  o->first = o->named && lead == row->count;
  if (tell || o->accused || !o->first) {
    describe(row, what, sizeof(what));
    snprintf(o->text, sizeof(o->text), "%s; said:%s\n", what, *said ? said : " nothing");
  }
  o->done = true;
}

static bool
same_rehearsal(const FhRehearsalRequest* const a, const FhRehearsalRequest* const b)
{
  return a->spec == b->spec && a->form == b->form && a->seed == b->seed && a->sampled == b->sampled &&
         a->font == b->font && a->closes == b->closes && a->odd == b->odd && a->odd_db == b->odd_db &&
         a->over == b->over;
}

/// @param last The rehearsal of the row before, which may be the same
static void
check_row(const FhRow* const row, const bool tell, FhRehearsal* const last, Outcome* const outcome)
{
  FhRehearsalRequest request = row->request;
  fh_spoil_request(&request, row->faults, row->count);
  if (!last->frames || !same_rehearsal(&request, &last->request)) {
    fh_rehearsal_free(last);
    if (!fh_rehearse(last, &request)) {
      return;
    }
  }
  FhSpoilt             spoilt  = fh_spoil(last, row->faults, row->count, request.seed);
  const FhCheckOptions options = fh_rehearsal_options(last);
  FhReport* const      report  = calloc(1, sizeof(*report));
  if (report && fh_check(&spoilt.take, &options, report)) {
    judge(row, tell, report, outcome);
    for (size_t i = 0; tell && i < report->findings.count; ++i) {
      const FhFinding* const f  = &report->findings.list[i];
      const size_t           at = strlen(outcome->text);
      snprintf(outcome->text + at, sizeof(outcome->text) - at, "  %c %s %.1f: %s\n", f->fault ? '*' : ' ', f->code, f->value, f->text);
    }
  }
  free(report);
  fh_spoilt_free(&spoilt);
}

/// Rows of one scene and music share stems, which one process makes
static bool
same_stems(const FhRow* const a, const FhRow* const b)
{
  return a->request.spec == b->request.spec && a->request.seed == b->request.seed;
}

static void
check_group(const int group, void* const what)
{
  const Work* const w    = what;
  FhRehearsal       last = {0};
  int               g    = -1;
  for (size_t i = 0; i < w->rows->count; ++i) {
    const FhRow* const row = &w->rows->list[i];
    g += i == 0 || !same_stems(row, row - 1);
    if (g == group) {
      check_row(row, w->tell, &last, &w->outcomes[i]);
    }
  }
  fh_rehearsal_free(&last);
}

static void
print_tally(const char* const name, const char* const strength, const Tally* const t)
{
  printf("| %s | %s | %d | %d | %d | %d |\n", name, strength, t->takes, t->named, t->first, t->accused);
}

static void
add(Tally* const to, const Tally* const t)
{
  to->takes += t->takes;
  to->named += t->named;
  to->first += t->first;
  to->accused += t->accused;
}

static void
print_by_kind(Tally by_kind[FH_SPOIL_COUNT][FH_STRENGTHS], const Tally* const clean, const Tally* const both)
{
  static const char* const strengths[] = {"light", "medium", "strong"};
  Tally                    all[FH_STRENGTHS] = {0};
  printf("| fault | strength | takes | named | named first | with another fault that is none |\n|---|---|---|---|---|---|\n");
  for (int what = 0; what < FH_SPOIL_COUNT; ++what) {
    for (int s = 0; s < FH_STRENGTHS; ++s) {
      if (by_kind[what][s].takes) {
        print_tally(fh_spoils[what].name, strengths[s], &by_kind[what][s]);
        add(&all[s], &by_kind[what][s]);
      }
    }
  }
  for (int s = 0; s < FH_STRENGTHS; ++s) {
    print_tally("all", strengths[s], &all[s]);
  }
  print_tally("two at once", "medium", both);
  printf("| none | | %d | | | %d |\n", clean->takes, clean->accused);
}

/// @return False where a take could not be made or checked
static bool
run_all(const How* const how, const FhRows* const rows, int* const missed, int* const accused)
{
  Work work   = {rows, how->tell, fh_shared((rows->count + 1) * sizeof(Outcome))};
  int  groups = 1;
  for (size_t i = 1; i < rows->count; ++i) {
    groups += !same_stems(&rows->list[i], &rows->list[i - 1]);
  }
  fh_spread(how->jobs, groups, check_group, &work);
  Tally by_kind[FH_SPOIL_COUNT][FH_STRENGTHS] = {0};
  Tally clean = {0}, both = {0};
  bool  ok    = true;
  for (size_t i = 0; i < rows->count; ++i) {
    const FhRow* const   row   = &rows->list[i];
    const Outcome* const o     = &work.outcomes[i];
    Tally* const         tally = row->count == 0   ? &clean
                                 : row->count == 2 ? &both
                                                   : &by_kind[row->faults[0].what][row->faults[0].strength];
    add(tally, &(Tally){1, o->named, o->first, o->accused});
    ok = ok && o->done;
    if (!how->brief) {
      fputs(o->text, stdout);
    }
  }
  print_by_kind(by_kind, &clean, &both);
  *accused = clean.accused;
  *missed  = both.takes - both.first;
  for (int what = 0; what < FH_SPOIL_COUNT; ++what) {
    *missed += by_kind[what][FH_MEDIUM].takes - by_kind[what][FH_MEDIUM].first;
  }
  return ok;
}

static int
fail(const char* const what, const char* const which)
{
  fprintf(stderr, "fh-soundchecks: %s%s\n", what, which);
  return EXIT_FAILURE;
}

static void
print_help(void)
{
  puts("Usage: fh-soundchecks [OPTION]...\n\n"
       "Make soundchecks with known faults, each at three strengths, pairs of faults, and clean ones of every family,\n"
       "check them, and count what is named, what is named first, and what is accused.\n\n"
       "  --seed N      music, places and chances (default 1; from 100 on they only accept)\n"
       "  --only TEXT   faults with this in their name, and neither pairs nor clean takes\n"
       "  --few         synthesised instruments, medium strength, few takes: what the tests run\n"
       "  --medium      medium strength alone\n"
       "  --each        each fault at medium strength with every instrument, in one music\n"
       "  --tell        all that check says\n"
       "  --brief       only the table\n"
       "  --jobs N      processes (default 2)\n"
       "  --help        show this\n\n"
       "Exit code 0 unless --few accuses a clean take, or names fewer faults first than it did when it was last looked at.");
}

int
main(const int argc, char** const argv)
{
  FhRowOptions o     = {.seed = 1};
  How          how = {.jobs = 2};
  const char* why = NULL;
  for (int i = 1; i < argc; ++i) {
    const char* const value = i + 1 < argc ? argv[i + 1] : "";
    char*             end   = NULL;
    if (!strcmp(argv[i], "--help")) {
      return print_help(), EXIT_SUCCESS;
    } else if (!strcmp(argv[i], "--brief")) {
      how.brief = true;
    } else if (!strcmp(argv[i], "--tell")) {
      how.tell = true;
    } else if (!strcmp(argv[i], "--medium")) {
      o.medium = true;
    } else if (!strcmp(argv[i], "--each")) {
      o.each = true;
    } else if (!strcmp(argv[i], "--few")) {
      o.few = true;
    } else if (!strcmp(argv[i], "--only") && *value) {
      o.only = argv[++i];
    } else if (!strcmp(argv[i], "--jobs") && (how.jobs = (int)strtol(value, &end, 10), how.jobs > 0 && !*end)) {
      ++i;
    } else if (!strcmp(argv[i], "--seed") && (o.seed = strtoull(value, &end, 10), *value && !*end)) {
      ++i;
    } else {
      return fail("not understood; --help shows the options: ", argv[i]);
    }
  }
  if (!o.few && (!fh_sampled_available(FH_FONT_TIMGM6MB, &why) || !fh_sampled_available(FH_FONT_MUSESCORE, &why))) {
    return fail(why, "");
  }
  const FhRows rows = fh_rows(&o);
  int        missed = 0, accused = 0;
  const bool ok = run_all(&how, &rows, &missed, &accused);
  free(rows.list);
  return ok && (!o.few || (!accused && missed <= FH_FEW_MISSED)) ? EXIT_SUCCESS : EXIT_FAILURE;
}
