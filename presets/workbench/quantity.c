// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FH_FOOT 0.3048
#define FH_INCH 0.0254
#define FH_NONE 0.0

typedef struct {
  const char* name;
  double      metres;
} FhUnit;

// Longest spelling first, so that "mm" is not read as "m"
static const FhUnit units[] = {
  {"mm", 0.001},
  {"cm", 0.01},
  {"m", 1.0},
  {"ft", FH_FOOT},
  {"feet", FH_FOOT},
  {"foot", FH_FOOT},
  {"'", FH_FOOT},
  {"in", FH_INCH},
  {"\"", FH_INCH},
  {"yd", 3.0 * FH_FOOT},
};

static const char*
skip_space(const char* text)
{
  while (isspace((unsigned char)*text)) {
    ++text;
  }
  return text;
}

/// Read an unsigned decimal; hexadecimal, infinities and names are refused. @return Where it ends, or NULL.
static const char*
read_decimal(const char* const text, double* const value)
{
  if (!isdigit((unsigned char)text[0]) && !(text[0] == '.' && isdigit((unsigned char)text[1]))) {
    return NULL;
  }
  if (text[0] == '0' && (text[1] == 'x' || text[1] == 'X')) {
    return NULL;
  }
  char* end = NULL;
  *value    = strtod(text, &end);
  return isfinite(*value) ? end : NULL;
}

static const FhUnit*
read_unit(const char** const text)
{
  const FhUnit* best   = NULL;
  size_t        length = 0;
  for (size_t i = 0; i < sizeof(units) / sizeof(units[0]); ++i) {
    const size_t n = strlen(units[i].name);
    if (n > length && !strncmp(*text, units[i].name, n)) {
      best   = &units[i];
      length = n;
    }
  }
  *text += length;
  return best;
}

bool
fh_parse_length(const char* const text, double* const metres)
{
  double      sum  = 0.0;
  double      last = FH_NONE;
  const char* p    = skip_space(text);
  do {
    double value = 0.0;
    p            = read_decimal(p, &value);
    if (!p) {
      return false;
    }
    p                        = skip_space(p);
    const FhUnit* const unit = read_unit(&p);
    const bool          bare = !unit && last == FH_FOOT && !*p;
    const double        size = unit ? unit->metres : bare ? FH_INCH : FH_NONE;
    if (size == FH_NONE || (last != FH_NONE && (last != FH_FOOT || size != FH_INCH))) {
      return false;
    }
    sum += value * size;
    last = size;
    p    = skip_space(p);
  } while (*p);
  *metres = sum;
  return true;
}

bool
fh_parse_quantity(const char* const text, const char* const unit, double* const value)
{
  const char* const start    = skip_space(text);
  const bool        negative = *start == '-';
  double            number   = 0.0;
  const char*       p        = read_decimal(start + (negative || *start == '+'), &number);
  if (!p) {
    return false;
  }
  p = skip_space(p);
  if (*unit && !strncmp(p, unit, strlen(unit))) {
    p += strlen(unit);
  }
  if (*skip_space(p)) {
    return false;
  }
  *value = negative ? -number : number;
  return true;
}

bool
fh_parse_temperature(const char* const text, double* const celsius)
{
  double value = 0.0;
  if (fh_parse_quantity(text, "C", &value)) {
    *celsius = value;
    return true;
  }
  if (fh_parse_quantity(text, "F", &value)) {
    *celsius = (value - 32.0) / 1.8;
    return true;
  }
  return false;
}

char*
fh_format_length(char* const text, const size_t size, const double metres)
{
  const double inches = metres / FH_INCH;
  if (metres < 1.0) {
    snprintf(text, size, "%.0f cm (%.*f in)", metres * 100.0, inches < 10.0 ? 1 : 0, inches);
  } else {
    const int whole = (int)lround(inches);
    snprintf(text, size, "%.*f m (%d ft %d in)", metres < 10.0 ? 2 : 1, metres, whole / 12, whole % 12);
  }
  return text;
}

char*
fh_format_hours(char* const text, const size_t size, const double hours)
{
  if (hours > 24.0) {
    snprintf(text, size, "no limit");
  } else if (hours >= 1.0) {
    snprintf(text, size, "%.1f h", hours);
  } else if (hours * 60.0 >= 1.0) {
    snprintf(text, size, "%.0f min", hours * 60.0);
  } else {
    snprintf(text, size, "%.0f s", hours * 3600.0);
  }
  return text;
}
