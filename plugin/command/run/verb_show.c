// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/json.h"
#include "command/base/options.h"
#include "command/base/table.h"
#include "command/run/host.h"
#include "command/verbs.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const char* const about =
  "Reads a show file and says what is in it: the stands, the channels of each, and who comes to it in which order. What is wrong in "
  "it is named with its line and column, and so is, by stand and soloist, each preset that is not on this machine. docs/show.md "
  "describes the file.";

static const char* const examples = "  fronthash show tide-lines.show\n"
                                    "  fronthash show tide-lines.show --json\n";

/// "3" or "3 4"
static void
put_channels(FhTable* const table, const size_t column, const uint32_t channel[2])
{
  if (channel[1]) {
    fh_table_cell(table, column, "%u %u", channel[0], channel[1]);
  } else {
    fh_table_cell(table, column, "%u", channel[0]);
  }
}

static void
print_show(const FhShow* const show)
{
  static const char* const heads[] = {"stand", "family", "microphone", "in", "out", "soloist", "preset", NULL};
  printf("%s%s%u Hz, %zu stand%s, the ambient microphone on channel %u\n\n", show->title, *show->title ? ": " : "", show->rate,
         show->stand_count, show->stand_count > 1 ? "s" : "", show->ambient);
  FhTable table = fh_table_begin(heads);
  for (size_t i = 0; i < show->stand_count; ++i) {
    const FhStand* const stand = &show->stand[i];
    for (size_t k = 0; k == 0 || k < stand->soloist_count; ++k) {
      fh_table_row(&table);
      if (k == 0) {
        fh_table_cell(&table, 0, "%s", stand->name);
        fh_table_cell(&table, 1, "%s", stand->family->name);
        fh_table_cell(&table, 2, "%s, %.0f cm", fh_mic_kinds[stand->mic], 100.0 * stand->distance);
        put_channels(&table, 3, stand->input);
        put_channels(&table, 4, stand->output);
      }
      if (k < stand->soloist_count) {
        const FhSoloist* const s = &stand->soloist[k];
        fh_table_cell(&table, 1, "%s", s->family->name);
        fh_table_cell(&table, 5, "%s", s->name);
        fh_table_cell(&table, 6, "%s", s->preset);
      }
    }
  }
  fh_table_print(&table);
}

static void
put_spot(FhJson* const json, const char* const key, const FhSpot* const spot)
{
  fh_json_object(json, key);
  fh_json_number(json, "x_m", spot->known ? spot->x : (double)NAN);
  fh_json_number(json, "y_m", spot->known ? spot->y : (double)NAN);
  fh_json_end(json, '}');
}

static void
put_stand(FhJson* const json, const FhStand* const stand)
{
  static const char* const keys[] = {"input", "input_2", "output", "output_2"};
  fh_json_object(json, NULL);
  fh_json_text(json, "name", stand->name);
  fh_json_text(json, "family", stand->family->name);
  fh_json_text(json, "microphone", fh_mic_kinds[stand->mic]);
  fh_json_text(json, "pattern", stand->pattern->name);
  fh_json_number(json, "distance_m", stand->distance);
  fh_json_number(json, "players", stand->players);
  for (int i = 0; i < 2; ++i) {
    fh_json_number(json, keys[i], stand->input[i] ? stand->input[i] : (double)NAN);
    fh_json_number(json, keys[2 + i], stand->output[i] ? stand->output[i] : (double)NAN);
  }
  put_spot(json, "at", &stand->at);
  fh_json_text(json, "note", *stand->note ? stand->note : NULL);
  fh_json_array(json, "soloists");
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    const FhSoloist* const s = &stand->soloist[i];
    fh_json_object(json, NULL);
    fh_json_text(json, "name", s->name);
    fh_json_text(json, "family", s->family->name);
    fh_json_text(json, "preset", *s->preset ? s->preset : NULL);
    fh_json_end(json, '}');
  }
  fh_json_end(json, ']');
  fh_json_end(json, '}');
}

static void
print_json(const FhShow* const show)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "title", *show->title ? show->title : NULL);
  fh_json_number(&json, "rate_hz", show->rate);
  fh_json_number(&json, "ambient", show->ambient);
  put_spot(&json, "ambient_at", &show->ambient_at);
  put_spot(&json, "band_at", &show->band_at);
  fh_json_array(&json, "speakers_at");
  for (size_t i = 0; i < show->speaker_count; ++i) {
    put_spot(&json, NULL, &show->speaker_at[i]);
  }
  fh_json_end(&json, ']');
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < show->stand_count; ++i) {
    put_stand(&json, &show->stand[i]);
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
}

/// Load the presets of all who come, as live does. @return false, having complained of each that cannot be had.
static bool
try_presets(const FhShow* const show, const char* const bundle)
{
  FhHost* hosts[2] = {NULL, NULL}; // a solo channel and a pair
  bool    there    = true;         // the plugin; without it there are no presets, and one line says so
  bool    ok       = true;
  for (size_t i = 0; there && i < show->stand_count; ++i) {
    const FhStand* const stand = &show->stand[i];
    const size_t         pair  = fh_stand_closes(stand) == 2;
    for (size_t k = 0; there && k < stand->soloist_count; ++k) {
      if (*stand->soloist[k].preset && !hosts[pair]) {
        hosts[pair] = fh_host_new(bundle, &fh_variants[pair], show->rate);
        there       = hosts[pair];
      }
      ok = there && fh_host_come(hosts[pair], "show", stand, &stand->soloist[k]) && ok;
    }
  }
  fh_host_free(hosts[0]);
  fh_host_free(hosts[1]);
  return ok;
}

int
fh_verb_show(const int argc, char** const argv)
{
  bool           json    = false;
  const char*    bundle  = NULL;
  const FhOption table[] = {
    {"bundle", "DIR", "Plugin bundle whose presets are meant. Default: as for render.", FH_OPTION_TEXT, &bundle, 0, 0},
    {"json", NULL, "Print it for scripts.", FH_OPTION_FLAG, &json, 0, 0},
  };
  const FhUsage  usage   = {
    .verb          = "show",
    .about         = about,
    .examples      = examples,
    .options       = table,
    .option_count  = sizeof(table) / sizeof(table[0]),
  };
  const char*    path      = NULL;
  const FhParsed parsed    = fh_parse_show(&usage, argc, argv, &path);
  if (parsed != FH_PARSED_OK) {
    return parsed == FH_PARSED_DONE ? EXIT_SUCCESS : EXIT_FAILURE;
  }
  FhShow* const show = fh_show_read(path);
  if (!show) {
    return EXIT_FAILURE;
  }
  (json ? print_json : print_show)(show);
  fflush(stdout);
  const bool ok = try_presets(show, bundle);
  fh_show_free(show);
  return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
