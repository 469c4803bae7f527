// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define FH_FOOT 0.3048
#define FH_INCH 0.0254
#define FH_YARD 0.9144

/// One unit and its spellings, with bars between, in any case
typedef struct {
  const char* names;
  double      metres;
} FhUnit;

// Inches before feet, so that '' is not read as '
static const FhUnit units[] = {
  {"mm|millimetre|millimetres|millimeter|millimeters", 0.001},
  {"cm|centimetre|centimetres|centimeter|centimeters", 0.01},
  {"m|metre|metres|meter|meters", 1.0},
  {"in|ins|inch|inches|\"|''|\u201d|\u2033|\u2019\u2019|\u2032\u2032", FH_INCH},
  {"ft|foot|feet|'|\u2019|\u2032", FH_FOOT},
  {"yd|yds|yard|yards", FH_YARD},
};

static const char*
skip_space(const char* text)
{
  while (isspace((unsigned char)*text)) {
    ++text;
  }
  return text;
}

/// Length of the longest of some spellings that the text begins with; 0 if none, or if the word goes on
static size_t
match(const char* const text, const char* names)
{
  size_t longest = 0;
  while (*names) {
    const size_t n = strcspn(names, "|");
    if (n > longest && !strncasecmp(text, names, n)) {
      longest = n;
    }
    names += n + (names[n] == '|');
  }
  const bool word = longest && isalpha((unsigned char)text[longest - 1]);
  return word && isalpha((unsigned char)text[longest]) ? 0 : longest;
}

/// Read an unsigned decimal with a point or, before one or two digits, a comma; hexadecimal, infinities and names are
/// refused. @return Where it ends, or NULL.
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
  const size_t digits = *end == ',' ? strspn(end + 1, "0123456789") : 0;
  if (digits == 1 || digits == 2) { // with three it may mean thousands
    *value += (digits == 1 ? 0.1 : 0.01) * (double)strtol(end + 1, &end, 10);
  }
  return isfinite(*value) ? end : NULL;
}

/// Read a common fraction below one, as 1/2 or its character. @return Where it ends, or NULL.
static const char*
read_fraction(const char* const text, double* const value)
{
  static const struct {
    const char* character;
    double      value;
  } characters[] = {{"\u00bd", 0.5}, {"\u00bc", 0.25}, {"\u00be", 0.75}};
  for (size_t i = 0; i < sizeof(characters) / sizeof(characters[0]); ++i) {
    const size_t n = strlen(characters[i].character);
    if (!strncmp(text, characters[i].character, n)) {
      *value = characters[i].value;
      return text + n;
    }
  }
  int top = 0, bottom = 0, length = 0;
  if (!isdigit((unsigned char)*text) || sscanf(text, "%3d/%n%3d%n", &top, &length, &bottom, &length) != 2 ||
      top >= bottom ||
      !isdigit((unsigned char)text[length - 1])) {
    return NULL;
  }
  *value = (double)top / bottom;
  return text + length;
}

/// Read a number, a fraction, or both. @return Where it ends, or NULL.
static const char*
read_number(const char* const text, double* const value)
{
  double      fraction = 0.0;
  const char* end      = read_fraction(text, value);
  if (end) {
    return end;
  }
  end = read_decimal(text, value);
  if (end) {
    const char* const more = *value == floor(*value) ? read_fraction(skip_space(end), &fraction) : NULL;
    *value += more ? fraction : 0.0;
    end = more ? more : end;
  }
  return end;
}

/// Read a unit, with the point of an abbreviation. @return Metres in it; 0 where there is none.
static double
read_unit(const char** const text)
{
  for (size_t i = 0; i < sizeof(units) / sizeof(units[0]); ++i) {
    const size_t n = match(*text, units[i].names);
    if (n) {
      *text += n;
      *text += **text == '.' && !isdigit((unsigned char)(*text)[1]);
      return units[i].metres;
    }
  }
  return 0.0;
}

/// May a part in one unit be followed by a part in another: feet by inches, metres by centimetres
static bool
may_follow(const double unit, const double last)
{
  return (last == FH_FOOT && unit == FH_INCH) || (last == 1.0 && unit == 0.01);
}

bool
fh_parse_length(const char* const text, double* const metres)
{
  double      sum  = 0.0;
  double      last = 0.0; // metres in the unit before; 0 at first
  const char* p    = skip_space(text);
  do {
    double value = 0.0;
    p            = read_number(p, &value);
    if (!p) {
      return false;
    }
    p           = skip_space(p);
    double unit = read_unit(&p);
    unit        = unit == 0.0 && last == FH_FOOT && !*p ? FH_INCH : unit; // 5'6
    if (unit == 0.0 || (last != 0.0 && !may_follow(unit, last))) {
      return false;
    }
    sum += value * unit;
    p = skip_space(p);
    p = skip_space(p + (last == 0.0 && (*p == '-' || *p == ',') && p[1])); // 5'-6"
    last = unit;
  } while (*p);
  *metres = sum;
  return true;
}

bool
fh_parse_quantity(const char* const text, const char* const names, double* const value)
{
  const char* const start    = skip_space(text);
  const bool        negative = *start == '-';
  double            number   = 0.0;
  const char*       p        = read_decimal(start + (negative || *start == '+'), &number);
  if (!p) {
    return false;
  }
  p = skip_space(p);
  p += match(p, names);
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
  if (fh_parse_quantity(text, "C|\u00b0C|\u00b0 C|degC|deg C|degrees C|celsius|degrees celsius|\u00b0|degrees",
                        &value)) {
    *celsius = value;
    return true;
  }
  if (fh_parse_quantity(text, "F|\u00b0F|\u00b0 F|degF|deg F|degrees F|fahrenheit|degrees fahrenheit", &value)) {
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
  if (hours <= 0.0) {
    snprintf(text, size, "none");
  } else if (hours > 24.0) {
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
