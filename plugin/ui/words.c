// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/words.h"

#include "ui/fault_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char*
fh_state_word(const int state)
{
  static const char* const words[] = {"Closed", "Opening", "Open", "Holding", "Closing"};
  return state >= FH_STATE_CLOSED && state <= FH_STATE_CLOSING ? words[state] : "?";
}

const char*
fh_choice_word(const FhControl control, const int choice)
{
  static const char* const learn[]    = {"Off", "Ambient", "Solo", "Back"};
  static const char* const listen[]   = {"Output", "Close", "Ambient", "Removed"};
  static const char* const tracking[]  = {"Off", "On"};
  static const char* const knowledge[] = {"Nothing", "Following", "Learnt"};
  static const char* const result[]    = {"None", "Whole", "Part", "Too short", "Soloist played", "Learn again"};
  _Static_assert(sizeof(result) / sizeof(result[0]) == FH_RESULT_COUNT, "a word for each result");
  if (choice < (int)fh_controls[control].min || choice > (int)fh_controls[control].max) {
    return "";
  }
  switch (control) {
  case FH_LEARN:
    return learn[choice];
  case FH_LISTEN:
    return listen[choice];
  case FH_TRACKING:
    return tracking[choice];
  case FH_KNOWLEDGE:
    return knowledge[choice];
  case FH_LEARN_RESULT:
    return result[choice];
  case FH_STATE:
    return fh_state_word(choice);
  case FH_FAULT:
    return fh_fault_word(choice);
  default:
    return "";
  }
}

void
fh_ago_text(const float seconds, char* const text, const size_t size)
{
  const long minutes = (long)(seconds / 60.0f);
  if (seconds < 0.0f) {
    snprintf(text, size, "in an earlier session");
  } else if (minutes < 1) {
    snprintf(text, size, "just now");
  } else if (minutes < 120) {
    snprintf(text, size, "%ld min ago", minutes);
  } else if (minutes < 48 * 60) {
    snprintf(text, size, "%ld h ago", minutes / 60);
  } else {
    snprintf(text, size, "%ld days ago", minutes / (24 * 60));
  }
}

/// Bytes of the UTF-8 character at `at`, or 0 if it is none (RFC 3629, section 4)
static size_t
utf8_bytes(const unsigned char* const at)
{
  const unsigned char first  = at[0];
  const size_t        length = first < 0x80 ? 1 : first < 0xc2 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf5 ? 4 : 0;
  for (size_t i = 1; i < length; ++i) {
    const unsigned char low  = i > 1 ? 0x80 : first == 0xe0 ? 0xa0 : first == 0xf0 ? 0x90 : 0x80;
    const unsigned char high = i > 1 ? 0xbf : first == 0xed ? 0x9f : first == 0xf4 ? 0x8f : 0xbf;
    if (at[i] < low || at[i] > high) {
      return 0;
    }
  }
  return length;
}

void
fh_clean_text(const char* const from, char* const text, const size_t size)
{
  const unsigned char* at   = (const unsigned char*)from;
  size_t               used = 0;
  for (size_t bytes; *at && (bytes = utf8_bytes(at)) > 0 && used + bytes < size; at += bytes) {
    memcpy(text + used, at, bytes);
    text[used] = bytes == 1 && (*at < ' ' || *at == 0x7f) ? ' ' : text[used];
    used += bytes;
  }
  text[used] = '\0';
}

void
fh_track_name(const char* const title, char* const text, const size_t size)
{
  fh_clean_text(title, text, size);
  char* const own = strstr(text, "Fronthash");
  if (own) {
    *own = '\0';
  }
  for (size_t length = strlen(text); length && strchr(" :-/|", text[length - 1]); --length) {
    text[length - 1] = '\0';
  }
}

void
fh_value_text(const FhControl control, const float value, char* const text, const size_t size)
{
  const FhPortInfo* const port   = &fh_controls[control];
  const double            amount = (double)value;
  const char* const       minus  = value < 0.0f ? "\u2212" : "";
  if (port->kind == FH_KIND_TOGGLE) {
    snprintf(text, size, "%s", value > 0.0f ? "On" : "Off");
  } else if (port->kind == FH_KIND_CHOICE) {
    snprintf(text, size, "%s", fh_choice_word(control, (int)lrintf(value)));
  } else if (!strcmp(port->unit, "Hz") && lround(amount) >= 1000) {
    snprintf(text, size, "%.*f kHz", amount < 9995.0 ? 2 : 1, amount / 1000.0);
  } else if (!strcmp(port->unit, "frames")) {
    snprintf(text, size, "%.0f frames", amount);
  } else {
    // Three figures are what an ear can use
    const double magnitude = fabs(amount);
    const bool   milli     = !strcmp(port->unit, "ms");
    const bool   whole     = magnitude >= 99.95 || (milli && magnitude == 0.0) || !strcmp(port->unit, "Hz");
    const int    decimals  = whole ? 0 : milli && magnitude < 0.9995 ? 2 : 1;
    const double power     = decimals == 2 ? 100.0 : decimals ? 10.0 : 1.0;
    const double rounded   = round(magnitude * power) / power;
    const char*  space     = port->unit[0] ? " " : "";
    snprintf(text, size, "%s%.*f%s%s", rounded > 0.0 ? minus : "", decimals, rounded, space, port->unit);
  }
}
