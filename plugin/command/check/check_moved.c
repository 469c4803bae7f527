// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Two soundchecks of the same stands: the band may play louder today, so that levels are compared as close over ambient, for the
// soloist and for the field. A gain moves both alike, a microphone that moved does not.

#include "command/check/check_desk.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_MOVED 2.0    // dB; below that two takes of one placement differ, too
#define FH_LATER 0.3    // ms: 10 cm
#define FH_DULLER 4.0   // dB above 2 kHz
#define FH_COMMON_NOTES 4

static int
by_value(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

static const FhFinding*
finding(const FhReport* const report, const char* const code, const bool fault)
{
  for (size_t i = 0; i < report->findings.count; ++i) {
    const FhFinding* const f = &report->findings.list[i];
    if (!strcmp(f->code, code) && (f->fault || !fault)) {
      return f;
    }
  }
  return NULL;
}

/// By how much the field's level difference went up; NAN where it is not known
static double
field_rise(const FhChecked* const now, const FhChecked* const then)
{
  const FhActivity* const a = &now->report.heard;
  const FhActivity* const b = &then->report.heard;
  return a->field && b->field ? a->field_difference - b->field_difference : (double)NAN;
}

static double
solo_rise(const FhChecked* const now, const FhChecked* const then)
{
  return now->report.heard.solo_difference - then->report.heard.solo_difference;
}

/// What all stands have in common is the ambient microphone's: the median, of three stands or more
static double
common_rise(const FhChecked* const now, const FhChecked* const then, const size_t count)
{
  double values[FH_SHOW_STANDS];
  size_t n = 0;
  for (size_t i = 0; i < count; ++i) {
    const double rise = field_rise(&now[i], &then[i]);
    if (!isnan(rise)) {
      values[n++] = rise;
    }
  }
  qsort(values, n, sizeof(double), by_value);
  const double middle = n >= 3 ? 0.5 * (values[(n - 1) / 2] + values[n / 2]) : 0.0;
  return fabs(middle) >= FH_MOVED ? middle : 0.0;
}

static void
compare_levels(FhChecked* const now, const FhChecked* const then, const double common, const bool alone)
{
  FhFindings* const moved = &now->moved;
  const double      solo  = solo_rise(now, then) - common;
  const double      field = field_rise(now, then) - common;
  if (isnan(field)) {
    if (fabs(solo) >= FH_MOVED) {
      fh_find(moved, true, "solo_level", solo, "dB",
              "The soloist is %.1f dB %s over the ambient microphone; without field in both recordings nobody can tell a gain from "
              "a place.", fabs(solo), solo > 0.0 ? "more" : "less");
    }
    return;
  }
  const double apart = solo - field;
  if (fabs(apart) < FH_MOVED && fabs(0.5 * (solo + field)) >= FH_MOVED) {
    const double gain = 0.5 * (solo + field);
    fh_find(moved, true, "gain", gain, "dB",
            "Soloist and field are both %.1f dB %s over the ambient microphone: %s gain was turned. Turn it back, or learn again.",
            fabs(gain), gain > 0.0 ? "more" : "less", alone ? "an input" : "this input's");
  } else if (fabs(apart) >= FH_MOVED && fabs(solo) >= fabs(field)) {
    fh_find(moved, true, "solo_place", solo, "dB",
            "The soloist is %.1f dB %s, the field %.1f dB %s: as if the microphone were %.1f times as far away. Put it back, or learn "
            "again.", fabs(solo), solo > 0.0 ? "louder" : "softer", fabs(field), field > 0.0 ? "louder" : "softer",
            pow(10.0, -apart / 20.0));
  } else if (fabs(apart) >= FH_MOVED) {
    fh_find(moved, true, "field_place", field, "dB",
            "The microphone hears %.1f dB %s of the field, and the soloist as before: it is turned another way, or the band stands "
            "elsewhere. Turn it back, or learn again.", fabs(field), field > 0.0 ? "more" : "less");
  }
}

static void
compare_arrival(FhChecked* const now, const FhChecked* const then)
{
  const FhFinding* const a = finding(&now->report, "arrival", false);
  const FhFinding* const b = finding(&then->report, "arrival", false);
  const double           d = a && b ? a->value - b->value : (double)NAN;
  if (fabs(d) >= FH_LATER) {
    const double metres = 0.001 * fabs(d) * fh_speed_of_sound(now->options.celsius);
    fh_find(&now->moved, true, "arrival", d, "ms",
            "The ambient microphone hears the soloist %.2f ms %s: %.2f m %s, or a delay was %s.", fabs(d), d > 0.0 ? "later" : "earlier",
            metres, d > 0.0 ? "farther apart" : "nearer", d > 0.0 ? "switched in" : "taken out");
  }
}

/// Tone of the notes that both hold: a windscreen, a bell that points elsewhere
static void
compare_tone(FhChecked* const now, const FhChecked* const then)
{
  double sum   = 0.0;
  size_t count = 0;
  for (size_t i = 0; i < now->report.count && now->report.kind == FH_CHECK_SOLOIST; ++i) {
    for (size_t k = 0; k < then->report.count; ++k) {
      if (now->report.places[i].note == then->report.places[k].note) {
        sum += now->report.places[i].bright - then->report.places[k].bright;
        ++count;
      }
    }
  }
  const double d = count >= FH_COMMON_NOTES ? sum / (double)count : 0.0;
  if (fabs(d) >= FH_DULLER) {
    fh_find(&now->moved, true, "tone", d, "dB",
            "Above 2 kHz the same notes are %.1f dB %s: look at the windscreen, and where the microphone points.", fabs(d),
            d > 0.0 ? "brighter" : "duller");
  }
}

/// Faults that are there today and were not, and the other way round
static void
compare_faults(FhChecked* const now, const FhChecked* const then)
{
  for (size_t i = 0; i < now->report.findings.count; ++i) {
    const FhFinding* const f = &now->report.findings.list[i];
    if (f->fault && !finding(&then->report, f->code, true)) {
      fh_find(&now->moved, true, f->code, f->value, f->unit, "New: %s", f->text);
    }
  }
  for (size_t i = 0; i < then->report.findings.count; ++i) {
    const FhFinding* const f = &then->report.findings.list[i];
    if (f->fault && !finding(&now->report, f->code, true)) {
      fh_find(&now->moved, false, f->code, f->value, f->unit, "Mended: %s", f->text);
    }
  }
}

void
fh_check_moved(FhChecked* const now, const FhChecked* const then, const size_t count, FhFindings* const all)
{
  const double common = common_rise(now, then, count);
  *all                = (FhFindings){0};
  if (common != 0.0) {
    fh_find(all, true, "ambient", common, "dB",
            "At all stands the field is %.1f dB %s over the ambient microphone: that one has moved or its gain was turned. Put it "
            "back, or learn again at all stands.", fabs(common), common > 0.0 ? "more" : "less");
  }
  for (size_t i = 0; i < count; ++i) {
    const bool dead = finding(&now[i].report, "no_signal", true) || finding(&then[i].report, "no_signal", true);
    now[i].moved    = (FhFindings){0};
    if (!dead) {
      compare_levels(&now[i], &then[i], common, count < 3);
      compare_arrival(&now[i], &then[i]);
      compare_tone(&now[i], &then[i]);
    }
    compare_faults(&now[i], &then[i]);
  }
}
