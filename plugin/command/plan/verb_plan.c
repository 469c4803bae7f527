// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/quantity.h"
#include "command/base/temp.h"
#include "command/plan/plan_show.h"
#include "command/show/desk.h"
#include "command/verbs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum { FH_AS_LENGTH, FH_AS_DEGREES, FH_AS_DECIBELS, FH_AS_PERCENT, FH_AS_COUNT, FH_AS_TEMPERATURE } FhAs;

/// One figure of the plan as an option
typedef struct {
  const char* name;
  const char* help;
  size_t      offset; ///< Of the double in FhPlan
  FhAs        as;
  double      min, max; ///< In the plan's own unit
} FhPlanInput;

#define FH_AT(field) offsetof(FhPlan, field)

static const FhPlanInput inputs[] = {
  {"level", "Soloist's level at 1 m, in dB; default from family and dynamic.", FH_AT(level), FH_AS_DECIBELS, 30, 150},
  {"mic", "From the close microphone to the bell, mouth or bars; default by family.", FH_AT(mic_distance), FH_AS_LENGTH, .01,
   10},
  {"mic-angle", "How far off the close microphone's axis the soloist is; default 0.", FH_AT(mic_angle), FH_AS_DEGREES, -180, 180},
  {"mic-aim", "Where the close microphone aims: 0 straight into the band, 90 across the field, up or down, 180 at the "
              "audience; default 0, over bars 90.", FH_AT(mic_aim), FH_AS_DEGREES, -180, 180},
  {"ambient", "From the soloist to the ambient microphone; default 2m.", FH_AT(ambient_distance), FH_AS_LENGTH, .1, 100},
  {"ambient-bearing", "Where the ambient microphone stands: 0 towards the band, 90 beside the soloist (the default), 180 towards the "
                      "audience.", FH_AT(ambient_bearing), FH_AS_DEGREES, -180, 180},
  {"ambient-aim", "Where the ambient microphone aims; default 0, the band.", FH_AT(ambient_aim), FH_AS_DEGREES, -180, 180},
  {"band", "From the soloist to the nearest row of the band; default 10m.", FH_AT(band_distance), FH_AS_LENGTH, .5, 200},
  {"band-size", "Players in the band; default 80.", FH_AT(band_size), FH_AS_COUNT, 1, FH_PLAN_PLAYERS_MAX},
  {"band-level", "Level of one player of the band at 1 m, in dB; default from the band's dynamic.", FH_AT(band_level), FH_AS_DECIBELS, 30,
   150},
  {"speaker", "From the loudspeaker to the close microphone; default 12m.", FH_AT(speaker_mic), FH_AS_LENGTH, .1, 500},
  {"speaker-listener", "From the loudspeaker to the farthest listener; default 40m.", FH_AT(speaker_listener), FH_AS_LENGTH, .1,
   500},
  {"listener", "From the soloist to the farthest listener; default 45m.", FH_AT(listener), FH_AS_LENGTH, .1, 500},
  {"equivalent", "From how near the farthest listener should seem to hear the soloist; default 10m.", FH_AT(equivalent), FH_AS_LENGTH, .1,
   500},
  {"critical", "Critical distance of a hall, where reverberation is as loud as direct sound; default none, outdoors.", FH_AT(critical), FH_AS_LENGTH, .1, 500},
  {"open-mics", "Microphones open at a time; default 1.", FH_AT(open_mics), FH_AS_COUNT, 1, 100},
  {"neighbour", "From the close microphone to the nearest other open one; default none.", FH_AT(neighbour), FH_AS_LENGTH, .01, 100},
  {"temperature", "Temperature of the air, as 20C or 68F; default 20C.", FH_AT(celsius), FH_AS_TEMPERATURE, -30, 55},
  {"humidity", "Relative humidity of the air; default 60%.", FH_AT(humidity), FH_AS_PERCENT, 1, 100},
};
#define FH_INPUTS (sizeof(inputs) / sizeof(inputs[0]))
#define LAST 5u // other options

static const char* const value_names[] = {"LENGTH", "DEGREES", "DB", "PERCENT", "N", "DEGREES"};

/// Options that name a thing, in the order of their texts
enum { FH_FAMILY, FH_DYNAMIC, FH_MIC_PATTERN, FH_AMBIENT_PATTERN, FH_BAND_DYNAMIC, FH_NAMES };

/// The command line
typedef struct {
  const char* names[FH_NAMES];
  const char* texts[FH_INPUTS];
  const char* show;
  FhTextList  stands;
  const char* picture;
  bool        replace;
  bool        json;
} FhPlanWish;

static bool
read_input(const FhPlanInput* const input, const char* const text, FhPlan* const plan)
{
  static const char* const wanted[] = {
    "a length with its unit, as 1.5m, 15cm, 6in or 2ft6in",
    "an angle in degrees",
    "a level in dB",
    "a percentage",
    "a whole number",
    "a temperature, as 20C or 68F",
  };
  double value = 0.0;
  bool   read  = false;
  switch (input->as) {
  case FH_AS_LENGTH:
    read = fh_parse_length(text, &value);
    break;
  case FH_AS_DEGREES:
    read = fh_parse_quantity(text, "deg|degree|degrees|\u00b0", &value);
    break;
  case FH_AS_DECIBELS:
    read = fh_parse_quantity(text, "dB", &value);
    break;
  case FH_AS_PERCENT:
    read = fh_parse_quantity(text, "%|percent", &value);
    break;
  case FH_AS_COUNT:
    read = fh_parse_quantity(text, "", &value) && value == floor(value);
    break;
  case FH_AS_TEMPERATURE:
    read = fh_parse_temperature(text, &value);
    break;
  }
  if (!read) {
    return fh_complain("--%s takes %s, not '%s'", input->name, wanted[input->as], text);
  }
  if (value < input->min || value > input->max) {
    static const char* const units[] = {" m", " degrees", " dB", " %", "", " C"};
    return fh_complain("--%s is out of range at '%s'; it takes %g to %g%s", input->name, text, input->min, input->max,
                       units[input->as]);
  }
  memcpy((char*)plan + input->offset, &value, sizeof(value));
  return true;
}

/// Complain that a name is none of a table, listing the table
static bool
unknown(const char* const option, const char* const name, const char* (*const at)(size_t), const size_t count)
{
  char   list[1024] = "";
  size_t used       = 0;
  for (size_t i = 0; i < count && used < sizeof(list); ++i) {
    used += (size_t)snprintf(list + used, sizeof(list) - used, "%s%s", i ? ", " : "", at(i));
  }
  return fh_complain("--%s '%s' is not known; take one of %s", option, name, list);
}

static const char*
family_at(const size_t i)
{
  return fh_families[i].name;
}

static const char*
dynamic_at(const size_t i)
{
  return fh_dynamics[i].name;
}

static const char*
pattern_at(const size_t i)
{
  return fh_patterns[i].name;
}

static bool
read_pattern(const char* const option, const char* const name, const FhPattern** const pattern)
{
  if (name) {
    const FhPattern* const found = fh_pattern_find(name);
    if (!found) {
      return unknown(option, name, pattern_at, fh_pattern_count);
    }
    *pattern = found;
  }
  return true;
}

static bool
read_dynamic(const char* const option, const char* const name, const FhDynamic** const dynamic)
{
  *dynamic = fh_dynamic_find(name ? name : "loud");
  return *dynamic || unknown(option, name, dynamic_at, fh_dynamic_count);
}

/// What the command line says, over what is in the plan
static bool
read_over(const FhPlanWish* const wish, FhPlan* const plan)
{
  const char* const* const names   = wish->names;
  const FhDynamic*         of_band = NULL;
  if (!read_dynamic("dynamic", names[FH_DYNAMIC], &plan->dynamic) ||
      !read_dynamic("band-dynamic", names[FH_BAND_DYNAMIC], &of_band) ||
      !read_pattern("pattern", names[FH_MIC_PATTERN], &plan->mic_pattern) ||
      !read_pattern("ambient-pattern", names[FH_AMBIENT_PATTERN], &plan->ambient_pattern)) {
    return false;
  }
  plan->level      = plan->family->level + plan->dynamic->offset;
  plan->band_level = fh_plan_band_level(of_band);
  for (size_t i = 0; i < FH_INPUTS; ++i) {
    if (wish->texts[i] && !read_input(&inputs[i], wish->texts[i], plan)) {
      return false;
    }
  }
  return true;
}

static bool
tell(const FhPlanWish* const wish)
{
  const FhFamily* const family = fh_family_find(wish->names[FH_FAMILY] ? wish->names[FH_FAMILY] : "trumpet");
  if (!fh_desk_may(&(FhDeskWish){.stands = wish->stands}, NULL)) {
    return false;
  }
  if (!family) {
    return unknown("family", wish->names[FH_FAMILY], family_at, fh_family_count);
  }
  FhPlan        plan = fh_plan_default(family);
  FhPlanFigures figures;
  FhAdvice      advice;
  FhTemp        temp;
  if (!read_over(wish, &plan)) {
    return false;
  }
  fh_plan_compute(&plan, &figures);
  fh_plan_advise(&plan, &advice);
  if (wish->picture && !(fh_temp_open(&temp, wish->picture, wish->replace) &&
                         fh_temp_commit_picture(&temp, fh_plan_picture(temp.temp, &plan, &figures)))) {
    return false;
  }
  (wish->json ? fh_plan_print_json : fh_plan_print)(stdout, &plan, &figures, &advice);
  return true;
}

/// Plan the stands that are asked for, or all. @return How many; 0, having complained
static size_t
plan_stands(const FhPlanWish* const wish, const FhShow* const show, FhPlanned* const planned)
{
  size_t count = 0;
  if (!fh_stands_known(show, &wish->stands)) {
    return 0;
  }
  for (size_t i = 0; i < show->stand_count; ++i) {
    FhPlanned* const to = &planned[count];
    if (!fh_stand_wanted(&show->stand[i], &wish->stands)) {
      continue;
    }
    to->stand = &show->stand[i];
    to->plan  = fh_plan_default(to->stand->family);
    if (!fh_plan_place(&to->plan, show, to->stand) || !read_over(wish, &to->plan)) {
      return 0;
    }
    fh_plan_compute(&to->plan, &to->figures);
    fh_plan_advise(&to->plan, &to->advice);
    ++count;
  }
  return count;
}

static bool
tell_show(const FhPlanWish* const wish)
{
  if (wish->names[FH_FAMILY]) {
    return fh_complain("a show names the family of each stand; leave --family out");
  }
  if (wish->picture) {
    return fh_complain("fronthash sheet draws a show from above; leave --picture out");
  }
  FhShow* const    show    = fh_show_read(wish->show);
  FhPlanned* const planned = show ? calloc(show->stand_count, sizeof(*planned)) : NULL;
  const size_t     count   = planned ? plan_stands(wish, show, planned) : 0;
  if (show && !planned) {
    fh_complain("not enough memory; close other programs");
  }
  if (count && wish->json) {
    fh_plan_print_show_json(show, planned, count);
  } else if (count == 1 && wish->stands.count) {
    printf("%s, %s\n", show->path, planned->stand->name);
    fh_plan_print(stdout, &planned->plan, &planned->figures, &planned->advice);
  } else if (count) {
    fh_plan_print_show(show, planned, count);
  }
  free(planned);
  fh_show_free(show);
  return count;
}

int
fh_verb_plan(const int argc, char** const argv)
{
  FhPlanWish wish = {.show = NULL};
  FhOption   options[FH_NAMES + FH_INPUTS + LAST] = {
    {"family", "FAMILY",
     "Instrument: trumpet (the default), mellophone, trombone, baritone, tuba, flute, clarinet, oboe, "
     "alto-sax, baritone-sax, violin, voice, brass-group, wind-group, marimba, vibraphone, xylophone, hand-percussion.",
     FH_OPTION_TEXT, &wish.names[FH_FAMILY], 0, 0},
    {"dynamic", "DYNAMIC", "How loud the soloist plays: soft, medium, loud (the default) or full.", FH_OPTION_TEXT, &wish.names[FH_DYNAMIC], 0, 0},
    {"pattern", "PATTERN", "Pattern of the close microphone: omni, subcardioid, cardioid, supercardioid, hypercardioid or figure-8; "
     "default by family.", FH_OPTION_TEXT, &wish.names[FH_MIC_PATTERN], 0, 0},
    {"ambient-pattern", "PATTERN", "Pattern of the ambient microphone; default cardioid.", FH_OPTION_TEXT,
     &wish.names[FH_AMBIENT_PATTERN], 0, 0},
    {"band-dynamic", "DYNAMIC", "How loud the band plays: soft, medium, loud (the default) or full.", FH_OPTION_TEXT,
     &wish.names[FH_BAND_DYNAMIC], 0, 0},
  };
  for (size_t i = 0; i < FH_INPUTS; ++i) {
    options[FH_NAMES + i] =
      (FhOption){inputs[i].name, value_names[inputs[i].as], inputs[i].help, FH_OPTION_TEXT, &wish.texts[i], 0, 0};
  }
  FhOption* const last = &options[FH_NAMES + FH_INPUTS];
  last[0] = (FhOption){"show", "SHOW", "A show file that says where everything stands: one table of all its stands. Other options count "
                                       "for each of them, over what it says.", FH_OPTION_TEXT, &wish.show, 0, 0};
  last[1] = (FhOption){"stand", "NAME", "With --show: this stand alone. May be repeated.", FH_OPTION_LIST, &wish.stands, 0, 0};
  last[2] = (FhOption){"picture", "FILE.png", "Draw it from above, to scale, with distances and levels.", FH_OPTION_TEXT, &wish.picture, 0, 0};
  last[3] = (FhOption){"replace", NULL, "Replace a picture that is there already.", FH_OPTION_FLAG, &wish.replace, 0, 0};
  last[4] = (FhOption){"json", NULL, "Print figures for scripts.", FH_OPTION_FLAG, &wish.json, 0, 0};

  const FhUsage usage = {
    .verb  = "plan",
    .about = "Says what a placement will give before anything is set up: levels at both microphones, whether the gate "
             "can tell the soloist from the field, gain before feedback, arrival times, exposure, and the cheapest "
             "change that would help.\n\n"
             "Lengths carry a unit: 1.5m, 15cm, 6in, 2ft6in. Bearings are seen from the soloist, 0 towards the band.",
    .arguments    = "",
    .examples     = "  fronthash plan --family trumpet --mic 6in --band 8m\n"
                    "  fronthash plan --family trombone --picture plan.png\n"
                    "  fronthash plan --family flute --dynamic soft --pattern hypercardioid --mic-aim 90 --json\n"
                    "  fronthash plan --show tide-lines.show\n",
    .options      = options,
    .option_count = FH_NAMES + FH_INPUTS + LAST,
  };
  FhTextList rest;
  switch (fh_parse(&usage, argc, argv, &rest)) {
  case FH_PARSED_DONE:
    return EXIT_SUCCESS;
  case FH_PARSED_BAD:
    return EXIT_FAILURE;
  case FH_PARSED_OK:
    break;
  }
  return (wish.show ? tell_show : tell)(&wish) ? EXIT_SUCCESS : EXIT_FAILURE;
}
