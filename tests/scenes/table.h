// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file table.h
/// Print scores for people (a table with means) or for programs (JSON).

#ifndef FRONTHASH_SCENES_TABLE_H
#define FRONTHASH_SCENES_TABLE_H

#include "jobs.h"

/// Print a row per result unless `brief`, the mean per condition, and the summary over all onsets
void fh_table_print(const FhResult* results, size_t count, bool brief);

/// Print an array of objects, one per result; what is not measured is null
void fh_table_print_json(const FhResult* results, size_t count);

/// Mean of a measure over the done results of a condition, leaving out NaN; NaN if there is none
double fh_table_mean(const FhResult* results, size_t count, FhCondition condition, FhMeasure measure);

#endif
