// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/json.h"
#include "command/live/glance.h"
#include "command/live/http.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void
put_stand(FhJson* const json, const FhRigStand* const stand, const size_t number, const bool running)
{
  const FhGlance glance = fh_glance(stand, running);
  const double   none   = (double)NAN;
  fh_json_object(json, NULL);
  fh_json_number(json, "number", (double)number);
  fh_json_text(json, "name", stand->stand->name);
  fh_json_text(json, "soloist", *glance.soloist ? glance.soloist : NULL);
  fh_json_text(json, "next", *glance.next ? glance.next : NULL);
  fh_json_text(json, "previous", *glance.previous ? glance.previous : NULL);
  fh_json_text(json, "mood", fh_mood_words[glance.mood]);
  fh_json_text(json, "state", glance.state);
  fh_json_text(json, "fault", *glance.fault ? glance.fault : NULL);
  fh_json_text(json, "advice", *glance.advice ? glance.advice : NULL);
  fh_json_text(json, "learnt", glance.known);
  fh_json_bool(json, "learning", glance.v[FH_LEARN] > 0.0f);
  fh_json_bool(json, "muted", glance.v[FH_MUTED] > 0.0f);
  fh_json_bool(json, "bypassed", glance.v[FH_ENABLED] <= 0.0f);
  fh_json_number(json, "excess_db", glance.blind ? none : (double)glance.v[FH_EXCESS]);
  fh_json_number(json, "open_at_db", glance.blind ? none : (double)glance.v[FH_OPEN_AT]);
  fh_json_number(json, "close_dbfs", (double)glance.v[FH_CLOSE_LEVEL]);
  fh_json_number(json, "ambient_dbfs", (double)glance.v[FH_AMBIENT_LEVEL]);
  fh_json_number(json, "separation_db", glance.v[FH_SEPARATION] == 0.0f ? none : (double)glance.v[FH_SEPARATION]);
  fh_json_end(json, '}');
}

char*
fh_http_json(const FhRig* const rig, const FhServerState* const server, const FhNotes* const notes, const bool has_token)
{
  char*       text = NULL;
  size_t      size = 0;
  FILE* const file = open_memstream(&text, &size);
  if (!file) {
    return NULL;
  }
  FhJson json = fh_json_begin(file);
  fh_json_text(&json, "title", *rig->show->title ? rig->show->title : NULL);
  fh_json_bool(&json, "has_token", has_token);
  fh_json_bool(&json, "running", server->running);
  fh_json_bool(&json, "real_time", server->real_time);
  fh_json_number(&json, "rate_hz", server->rate);
  fh_json_number(&json, "frames", server->frames);
  fh_json_number(&json, "load_percent", 100.0 * server->load);
  fh_json_number(&json, "most_percent", 100.0 * server->load_most);
  fh_json_number(&json, "xruns", server->xruns);
  fh_json_array(&json, "notes");
  for (uint64_t ago = 0; fh_notes_last(notes, ago); ++ago) {
    fh_json_text(&json, NULL, fh_notes_last(notes, ago));
  }
  fh_json_end(&json, ']');
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < rig->count; ++i) {
    put_stand(&json, &rig->stand[i], i + 1, server->running);
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
  if (fclose(file)) {
    free(text);
    return NULL;
  }
  return text;
}
