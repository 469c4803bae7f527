// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/quantity.h"
#include "command/check/check_print.h"
#include "command/measure/family.h"
#include "command/measure/take.h"
#include "command/verbs.h"

#include <stdlib.h>
#include <string.h>

#define FH_SHORTEST 3.0 // s

/// The command line of `fronthash check`
typedef struct {
  const char* take;
  const char* ambient;
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
} Options;

static const char* const about =
  "Says what a soundcheck recording shows: clipping, noise, hum, wind, swapped inputs, polarity, arrival times, "
  "separation, and the level of each note, bar or player. Each finding is a sentence with its figure and what to do.\n"
  "\n"
  "TAKE is a WAV or FLAC file: close microphone on channel 1, ambient microphone on channel 2. Three channels are two "
  "close microphones under one instrument, then the ambient. With --ambient, TAKE holds the close microphones alone.\n"
  "\n"
  "For a soloist: a scale over the range, then some field without the soloist. For a group: each player alone in turn, "
  "two seconds of rest between. For mallets: one even run over every bar, about two strokes a second.";

static const char* const examples =
  "  fronthash check trumpet.wav --family trumpet --ambient-distance 2m\n"
  "  fronthash check trio.wav --group 3 --mic 80cm --picture trio.png\n"
  "  fronthash check marimba.wav --mallets --json\n";

static FhParsed
parse(const int argc, char** const argv, Options* const o)
{
  const FhOption table[] = {
    {"soloist", NULL, "One player: level and tone over the range. The default for two channels.", FH_OPTION_FLAG,
     &o->soloist, 0, 0},
    {"group", "N", "So many players on one microphone, one after the other; 0 counts them.", FH_OPTION_NUMBER,
     &o->group, 0,
     16},
    {"mallets", NULL, "A run over the bars. The default for three channels.", FH_OPTION_FLAG, &o->mallets, 0, 0},
    {"family", "NAME", "Instrument, for its range: as in fronthash plan. Default: trumpet, or marimba with --mallets.",
     FH_OPTION_TEXT, &o->family, 0, 0},
    {"ambient-distance", "LENGTH", "Soloist to ambient microphone, as 2m or 6ft; the arrival time is held against it.",
     FH_OPTION_TEXT, &o->ambient_distance, 0, 0},
    {"mic", "LENGTH", "Player to close microphone, as 15cm or 6in.", FH_OPTION_TEXT, &o->mic_distance, 0, 0},
    {"temperature", "DEGREES", "Air, as 20C or 68F; default 20C.", FH_OPTION_TEXT, &o->temperature, 0, 0},
    {"ambient", "FILE", "The ambient microphone, if it is in a file of its own.", FH_OPTION_TEXT, &o->ambient, 0, 0},
    {"picture", "FILE.png", "Draw the level per note or per player.", FH_OPTION_TEXT, &o->picture, 0, 0},
    {"replace", NULL, "Replace a picture that is there already.", FH_OPTION_FLAG, &o->replace, 0, 0},
    {"json", NULL, "Print the findings for scripts.", FH_OPTION_FLAG, &o->json, 0, 0},
  };
  const FhUsage usage = {
    .verb         = "check",
    .about        = about,
    .examples     = examples,
    .options      = table,
    .option_count = sizeof(table) / sizeof(table[0]),
  };
  return fh_parse_take(&usage, argc, argv, &o->take);
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
  const bool wide      = !o->family && options->kind == FH_CHECK_SOLOIST; // any instrument but the lowest
  options->low         = wide ? 40 : family->low;
  options->high        = wide ? 96 : family->high;
  const bool xylophone = !strcmp(name, "xylophone");
  options->partials[0] = xylophone ? 3.0 : 4.0;
  options->partials[1] = xylophone ? 6.0 : 10.0;
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
  const char* const slash = strrchr(o->take, '/');
  FhTemp            temp;
  if (fh_same_file(o->take, o->picture) || (o->ambient && fh_same_file(o->ambient, o->picture))) {
    return fh_complain("%s is the recording itself; name another file with --picture", o->picture);
  }
  if (!fh_temp_open(&temp, o->picture, o->replace)) {
    return false;
  }
  if (fh_check_picture(temp.temp, slash ? slash + 1 : o->take, check, report)) {
    fh_temp_drop(&temp);
    return fh_complain("%s cannot be drawn; is the disk full?", o->picture);
  }
  return fh_temp_commit(&temp);
}

static bool
check_take(const Options* const o, const FhTake* const take)
{
  FhSoundcheck   check   = {.closes = take->variant->closes, .frames = take->sound.frames, .rate = take->sound.rate};
  FhCheckOptions options = {0};
  for (size_t mic = 0; mic <= check.closes; ++mic) {
    check.mic[mic] = take->sound.data[mic];
  }
  if (!read_options(o, check.closes, &options)) {
    return false;
  }
  if (fh_take_seconds(take) < FH_SHORTEST) {
    return fh_complain("%s is only %.1f s long; record at least %.0f s of soundcheck", o->take, fh_take_seconds(take),
                       FH_SHORTEST);
  }
  FhReport* const report = malloc(sizeof(*report));
  bool            ok     = report && fh_check(&check, &options, report);
  if (!ok) {
    fh_complain("out of memory; check a shorter part of the recording");
  }
  ok = ok && (!o->picture || write_picture(o, &check, report));
  if (ok) {
    (o->json ? fh_check_print_json : fh_check_print)(stdout, &check, report);
  }
  free(report);
  return ok;
}

int
fh_verb_check(const int argc, char** const argv)
{
  Options o = {.group = -1.0};
  switch (parse(argc, argv, &o)) {
  case FH_PARSED_DONE:
    return EXIT_SUCCESS;
  case FH_PARSED_BAD:
    return EXIT_FAILURE;
  case FH_PARSED_OK:
    break;
  }
  FhTake take = {0};
  if (!fh_take_read(&take, o.take, o.ambient)) {
    return EXIT_FAILURE;
  }
  const bool ok = check_take(&o, &take);
  fh_take_free(&take);
  return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
