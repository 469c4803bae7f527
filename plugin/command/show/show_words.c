// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/show/show_words.h"

#include "command/base/complain.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/// Length of a well-formed UTF-8 character (RFC 3629), 0 where there is none
static size_t
character(const unsigned char* const at, const size_t rest)
{
  static const struct {
    unsigned char first, last; ///< Of the leading byte
    unsigned char low, high;   ///< Of the second byte
    size_t        length;
  } kinds[] = {
    {0x00, 0x7F, 0x00, 0x00, 1}, {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
    {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3},
    {0xF0, 0xF0, 0x90, 0xBF, 4}, {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
  };
  for (size_t k = 0; k < sizeof(kinds) / sizeof(kinds[0]); ++k) {
    if (at[0] >= kinds[k].first && at[0] <= kinds[k].last) {
      const size_t length = kinds[k].length;
      bool         ok     = length <= rest && (length == 1 || (at[1] >= kinds[k].low && at[1] <= kinds[k].high));
      for (size_t i = 2; ok && i < length; ++i) {
        ok = at[i] >= 0x80 && at[i] <= 0xBF;
      }
      return ok ? length : 0;
    }
  }
  return 0;
}

bool
fh_show_wrong(const FhShowLine* const line, const size_t at, const char* const format, ...)
{
  size_t column = 1;
  for (size_t i = line->from; i < at && i < line->length;) {
    const size_t length = character((const unsigned char*)line->text + i, line->length - i);
    i += length ? length : 1;
    ++column;
  }
  char    text[1024];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  return fh_complain("%s:%zu:%zu: %s", line->path, line->number, column, text);
}

bool
fh_show_more(const FhShowLine* const line)
{
  return line->next < line->length;
}

/// Every character of the line is text
static bool
check_characters(const FhShowLine* const line, const size_t end)
{
  for (size_t i = line->from; i < end;) {
    const unsigned char* const c      = (const unsigned char*)line->text + i;
    const size_t               length = character(c, end - i);
    if (!length) {
      return fh_show_wrong(line, i, "this byte is no UTF-8; save the file as UTF-8 text");
    }
    if ((*c < 0x20 && *c != '\t' && !(*c == '\r' && i + 1 == end)) || *c == 0x7F) {
      return fh_show_wrong(line, i, "a control character; take it out");
    }
    i += length;
  }
  return true;
}

static bool
is_space(const char c)
{
  return c == ' ' || c == '\t' || c == '\r';
}

/// Read the word at `at`
static bool
read_word(const FhShowLine* const line, const size_t at, const size_t end, FhShowWord* const word)
{
  const char* const text = line->text;
  size_t            i    = at;
  size_t            n    = 0;
  *word                  = (FhShowWord){.from = at, .quoted = text[at] == '"'};
  i += word->quoted;
  for (;; ++i) {
    const bool over = i >= end;
    if (word->quoted && over) {
      return fh_show_wrong(line, at, "this quotation mark is not closed on its line; close it");
    }
    if (over || (word->quoted ? text[i] == '"' : is_space(text[i]) || text[i] == '#' || text[i] == '"')) {
      break;
    }
    if (word->quoted && text[i] == '\\') {
      if (i + 1 >= end || (text[i + 1] != '"' && text[i + 1] != '\\')) {
        return fh_show_wrong(line, i, "a backslash stands before \" or another \\ only; write two for one");
      }
      ++i;
    }
    if (n + 1 == sizeof(word->value)) {
      return fh_show_wrong(line, at, "longer than %d bytes; name a shorter one", FH_SHOW_NAME - 1);
    }
    word->value[n++] = text[i];
  }
  word->to = i + word->quoted;
  if (word->to < end && !is_space(text[word->to]) && text[word->to] != '#') {
    return fh_show_wrong(line, word->to, "put a space between words");
  }
  return true;
}

bool
fh_show_next_line(FhShowLine* const line)
{
  const char* const text  = line->text;
  const char* const found = memchr(text + line->next, '\n', line->length - line->next);
  const size_t      end   = found ? (size_t)(found - text) : line->length;
  line->from              = line->next;
  line->next              = end + (found != NULL);
  line->count             = 0;
  ++line->number;
  if (!check_characters(line, end)) {
    return false;
  }
  for (size_t i = line->from; i < end && text[i] != '#';) {
    if (is_space(text[i])) {
      ++i;
      continue;
    }
    if (line->count == FH_SHOW_WORDS) {
      return fh_show_wrong(line, i, "more words than any line takes; names of several words go in quotation marks");
    }
    FhShowWord* const word = &line->word[line->count++];
    if (!read_word(line, i, end, word)) {
      return false;
    }
    i = word->to;
  }
  return true;
}

bool
fh_show_quote(char* const to, const size_t size, const char* const text)
{
  const size_t length = strlen(text);
  const bool   bare   = length && strcspn(text, " \t#\"") == length;
  size_t       n      = 0;
  if (length >= FH_SHOW_NAME || size < 2 * length + 3) {
    return false;
  }
  for (size_t i = 0; i < length;) {
    const size_t bytes = character((const unsigned char*)text + i, length - i);
    if (!bytes || (unsigned char)text[i] < 0x20 || text[i] == 0x7F) {
      return false;
    }
    i += bytes;
  }
  if (bare) {
    memcpy(to, text, length + 1);
    return true;
  }
  to[n++] = '"';
  for (size_t i = 0; i < length; ++i) {
    if (text[i] == '"' || text[i] == '\\') {
      to[n++] = '\\';
    }
    to[n++] = text[i];
  }
  to[n++] = '"';
  to[n]   = '\0';
  return true;
}
