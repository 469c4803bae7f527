// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "json.h"

#include <math.h>

static void
write_string(FhJson* const json, const char* const text)
{
  fputc('"', json->file);
  for (const char* c = text; *c; ++c) {
    if (*c == '"' || *c == '\\') {
      fprintf(json->file, "\\%c", *c);
    } else if ((unsigned char)*c < 0x20) {
      fprintf(json->file, "\\u%04x", (unsigned)*c);
    } else {
      fputc(*c, json->file);
    }
  }
  fputc('"', json->file);
}

/// Comma, line break, indentation and key
static void
write_key(FhJson* const json, const char* const key)
{
  fprintf(json->file, "%s\n%*s", json->first ? "" : ",", 2 * json->depth, "");
  json->first = false;
  if (key) {
    write_string(json, key);
    fputs(": ", json->file);
  }
}

static void
open_bracket(FhJson* const json, const char bracket)
{
  fputc(bracket, json->file);
  ++json->depth;
  json->first = true;
}

FhJson
fh_json_begin(FILE* const file)
{
  FhJson json = {.file = file};
  open_bracket(&json, '{');
  return json;
}

void
fh_json_object(FhJson* const json, const char* const key)
{
  write_key(json, key);
  open_bracket(json, '{');
}

void
fh_json_array(FhJson* const json, const char* const key)
{
  write_key(json, key);
  open_bracket(json, '[');
}

void
fh_json_end(FhJson* const json, const char bracket)
{
  --json->depth;
  if (!json->first) {
    fprintf(json->file, "\n%*s", 2 * json->depth, "");
  }
  fputc(bracket, json->file);
  json->first = false;
  if (!json->depth) {
    fputc('\n', json->file);
  }
}

void
fh_json_text(FhJson* const json, const char* const key, const char* const text)
{
  write_key(json, key);
  if (text) {
    write_string(json, text);
  } else {
    fputs("null", json->file);
  }
}

void
fh_json_number(FhJson* const json, const char* const key, const double number)
{
  write_key(json, key);
  if (isfinite(number)) {
    fprintf(json->file, "%.10g", number);
  } else {
    fputs("null", json->file);
  }
}

void
fh_json_bool(FhJson* const json, const char* const key, const bool value)
{
  write_key(json, key);
  fputs(value ? "true" : "false", json->file);
}
