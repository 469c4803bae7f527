// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file json.h
/// Figures for scripts: a small writer of one JSON text (RFC 8259).

#ifndef FRONTHASH_COMMAND_JSON_H
#define FRONTHASH_COMMAND_JSON_H

#include <stdbool.h>
#include <stdio.h>

/// A text being written
typedef struct {
  FILE* file;
  int   depth;
  bool  first; ///< Nothing stands in the open object or array yet
} FhJson;

/// Begin with the outermost object. Pair: fh_json_end once for it, too.
FhJson fh_json_begin(FILE* file);

// In an object every call has a key; in an array the key is NULL.
void fh_json_object(FhJson* json, const char* key);
void fh_json_array(FhJson* json, const char* key);
void fh_json_end(FhJson* json, char bracket); ///< Close with '}' or ']'
void fh_json_text(FhJson* json, const char* key, const char* text);     ///< NULL becomes null
void fh_json_number(FhJson* json, const char* key, double number);      ///< Not finite becomes null
void fh_json_bool(FhJson* json, const char* key, bool value);

#endif
