// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/tune/tune_print.h"
#include "command/tune/tune_show.h"
#include "command/verbs.h"

#include <stdio.h>
#include <stdlib.h>

static const char* const about =
  "Make a preset for one soloist from a rehearsal take: WAV, FLAC, W64, RF64 or CAF, close microphone on channel 1 and ambient "
  "microphone on channel 2, or two close ones and the ambient on three. Somewhere in it the band plays alone, and "
  "somewhere the soloist plays with the band, at the show's places and levels: 10 s and 20 s are plenty.\n"
  "\n"
  "The stretches are found by the level difference of the microphones, or named with --band and --solo. The plugin "
  "learns from them, and is then run on the take to choose ambient delay, key band, open margin, hysteresis, attack, "
  "hold, release and duck depth. Each choice is printed with the figure behind it.\n"
  "\n"
  "With --show, TAKE holds all channels of a show: every stand is tuned for its first soloist, and the preset is named in the show "
  "file. Of what is longer than four minutes it works on that much: where the microphone stands out most over the ambient one, and "
  "where the band plays most without it.\n"
  "\n"
  "A value is changed only where that gains more over learning alone than the halves of the take differ; where none does, nothing is "
  "written. The preset, with what was learnt, goes where every LV2 host looks for presets. The take is rendered "
  "twice: with the plugin as it comes, and through the written preset, sound and picture each. For ffmpeg, which "
  "loads no presets, the controls are printed as a filter.";

static const char* const examples =
  "  fronthash tune rehearsal.wav --soloist Mira --title \"Tide Lines\"\n"
  "      preset \"Mira: Tide Lines\" in ~/.lv2, rehearsal-before.wav, rehearsal-after.wav and their pictures\n"
  "  fronthash tune rehearsal.wav --band 0-9 --band 40-46 --solo 12-38 --preset trumpet\n"
  "  fronthash tune rehearsal.w64 --show tide-lines.show\n"
  "  fronthash render show.wav --preset \"Mira: Tide Lines\"\n";

static FhParsed
parse(const int argc, char** const argv, FhTuneOptions* const o)
{
  const FhOption table[] = {
    {"soloist", "NAME", "Who plays; the preset is called \"NAME: TITLE\". Default: TAKE's name. With --show: the stands to "
     "which this soloist comes alone.", FH_OPTION_TEXT,
     &o->desk.soloist, 0, 0},
    {"title", "NAME", "What is played.", FH_OPTION_TEXT, &o->title, 0, 0},
    FH_DESK_OPTIONS(&o->desk),
    {"band", "START-END", "The band plays alone here, seconds from the start. May be repeated. Default: found.",
     FH_OPTION_STRETCHES, &o->band, 0, 0},
    {"solo", "START-END", "The soloist plays here. May be repeated. Default: found.", FH_OPTION_STRETCHES, &o->solo, 0,
     0},
    {"ambient", "FILE", "The ambient microphone, if it is in a file of its own.", FH_OPTION_TEXT, &o->ambient, 0, 0},
    {"preset", "NAME", "Start from this preset rather than from the defaults.", FH_OPTION_TEXT, &o->preset, 0, 0},
    {"output", "DIR", "Folder of the preset bundle. Default: ~/.lv2/fronthash_NAME_TITLE.preset.lv2", FH_OPTION_TEXT,
     &o->output, 0, 0},
    {"renders", "STEM", "Where the renders go: STEM-before.wav and so on. Default: TAKE without its suffix. With --show: a folder, made if "
     "missing; default TAKE-tuned.",
     FH_OPTION_TEXT, &o->renders, 0, 0},
    {"keep", NULL, "Write preset and renders also where no value gains anything: the preset then holds what was learnt.", FH_OPTION_FLAG,
     &o->keep, 0, 0},
    {"replace", NULL, "Replace preset and renders that are there already.", FH_OPTION_FLAG, &o->replace, 0, 0},
    {"bundle", "DIR", "Plugin bundle to run. Default: in LV2_PATH, else beside this command.", FH_OPTION_TEXT,
     &o->bundle, 0, 0},
    {"json", NULL, "Print choices and figures as JSON.", FH_OPTION_FLAG, &o->json, 0, 0},
  };
  const FhUsage usage = {
    .verb         = "tune",
    .about        = about,
    .examples     = examples,
    .options      = table,
    .option_count = sizeof(table) / sizeof(table[0]),
  };
  return fh_parse_take(&usage, argc, argv, &o->desk.take);
}

static bool
tune(FhTuneSession* const s)
{
  const FhTuneOptions* const o         = &s->options;
  FhRecording                recording = {0};
  FhSurvey                   survey    = {0};
  FhChannels                 mics;
  const bool ok = fh_take_open(&recording, &mics, o->desk.take, o->ambient, o->desk.channels) &&
                  fh_survey_make(&survey, &recording, false) && fh_tune_session(s, &recording, &survey, &mics);
  fh_survey_free(&survey);
  fh_recording_close(&recording);
  if (ok) {
    (o->json ? fh_tune_print_json : fh_tune_print)(s);
  }
  fh_tune_session_free(s);
  return ok;
}

int
fh_verb_tune(const int argc, char** const argv)
{
  FhTuneSession* const s = (FhTuneSession*)calloc(1, sizeof(FhTuneSession));
  if (!s) {
    fh_complain("not enough memory; close other programs");
    return EXIT_FAILURE;
  }
  const FhParsed parsed = parse(argc, argv, &s->options);
  const bool     ok     = parsed == FH_PARSED_OK && fh_desk_may(&s->options.desk, s->options.ambient) &&
                  (s->options.desk.show ? fh_tune_show(&s->options) : tune(s));
  free(s);
  return ok || parsed == FH_PARSED_DONE ? EXIT_SUCCESS : EXIT_FAILURE;
}
