// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/table.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool
is_tail(const char c)
{
  return ((unsigned char)c & 0xC0u) == 0x80u; // a further byte of a UTF-8 character
}

static size_t
characters(const char* text)
{
  size_t count = 0;
  for (; *text; ++text) {
    count += !is_tail(*text);
  }
  return count;
}

FhTable
fh_table_begin(const char* const heads[])
{
  FhTable table = {0};
  while (heads[table.columns] && table.columns < FH_TABLE_COLUMNS) {
    ++table.columns;
  }
  fh_table_row(&table);
  for (size_t c = 0; c < table.columns; ++c) {
    fh_table_cell(&table, c, "%s", heads[c]);
  }
  return table;
}

void
fh_table_row(FhTable* const table)
{
  if (table->count == table->room) {
    const size_t room = table->room ? 2 * table->room : 32;
    void* const  rows = realloc(table->rows, room * sizeof(*table->rows));
    if (!rows) {
      return;
    }
    table->rows = rows;
    table->room = room;
  }
  memset(table->rows[table->count++], 0, sizeof(*table->rows));
}

void
fh_table_cell(FhTable* const table, const size_t column, const char* const format, ...)
{
  if (!table->count) {
    return;
  }
  char* const cell = table->rows[table->count - 1][column];
  va_list     args;
  va_start(args, format);
  const int n = vsnprintf(cell, FH_TABLE_CELL, format, args);
  va_end(args);
  if (n >= FH_TABLE_CELL) { // leave no half of a character
    size_t end = FH_TABLE_CELL - 1;
    size_t at  = end - 1;
    while (at && is_tail(cell[at])) {
      --at;
    }
    const unsigned char first  = (unsigned char)cell[at];
    const size_t        length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    end                        = at + length <= end ? at + length : at;
    cell[end]                  = '\0';
  }
}

void
fh_table_print(FhTable* const table)
{
  size_t width[FH_TABLE_COLUMNS] = {0};
  for (size_t row = 0; row < table->count; ++row) {
    for (size_t c = 0; c < table->columns; ++c) {
      const char* const text = table->rows[row][c];
      const size_t      n    = characters(text + (text[0] == '>'));
      width[c]               = n > width[c] ? n : width[c];
    }
  }
  for (size_t row = 0; row < table->count; ++row) {
    size_t gap = 0; // spaces owed before the next text, so that no line ends in spaces
    for (size_t c = 0; c < table->columns; ++c) {
      const bool        right = table->rows[row][c][0] == '>';
      const char* const text  = table->rows[row][c] + right;
      const size_t      rest  = width[c] - characters(text);
      gap += right ? rest : 0;
      if (*text) {
        printf("%*s%s", (int)gap, "", text);
        gap = 0;
      }
      gap += (right ? 0 : rest) + 2;
    }
    putchar('\n');
  }
  free(table->rows);
  *table = (FhTable){0};
}
