// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/json.h"
#include "command/run/run.h"
#include "command/verbs.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/// The command line of `fronthash render`
typedef struct {
  const char* take;
  const char* ambient;
  const char* output;
  const char* picture;
  const char* preset;
  const char* bundle;
  FhTextList  set;
  FhStretch   learn_ambient;
  FhStretch   learn_solo;
  bool        replace;
  bool        json;
} Options;

static const char* const about =
  "Run a recorded take through the plugin, offline, and say what it did. TAKE is a WAV or FLAC file: close "
  "microphone on channel 1, ambient microphone on channel 2. Three channels are a pair: two close microphones under "
  "one instrument, then the ambient. With --ambient, TAKE holds the close microphones alone.\n"
  "\n"
  "The processed close channel goes to NAME-fronthash beside TAKE, in the same format, with the plugin's latency "
  "taken out. Without a learning option the plugin finds the pickup by itself while the soloist rests: the first "
  "seconds of the take pay for that. With one, the named stretch is run first and learnt from, then the "
  "whole take is rendered with what was learnt.\n"
  "\n"
  "Listen at a low level first: a render can hold what the microphone caught at its loudest.";

static const char* const examples =
  "  fronthash render take.wav\n"
  "      finds the pickup by itself; writes take-fronthash.wav, prints the figures\n"
  "  fronthash render take.wav --learn-ambient 0-8 --picture take.png\n"
  "      the soloist rests in the first eight seconds: learn the field there\n"
  "  fronthash render horn.wav --ambient field.wav --preset trumpet --set hold=300 --output out.flac\n"
  "  fronthash render take.wav --set listen=3 --output removed.wav\n"
  "      hear what is taken away\n";

static FhParsed
parse(const int argc, char** const argv, Options* const o)
{
  const FhOption table[] = {
    {"ambient", "FILE", "The ambient microphone, if it is in a file of its own.", FH_OPTION_TEXT, &o->ambient, 0, 0},
    {"output", "FILE", "Where the processed sound goes (.wav or .flac). Default: TAKE's name with -fronthash added.",
     FH_OPTION_TEXT, &o->output, 0, 0},
    {"replace", NULL, "Replace files that are there already. TAKE itself is never replaced.", FH_OPTION_FLAG,
     &o->replace, 0, 0},
    {"picture", "FILE.png", "Draw levels, excess, gate state and gain over time.", FH_OPTION_TEXT, &o->picture, 0, 0},
    {"preset", "NAME", "Start from a preset: its label, a part of it that fits only one, or a preset folder.",
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
  return fh_parse_take(&usage, argc, argv, &o->take);
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
  const char* const inputs[] = {o->take, o->ambient};
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
prepare_host(const Options* const o, const FhTake* const take)
{
  FhHost* const host = fh_host_new(o->bundle, take->variant, take->sound.rate);
  bool          ok   = host && (!o->preset || fh_host_preset(host, o->preset));
  for (size_t i = 0; ok && i < o->set.count; ++i) {
    ok = fh_host_set(host, o->set.text[i]);
  }
  if (ok && o->learn_ambient.end > 0.0) {
    ok = fh_take_learn(host, take, FH_LEARN_AMBIENT, &o->learn_ambient, "learn-ambient");
  }
  if (ok && o->learn_solo.end > 0.0) {
    ok = fh_take_learn(host, take, FH_LEARN_SOLO, &o->learn_solo, "learn-solo");
  }
  if (!ok) {
    fh_host_free(host);
    return NULL;
  }
  return host;
}

/// Files a render writes, under their temporary names
typedef struct {
  FhTemp sound;
  FhTemp picture;
} Outputs;

/// Open both before the work begins, so that a wrong name is told at once
static bool
open_outputs(const Options* const o, const char* const output, Outputs* const files)
{
  return fh_temp_open(&files->sound, output, o->replace) &&
         (!o->picture || fh_temp_open(&files->picture, o->picture, o->replace));
}

/// Write sound and picture: both whole, or neither
static bool
write_outputs(const Options* const o, Outputs* const files, const FhRun* const run)
{
  const char* const slash = strrchr(o->take, '/');
  const FhPicture   how   = {.title = slash ? slash + 1 : o->take, .width = 1200, .height = 760, .scale = 1};
  if (o->picture && fh_view_png(files->picture.temp, &how, run->frames, run->frame_count)) {
    return fh_complain("%s cannot be drawn; is the disk full?", o->picture);
  }
  return fh_audio_write(&run->out, &files->sound) && (!o->picture || fh_temp_commit(&files->picture)) &&
         fh_temp_commit(&files->sound);
}

static const char* const fault_names[] = {"none",     "no ambient", "ambient = close",
                                          "no close", "clipping",   "broken samples", "DC offset"};
static const char* const fault_keys[]  =
  {"none", "no_ambient", "ambient_is_close", "no_close", "clipping", "broken", "offset"};
static const char* const fault_advice[] = {
  "",
  "the ambient channel is silent: check its cable and channel 2 of the take",
  "both channels carry the same sound: put the ambient microphone on channel 2",
  "the close channel is silent: check its cable and channel 1 of the take",
  "the recording clips: turn the input gain down",
  "samples far beyond full scale: export the take again",
  "a channel is off zero: check its cable and converter, or cut below 20 Hz",
};
_Static_assert(sizeof(fault_names) / sizeof(fault_names[0]) == FH_FAULT_COUNT, "a name for each fault");
_Static_assert(sizeof(fault_keys) / sizeof(fault_keys[0]) == FH_FAULT_COUNT, "a key for each fault");
_Static_assert(sizeof(fault_advice) / sizeof(fault_advice[0]) == FH_FAULT_COUNT, "advice for each fault");

static void
print_figure(const char* const name, const double value, const char* const unit, const char* const note)
{
  if (isnan(value)) {
    printf("  %-32s       -        %s\n", name, note);
  } else {
    printf("  %-32s %8.1f %-6s %s\n", name, value, unit, note);
  }
}

static void
print_table(const Options* const o, const char* const output, const FhRun* const run, const FhFigures* const f)
{
  printf("%s, %.1f s, latency %u frames\n", o->take, f->seconds, run->latency);
  print_figure("time open", f->open_percent, "%", "");
  print_figure("openings per minute", f->openings_per_minute, "", "");
  const char* const none = f->open_percent > 0.0 ? "the gate never rests" : "nothing comes out";
  print_figure("pickup removed between phrases", f->removed, "dB", isnan(f->removed) ? none : "");
  print_figure("duck while open", f->ducked, "dB", isnan(f->ducked) ? "the gate never opens" : "");
  print_figure("separation", f->separation, "dB", "soloist over the field, in the close microphone");
  bool fault = false;
  for (int i = FH_FAULT_NO_AMBIENT; i < FH_FAULT_COUNT; ++i) {
    if (f->fault_seconds[i] > 0.0) {
      printf("  %-32s %8.1f %-6s %s: %s\n", fault ? "" : "fault", f->fault_seconds[i], "s", fault_names[i],
             fault_advice[i]);
      fault = true;
    }
  }
  if (!fault) {
    printf("  %-32s     none\n", "fault");
  }
  printf("wrote %s\n", output);
  if (o->picture) {
    printf("drew %s\n", o->picture);
  }
}

static void
print_json(const Options* const o, const char* const output, const FhRun* const run, const FhFigures* const f)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "take", o->take);
  fh_json_text(&json, "output", output);
  fh_json_text(&json, "picture", o->picture);
  fh_json_number(&json, "seconds", f->seconds);
  fh_json_number(&json, "latency_frames", run->latency);
  fh_json_number(&json, "open_percent", f->open_percent);
  fh_json_number(&json, "openings_per_minute", f->openings_per_minute);
  fh_json_number(&json, "removed_between_phrases_db", f->removed);
  fh_json_number(&json, "ducked_while_open_db", f->ducked);
  fh_json_number(&json, "separation_db", f->separation);
  fh_json_object(&json, "fault_seconds");
  for (int i = FH_FAULT_NO_AMBIENT; i < FH_FAULT_COUNT; ++i) {
    fh_json_number(&json, fault_keys[i], f->fault_seconds[i]);
  }
  fh_json_end(&json, '}');
  fh_json_end(&json, '}');
}

static bool
render(const Options* const o)
{
  char   output[FH_PATH_MAX];
  FhTake take = {0};
  if (o->output) {
    snprintf(output, sizeof(output), "%s", o->output);
  } else if (!default_output(o->take, output)) {
    return false;
  }
  if (!fh_take_read(&take, o->take, o->ambient) || !check_names(o, output)) {
    fh_take_free(&take);
    return false;
  }
  Outputs       files = {0};
  FhRun         run   = {0};
  FhHost* const host  = open_outputs(o, output, &files) ? prepare_host(o, &take) : NULL;
  const bool    ok    = host && fh_take_run(host, &take, &run) && write_outputs(o, &files, &run);
  fh_temp_drop(&files.sound);
  fh_temp_drop(&files.picture);
  if (ok) {
    const FhFigures figures = fh_take_figures(&take, &run);
    (o->json ? print_json : print_table)(o, output, &run, &figures);
  }
  fh_run_free(&run);
  fh_host_free(host);
  fh_take_free(&take);
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
