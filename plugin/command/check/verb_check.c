// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/quantity.h"
#include "command/check/check_codes.h"
#include "command/check/check_desk.h"
#include "command/check/check_print.h"
#include "command/measure/family.h"
#include "command/verbs.h"

#include <stdlib.h>
#include <string.h>

/// The command line of `fronthash check`
typedef struct {
  FhDeskWish  desk;
  const char* ambient;
  const char* against;
  const char* family;
  const char* picture;
  const char* ambient_distance;
  const char* mic_distance;
  const char* temperature;
  double      group;
  bool        soloist;
  bool        mallets;
  bool        replace;
  bool        json;
  bool        explain;
} Options;

static const char* const about =
  "Says what a soundcheck recording shows: clipping, noise, hum, wind, swapped inputs, polarity, arrival times, "
  "separation, and the level of each note, bar or player. Each finding is a sentence with its figure and what to do.\n"
  "\n"
  "TAKE is a WAV, FLAC, W64, RF64 or CAF file: close microphone on channel 1, ambient microphone on channel 2. Three channels are two "
  "close microphones under one instrument, then the ambient. With --ambient, TAKE holds the close microphones alone.\n"
  "\n"
  "With --show, TAKE holds all channels of a show, and one table says what each stand shows; family, distances and players are those "
  "of the show. What only another stand's soloist plays is left out. Of what is longer than four minutes it listens to that much: where the microphone stands out most over the ambient "
  "one, and where the band plays most without it. With --against it says what has moved since an earlier soundcheck.\n"
  "\n"
  "For a soloist: a scale over the range, then some field without the soloist. For a group: each player alone in turn, "
  "two seconds of rest between. For mallets: one even run over every bar, about two strokes a second.\n"
  "\n"
  "Faults come in the order in which to mend them. Exit code 0: nothing to do; 1: something to do; 2: something could not "
  "be judged, or the take could not be read.";

static const char* const examples =
  "  fronthash check trumpet.wav --family trumpet --ambient-distance 2m\n"
  "  fronthash check trio.wav --group 3 --mic 80cm --picture trio.png\n"
  "  fronthash check marimba.wav --mallets --json\n"
  "  fronthash check friday.w64 --show tide-lines.show --against thursday.w64\n";

static FhParsed
parse(const int argc, char** const argv, Options* const o)
{
  const FhOption table[] = {
    {"soloist", NULL, "One player: says level and tone over the range. The default for two channels.", FH_OPTION_FLAG,
     &o->soloist, 0, 0},
    {"group", "N", "N players on one microphone, who play one after the other; with 0 they are counted.", FH_OPTION_NUMBER,
     &o->group, 0,
     16},
    {"mallets", NULL, "A mallet instrument, with one run over its bars. The default for three channels.", FH_OPTION_FLAG, &o->mallets, 0, 0},
    {"family", "FAMILY", "Instrument, for its range: as in fronthash plan. Default: trumpet, or marimba with --mallets.",
     FH_OPTION_TEXT, &o->family, 0, 0},
    {"ambient-distance", "LENGTH", "From the soloist to the ambient microphone, as 2m or 6ft; checked by the arrival time.",
     FH_OPTION_TEXT, &o->ambient_distance, 0, 0},
    {"mic", "LENGTH", "From the player to the close microphone, as 15cm or 6in.", FH_OPTION_TEXT, &o->mic_distance, 0, 0},
    {"temperature", "DEGREES", "Temperature of the air, as 20C or 68F; default 20C.", FH_OPTION_TEXT, &o->temperature, 0, 0},
    {"ambient", "FILE", "The ambient microphone, if it is in a file of its own.", FH_OPTION_TEXT, &o->ambient, 0, 0},
    FH_DESK_OPTIONS(&o->desk),
    {"against", "FILE", "An earlier soundcheck of the same channels: say what has moved since.", FH_OPTION_TEXT, &o->against, 0, 0},
    {"picture", "FILE.png", "Draw the level per note or per player.", FH_OPTION_TEXT, &o->picture, 0, 0},
    {"replace", NULL, "Replace a picture that is there already.", FH_OPTION_FLAG, &o->replace, 0, 0},
    {"json", NULL, "Print the findings for scripts.", FH_OPTION_FLAG, &o->json, 0, 0},
    {"explain", NULL, "Explain a code that --json names, given in place of TAKE: its cause, its remedy, how sure it is and how it is "
                      "found; all lists the codes.",
     FH_OPTION_FLAG, &o->explain, 0, 0},
  };
  const FhUsage usage = {
    .verb         = "check",
    .about        = about,
    .examples     = examples,
    .options      = table,
    .option_count = sizeof(table) / sizeof(table[0]),
  };
  return fh_parse_take(&usage, argc, argv, &o->desk.take);
}

static bool
read_length(const char* const option, const char* const text, double* const metres)
{
  if (text && (!fh_parse_length(text, metres) || *metres <= 0.0 || *metres > 100.0)) {
    return fh_complain("--%s takes a length with its unit, as 2m or 6ft, not '%s'", option, text);
  }
  return true;
}

static bool
read_family(const Options* const o, FhCheckOptions* const options)
{
  const char* const     name   = o->family ? o->family : options->kind == FH_CHECK_MALLETS ? "marimba" : "trumpet";
  const FhFamily* const family = fh_family_find(name);
  if (!family) {
    return fh_complain("--family '%s' is not known; fronthash plan --help lists them", name);
  }
  fh_check_family(options, !o->family && options->kind == FH_CHECK_SOLOIST ? NULL : family);
  return true;
}

static bool
read_options(const Options* const o, const size_t closes, FhCheckOptions* const options)
{
  const bool group = o->group >= 0.0;
  if (o->soloist + o->mallets + group > 1) {
    return fh_complain("take one of --soloist, --group and --mallets");
  }
  const bool mallets = o->mallets || (closes == 2 && !o->soloist && !group);
  options->kind      = group ? FH_CHECK_GROUP : mallets ? FH_CHECK_MALLETS : FH_CHECK_SOLOIST;
  options->players   = group ? (int)o->group : 0;
  options->celsius   = 20.0;
  if (o->temperature && (!fh_parse_temperature(o->temperature, &options->celsius) || options->celsius < -30.0 ||
                         options->celsius > 55.0)) {
    return fh_complain("--temperature takes -30C to 55C, as 20C or 68F, not '%s'", o->temperature);
  }
  return read_family(o, options) && read_length("ambient-distance", o->ambient_distance, &options->ambient_distance) &&
         read_length("mic", o->mic_distance, &options->mic_distance);
}

static bool
write_picture(const Options* const o, const FhSoundcheck* const check, const FhReport* const report)
{
  const char* const slash = strrchr(o->desk.take, '/');
  FhTemp            temp;
  if (fh_same_file(o->desk.take, o->picture) || (o->ambient && fh_same_file(o->ambient, o->picture))) {
    return fh_complain("%s is the recording itself; name another file with --picture", o->picture);
  }
  return fh_temp_open(&temp, o->picture, o->replace) &&
         fh_temp_commit_picture(&temp, !fh_check_picture(temp.temp, slash ? slash + 1 : o->desk.take, check, report));
}

static int
explain(const char* const code)
{
  if (!strcmp(code, "all")) {
    fh_code_list(stdout);
  } else if (!fh_code_print(stdout, code)) {
    fh_complain("there is no code '%s'; fronthash check --explain all lists them", code);
    return FH_EXIT_UNJUDGED;
  }
  return EXIT_SUCCESS;
}

/// Check one recording as the options say
static bool
check_file(const Options* const o, const char* const path, FhChecked* const checked)
{
  FhRecording recording = {0};
  FhChannels  mics;
  FhSurvey    survey = {0};
  const bool  ok = fh_take_open(&recording, &mics, path, o->ambient, o->desk.channels) &&
                  read_options(o, mics.count - 1, &checked->options) && fh_survey_make(&survey, &recording, false) &&
                  fh_check_mics(checked, &recording, &survey, &mics);
  fh_survey_free(&survey);
  fh_recording_close(&recording);
  return ok;
}

static void
print_moved(const FhFindings* const moved, const char* const against)
{
  printf(moved->count ? "\nMoved since %s\n" : "\nNothing has moved since %s.\n", against);
  for (size_t i = 0; i < moved->count; ++i) {
    printf("  %s\n", moved->list[i].text);
  }
}

static void
print_json(const Options* const o, const FhChecked* const now)
{
  FhJson json = fh_json_begin(stdout);
  fh_check_put_report(&json, &now->take, &now->report);
  if (o->against) {
    fh_check_put_findings(&json, "moved", &now->moved);
  }
  fh_json_end(&json, '}');
}

static bool
check_take(const Options* const o, FhChecked* const now, FhChecked* const then)
{
  FhFindings all;
  bool       ok = check_file(o, o->desk.take, now) && (!o->against || check_file(o, o->against, then));
  if (ok && o->against) {
    fh_check_moved(now, then, 1, &all);
  }
  ok = ok && (!o->picture || write_picture(o, &now->take, &now->report));
  if (ok && o->json) {
    print_json(o, now);
  } else if (ok) {
    fh_check_print(stdout, &now->take, &now->report);
    if (o->against) {
      print_moved(&now->moved, o->against);
    }
  }
  return ok;
}

/// @return The exit code
static int
check(const Options* const o)
{
  if (!fh_desk_may(&o->desk, o->ambient)) {
    return FH_EXIT_UNJUDGED;
  }
  if (o->against && o->ambient) {
    fh_complain("--against takes recordings that hold the ambient microphone; leave --ambient out");
    return FH_EXIT_UNJUDGED;
  }
  if (o->desk.show) {
    FhCheckOptions options = {0};
    const bool ok =
           (!(o->soloist || o->mallets || o->group >= 0.0 || o->family || o->ambient_distance || o->mic_distance || o->picture) ||
            fh_complain("kind, family and distances are those of the show, and it has no picture; leave the options out")) &&
           read_options(o, 1, &options);
    return ok ? fh_check_show(&o->desk, o->against, options.celsius, o->json) : FH_EXIT_UNJUDGED;
  }
  FhChecked* const checked = calloc(2, sizeof(*checked));
  const bool ok = checked ? check_take(o, checked, checked + 1) : fh_complain("not enough memory; close other programs");
  const int  code = ok ? fh_check_exit(&checked->report) : FH_EXIT_UNJUDGED;
  free(checked);
  return code;
}

int
fh_verb_check(const int argc, char** const argv)
{
  Options o = {.group = -1.0};
  switch (parse(argc, argv, &o)) {
  case FH_PARSED_DONE:
    return EXIT_SUCCESS;
  case FH_PARSED_BAD:
    return FH_EXIT_UNJUDGED;
  case FH_PARSED_OK:
    break;
  }
  return o.explain ? explain(o.desk.take) : check(&o);
}
