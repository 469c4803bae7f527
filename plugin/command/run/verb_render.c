// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/run/render_print.h"
#include "command/show/desk.h"
#include "command/verbs.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

/// The command line of `fronthash render`
typedef struct {
  FhDeskWish  desk;
  const char* ambient;
  const char* output;
  const char* picture;
  const char* preset;
  const char* bundle;
  FhTextList  set;
  FhStretch   learn_ambient;
  FhStretch   learn_solo;
  bool        pictures;
  bool        replace;
  bool        json;
} Options;

static const char* const about =
  "Run a recorded take through the plugin, offline, and say what it did. TAKE is a WAV, FLAC, W64, RF64 or CAF file: close "
  "microphone on channel 1, ambient microphone on channel 2. Three channels are a pair: two close microphones under "
  "one instrument, then the ambient. With --ambient, TAKE holds the close microphones alone.\n"
  "\n"
  "The processed close channel goes to NAME-fronthash beside TAKE, in the same format, with the plugin's latency "
  "taken out. Without a learning option the plugin finds the pickup by itself while the soloist rests: the first "
  "seconds of the take pay for that. With one, the named stretch is run first and learnt from, then the "
  "whole take is rendered with what was learnt.\n"
  "\n"
  "With --show, TAKE holds all channels of a show, and each stand goes to a file of its own in the folder TAKE-fronthash, with the "
  "preset that the show names for the soloist. With --channels, TAKE may hold more channels than are used. Its length takes no "
  "memory.\n"
  "\n"
  "Listen at a low level first: a render can hold what the microphone caught at its loudest.";

static const char* const examples =
  "  fronthash render take.wav\n"
  "      finds the pickup by itself; writes take-fronthash.wav, prints the figures\n"
  "  fronthash render take.wav --learn-ambient 0-8 --picture take.png\n"
  "      the soloist rests in the first eight seconds: learn the field there\n"
  "  fronthash render horn.wav --ambient field.wav --preset trumpet --set hold=300 --output out.flac\n"
  "  fronthash render take.wav --set listen=3 --output removed.wav\n"
  "      hear what is taken away\n"
  "  fronthash render rehearsal.wav --show tide-lines.show --learn-ambient 0-15 --pictures\n"
  "      every stand of the show\n";

static FhParsed
parse(const int argc, char** const argv, Options* const o)
{
  const FhOption table[] = {
    {"ambient", "FILE", "The ambient microphone, if it is in a file of its own.", FH_OPTION_TEXT, &o->ambient, 0, 0},
    FH_DESK_OPTIONS(&o->desk),
    {"soloist", "NAME", "With --show: the stands to which this soloist comes alone, with this soloist's preset.", FH_OPTION_TEXT,
     &o->desk.soloist, 0, 0},
    {"output", "FILE", "Where the processed sound goes (.wav or .flac). Default: TAKE's name with -fronthash added. With --show: a "
     "folder, made if missing.", FH_OPTION_TEXT, &o->output, 0, 0},
    {"replace", NULL, "Replace files that are there already. TAKE itself is never replaced.", FH_OPTION_FLAG,
     &o->replace, 0, 0},
    {"picture", "FILE.png", "Draw levels, excess, gate state and gain over time.", FH_OPTION_TEXT, &o->picture, 0, 0},
    {"pictures", NULL, "With --show: draw one for each stand, beside its sound.", FH_OPTION_FLAG, &o->pictures, 0, 0},
    {"preset", "NAME", "Start from a preset: a factory preset's name, as alto-sax; a label, or a part of it that fits only one, in any case; with a slash in it, a preset folder.",
     FH_OPTION_TEXT, &o->preset, 0, 0},
    {"set", "PORT=VALUE", "Set a control by its port symbol, in its own unit, after the preset. May be repeated.",
     FH_OPTION_LIST, &o->set, 0, 0},
    {"learn-ambient", "START-END",
     "Learn the pickup from this stretch, seconds from the start, in which the field plays and the soloist rests. "
     "Its first 15 s count.",
     FH_OPTION_STRETCH, &o->learn_ambient, 0, 0},
    {"learn-solo", "START-END", "Learn the soloist from this stretch, in which the soloist plays.", FH_OPTION_STRETCH,
     &o->learn_solo, 0, 0},
    {"bundle", "DIR", "Plugin bundle to run. Default: in LV2_PATH, else beside this command.", FH_OPTION_TEXT,
     &o->bundle, 0, 0},
    {"json", NULL, "Print the figures as JSON.", FH_OPTION_FLAG, &o->json, 0, 0},
  };
  const FhUsage usage = {
    .verb         = "render",
    .about        = about,
    .examples     = examples,
    .options      = table,
    .option_count = sizeof(table) / sizeof(table[0]),
  };
  return fh_parse_take(&usage, argc, argv, &o->desk.take);
}

/// Suffix of a file's name with its dot, or an empty text
static const char*
suffix_of(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  const char* const dot   = strrchr(slash ? slash : path, '.');
  return dot ? dot : "";
}

/// TAKE with -fronthash before its suffix; formats that are not written become WAV
static bool
default_output(const char* const take, char output[FH_PATH_MAX])
{
  const char* const suffix = suffix_of(take);
  const int         stem   = (int)(strlen(take) - strlen(suffix));
  const char* const kept   = !strcasecmp(suffix, ".wav") || !strcasecmp(suffix, ".flac") ? suffix : ".wav";
  if ((size_t)snprintf(output, FH_PATH_MAX, "%.*s-fronthash%s", stem, take, kept) >= FH_PATH_MAX) {
    return fh_complain("the file name is too long; name a shorter one with --output");
  }
  return true;
}

/// Refuse names that promise another format than is written
static bool
check_suffixes(const Options* const o, const char* const output)
{
  const char* const sound = suffix_of(output);
  if (*sound && strcasecmp(sound, ".wav") && strcasecmp(sound, ".flac")) {
    return fh_complain("%s: only .wav and .flac are written; name such a file with --output", output);
  }
  if (o->picture && strcasecmp(suffix_of(o->picture), ".png")) {
    return fh_complain("%s: pictures are written as PNG; name a .png file with --picture", o->picture);
  }
  return true;
}

/// Refuse outputs that would overwrite an input or one another
static bool
check_names(const Options* const o, const char* const output)
{
  const char* const inputs[] = {o->desk.take, o->ambient};
  for (size_t i = 0; i < 2; ++i) {
    if (inputs[i] && fh_same_file(inputs[i], output)) {
      return fh_complain("%s is the recording itself; name another file with --output", output);
    }
    if (inputs[i] && o->picture && fh_same_file(inputs[i], o->picture)) {
      return fh_complain("%s is the recording itself; name another file with --picture", o->picture);
    }
  }
  if (o->picture && (!strcmp(o->picture, output) || fh_same_file(o->picture, output))) {
    return fh_complain("%s cannot be sound and picture; name two files", output);
  }
  return check_suffixes(o, output);
}

/// Start the plugin as the options say and let it learn
static FhHost*
prepare_host(const Options* const o, FhRecording* const recording, const FhChannels* const mics, const FhSoloist* const soloist)
{
  FhHost* const     host   = fh_host_new(o->bundle, &fh_variants[mics->count == 3 ? 1 : 0], recording->rate);
  const char* const preset = o->preset ? o->preset : soloist && *soloist->preset ? soloist->preset : NULL;
  bool              ok     = host && (!preset || fh_host_preset(host, preset));
  for (size_t i = 0; ok && i < o->set.count; ++i) {
    ok = fh_host_set(host, o->set.text[i]);
  }
  if (ok && o->learn_ambient.end > 0.0) {
    ok = fh_render_learn(host, recording, mics, FH_LEARN_AMBIENT, &o->learn_ambient, "learn-ambient");
  }
  if (ok && o->learn_solo.end > 0.0) {
    ok = fh_render_learn(host, recording, mics, FH_LEARN_SOLO, &o->learn_solo, "learn-solo");
  }
  if (!ok) {
    fh_host_free(host);
    return NULL;
  }
  return host;
}

/// Open sound and picture before the work begins, so that a wrong name is told at once
static bool
open_outputs(const Options* const o, FhRenderJob* const job, const char* const sound, const char* const picture)
{
  return fh_temp_open(&job->sound, sound, o->replace) && (!picture || fh_temp_open(&job->picture, picture, o->replace));
}

static bool
render_take(const Options* const o, FhRenderJob* const job)
{
  char        output[FH_PATH_MAX];
  FhRecording recording = {0};
  if (o->output) {
    snprintf(output, sizeof(output), "%s", o->output);
  } else if (!default_output(o->desk.take, output)) {
    return false;
  }
  if (o->desk.soloist || o->pictures) {
    return fh_complain("--soloist and --pictures go with a show; name it with --show, or leave them out");
  }
  const char* const slash = strrchr(o->desk.take, '/');
  job->title              = slash ? slash + 1 : o->desk.take;
  bool ok = fh_take_open(&recording, &job->mics, o->desk.take, o->ambient, o->desk.channels) && check_names(o, output) &&
            open_outputs(o, job, output, o->picture);
  job->host = ok ? prepare_host(o, &recording, &job->mics, NULL) : NULL;
  ok        = job->host && fh_render(&recording, job, 1);
  if (ok) {
    (o->json ? fh_render_print_json : fh_render_print)(o->desk.take, job);
  }
  fh_recording_close(&recording);
  return ok;
}

/// Set up the job of one stand
static bool
prepare_stand(const Options* const o, FhDesk* const desk, const FhDeskStand* const stand, const char* const folder,
              FhRenderJob* const job)
{
  char        sound[FH_PATH_MAX];
  char        picture[FH_PATH_MAX];
  char        verb[FH_SHOW_NAME + 16];
  job->title = stand->stand->name;
  job->mics  = stand->mics;
  snprintf(verb, sizeof(verb), "render: %s", stand->stand->name);
  fh_complain_as(verb);
  const bool ok = fh_desk_file(sound, folder, stand, strcasecmp(suffix_of(o->desk.take), ".flac") ? ".wav" : ".flac") &&
                  fh_desk_file(picture, folder, stand, ".png") && open_outputs(o, job, sound, o->pictures ? picture : NULL) &&
                  (job->host = prepare_host(o, &desk->recording, &stand->mics, stand->soloist)) != NULL;
  fh_complain_as("render");
  return ok;
}

static bool
render_stands(const Options* const o, FhDesk* const desk, FhRenderJob* const jobs)
{
  char              folder[FH_PATH_MAX];
  const char* const suffix = suffix_of(o->desk.take);
  const int         stem   = (int)(strlen(o->desk.take) - strlen(suffix));
  const int         n      = o->output ? snprintf(folder, sizeof(folder), "%s", o->output)
                                       : snprintf(folder, sizeof(folder), "%.*s-fronthash", stem, o->desk.take);
  if (n < 0 || (size_t)n >= sizeof(folder)) {
    return fh_complain("the folder's name is too long; name a shorter one with --output");
  }
  const bool made = !mkdir(folder, 0777);
  if (!made && errno != EEXIST) {
    return fh_complain("the folder %s cannot be made (%s); name another with --output", folder, strerror(errno));
  }
  bool ok = true;
  for (size_t i = 0; ok && i < desk->count; ++i) {
    ok = prepare_stand(o, desk, &desk->stand[i], folder, &jobs[i]);
  }
  ok = ok && fh_render(&desk->recording, jobs, desk->count);
  if (ok) {
    (o->json ? fh_render_print_show_json : fh_render_print_show)(desk, jobs, folder);
  }
  fh_render_free(jobs, desk->count);
  if (!ok && made) {
    rmdir(folder);
  }
  return ok;
}

static bool
render_show(const Options* const o)
{
  FhDesk desk = {0};
  if (o->picture) {
    return fh_complain("a show has a picture for each stand; say --pictures rather than --picture");
  }
  if (!fh_desk_open(&desk, &o->desk)) {
    return false;
  }
  FhRenderJob* const jobs = calloc(desk.count, sizeof(*jobs));
  const bool         ok   = jobs ? render_stands(o, &desk, jobs) : fh_complain("not enough memory; close other programs");
  free(jobs);
  fh_desk_close(&desk);
  return ok;
}

static bool
render(const Options* const o)
{
  if (!fh_desk_may(&o->desk, o->ambient)) {
    return false;
  }
  if (o->desk.show) {
    return render_show(o);
  }
  FhRenderJob* const job = calloc(1, sizeof(*job));
  const bool         ok  = job ? render_take(o, job) : fh_complain("not enough memory; close other programs");
  if (job) {
    fh_render_free(job, 1);
  }
  free(job);
  return ok;
}

int
fh_verb_render(const int argc, char** const argv)
{
  Options        options = {0};
  const FhParsed parsed  = parse(argc, argv, &options);
  if (parsed != FH_PARSED_OK) {
    return parsed == FH_PARSED_DONE ? EXIT_SUCCESS : EXIT_FAILURE;
  }
  return render(&options) ? EXIT_SUCCESS : EXIT_FAILURE;
}
