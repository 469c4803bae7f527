// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/json.h"

#include <math.h>

/// Bytes of the UTF-8 character that begins here; 0 where there is none, as in file names of other encodings
static int
character_length(const unsigned char* const c)
{
  const int length = c[0] < 0x80 ? 1 : c[0] >= 0xc2 &&
                     c[0] < 0xe0 ? 2 : (c[0] & 0xf0) == 0xe0 ? 3 : (c[0] & 0xf8) == 0xf0 ? 4 : 0;
  for (int i = 1; i < length; ++i) {
    if ((c[i] & 0xc0) != 0x80) {
      return 0;
    }
  }
  return length;
}

static void
write_string(FhJson* const json, const char* const text)
{
  fputc('"', json->file);
  for (const char* c = text; *c; ++c) {
    const int length = character_length((const unsigned char*)c);
    if (!length) {
      fputs("\\ufffd", json->file);
    } else if (length > 1) {
      fwrite(c, 1, (size_t)length, json->file);
      c += length - 1;
    } else if (*c == '"' || *c == '\\') {
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
