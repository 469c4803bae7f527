// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file table.h
/// Tables on standard output: columns as wide as their widest cell, counted in characters, not bytes.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_TABLE_H
#define FRONTHASH_COMMAND_TABLE_H

#include <stddef.h>

#define FH_TABLE_COLUMNS 12 ///< At most
#define FH_TABLE_CELL 96    ///< Bytes of a cell with its end; longer text is cut at a character

typedef struct {
  size_t columns;
  size_t count, room;
  char (*rows)[FH_TABLE_COLUMNS][FH_TABLE_CELL];
} FhTable;

/// Begin a table with its heads, as many as there are before NULL. Pair: fh_table_print.
FhTable fh_table_begin(const char* const heads[]);

/// Begin a row; its cells are filled from the first on. Without memory the row is left out.
void fh_table_row(FhTable* table);

/// Fill a cell of the last row; the text may be empty. Beginning with `>` it goes to the right.
void fh_table_cell(FhTable* table, size_t column, const char* format, ...) __attribute__((format(printf, 3, 4)));

/// Print the table, two spaces between columns, and free it
void fh_table_print(FhTable* table);

#endif
