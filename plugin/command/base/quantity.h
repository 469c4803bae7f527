// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file quantity.h
/// Lengths, angles and temperatures as people write them, and back.
///
/// Thread: any; no state.

#ifndef FRONTHASH_COMMAND_QUANTITY_H
#define FRONTHASH_COMMAND_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

/// Read a length such as 1.5m, 1,5 m, 15cm, 1m 50cm, 6in, 6 1/2 inches, 2ft6in, 2'6", 2 ft. 6 in., 40 yards; in any
/// case. A unit is required; the last part of a feet form may go without (2ft6). @return False, and `metres` untouched,
/// when it is anything else or negative.
bool fh_parse_length(const char* text, double* metres);

/// Read a temperature: 20, 20C, 68 F, 20 degrees Celsius; without a unit, Celsius. @return False when it is anything
/// else.
bool fh_parse_temperature(const char* text, double* celsius);

/// Read a plain number that may carry a unit, in any case.
/// @param names Its spellings with bars between, as "%|percent". @return False when it is anything else.
bool fh_parse_quantity(const char* text, const char* names, double* value);

/// Write "1.52 m (5 ft 0 in)" into `text`; below 1 m "15 cm (5.9 in)". @return `text`.
char* fh_format_length(char* text, size_t size, double metres);

/// Write a number of hours as a person would say it: "25 s", "7 min", "2.5 h", "no limit" above 24 h, "none". @return `text`.
char* fh_format_hours(char* text, size_t size, double hours);

#endif
