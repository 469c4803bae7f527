// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file show_words.h
/// Lines of a show file as words: bare, or in quotation marks; a # outside them begins a comment.
///
/// Thread: any; no state.

#ifndef FRONTHASH_COMMAND_SHOW_WORDS_H
#define FRONTHASH_COMMAND_SHOW_WORDS_H

#include "command/show/show.h"

#define FH_SHOW_WORDS 8 ///< On a line, at most

typedef struct {
  size_t from, to;           ///< Bytes of the text, quotation marks included
  bool   quoted;
  char   value[FH_SHOW_NAME]; ///< Without quotation marks and backslashes
} FhShowWord;

typedef struct {
  const char* path;
  const char* text;
  size_t      length;
  size_t      from;   ///< Where the line begins
  size_t      next;   ///< Where the next one begins
  size_t      number; ///< Of the line, from 1
  size_t      count;
  FhShowWord  word[FH_SHOW_WORDS];
} FhShowLine;

/// Read the next line; the first time `next` is where the text begins and `number` is 0. Check more() before.
/// @return false, having complained: a control character, bytes that are not UTF-8, an open quotation mark, too long, too many.
bool fh_show_next_line(FhShowLine* line);

/// Is there another line?
bool fh_show_more(const FhShowLine* line);

/// Complain of a byte of the line, with its line and column. @return false
bool fh_show_wrong(const FhShowLine* line, size_t at, const char* format, ...) __attribute__((format(printf, 3, 4)));

/// Write a text as a word, in quotation marks where it needs them. @return false if it does not fit or cannot be written
bool fh_show_quote(char* to, size_t size, const char* text);

#endif
