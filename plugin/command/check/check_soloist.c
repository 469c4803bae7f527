// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A soloist alone: level and tone over the range played

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>

#define FH_NEIGHBOURS 3     // notes to each side that say how loud one should be
#define FH_STANDS_OUT 8.0   // dB
#define FH_AT_END 3.0       // dB more for the outermost notes: of clean scales to tune by they differ by up to 7.4, others by 5.9
#define FH_TIMES 2          // a note of a scale is played, up and down; of music, more often
#define FH_REGISTER 10.0    // dB between low and high third
#define FH_FEW_NOTES 5

static double
neighbours(const FhReport* const report, const size_t at)
{
  double       values[2 * FH_NEIGHBOURS];
  size_t       n    = 0;
  const size_t from = at > FH_NEIGHBOURS ? at - FH_NEIGHBOURS : 0;
  for (size_t i = from; i <= at + FH_NEIGHBOURS && i < report->count; ++i) {
    if (i != at) {
      values[n++] = report->places[i].total;
    }
  }
  return fh_percentile(values, n, 0.5);
}

static double
mean_of(const FhReport* const report, const size_t from, const size_t to, const bool bright)
{
  double sum = 0.0;
  for (size_t i = from; i < to; ++i) {
    sum += bright ? report->places[i].bright : report->places[i].total;
  }
  return sum / (double)(to - from);
}

/// Single notes are judged in a scale only: in music a note is loud or soft because it shall be
static void
judge_notes(FhReport* const report, const bool scale)
{
  char name[8];
  for (size_t i = 0; i < report->count; ++i) {
    FhPlace* const place = &report->places[i];
    place->expected      = neighbours(report, i);
    const double over    = place->total - place->expected;
    const bool   end     = i == 0 || i + 1 == report->count; // neighbours to one side only
    place->fault         = scale && fabs(over) > FH_STANDS_OUT + (end ? FH_AT_END : 0.0);
    if (place->fault) {
      fh_find(&report->findings, true, over > 0.0 ? "note_loud" : "note_soft", over, "dB",
              "%s is %.1f dB %s the notes beside it: play it again; if it stays, move the microphone off that spot, a "
              "hand's width aside.",
              fh_note_name(place->note, name), fabs(over), over > 0.0 ? "over" : "under");
    }
  }
}

static void
judge_registers(FhReport* const report, const bool scale)
{
  const size_t third = report->count / 3;
  const double low   = mean_of(report, 0, third, false);
  const double high  = mean_of(report, report->count - third, report->count, false);
  const double dull  = mean_of(report, 0, third, true);
  const double clear = mean_of(report, report->count - third, report->count, true);
  char         names[2][8];
  fh_note_name(report->places[0].note, names[0]);
  fh_note_name(report->places[report->count - 1].note, names[1]);
  fh_find(&report->findings, false, "range", high - low, "dB",
          "%zu notes from %s to %s; the high third is %.1f dB %s the low third.", report->count, names[0], names[1],
          fabs(high - low), high >= low ? "over" : "under");
  fh_find(&report->findings, false, "tone", clear - dull, "dB",
          "Above 2 kHz lie %.0f dB of the level in the low third and %.0f dB in the high third.", dull, clear);
  if (scale && fabs(high - low) > FH_REGISTER) {
    fh_find(&report->findings, true, "register", high - low, "dB",
            "The %s notes are %.1f dB weaker: turn the microphone towards where they leave the instrument, or move it "
            "back so that it hears all of it.",
            high > low ? "low" : "high", fabs(high - low));
  }
}

bool
fh_check_soloist(const FhSoundcheck* const   take,
                 const FhActivity* const     activity,
                 const FhCheckOptions* const options,
                 FhReport* const             report)
{
  FhStrokes  notes = {0};
  const bool ok    = fh_find_notes(take, activity, options, &notes);
  if (ok) {
    fh_gather_places(&notes, report);
    if (report->count >= FH_FEW_NOTES) {
      // What clips has no levels of single notes
      const bool scale = fh_is_run(&notes) && notes.count <= FH_TIMES * report->count + 2 && !fh_found(&report->findings, "clipping");
      judge_notes(report, scale);
      if (!scale) {
        fh_find(&report->findings, false, "no_scale", (double)notes.count, "notes",
                "This is no scale, so that single notes are not judged: play one over the whole range to see each.");
      }
      judge_registers(report, scale);
    } else {
      fh_find(&report->findings, false, "range", (double)report->count, "notes",
              "%zu note%s heard clearly: play a scale over the whole range to see level and tone.", report->count,
              report->count == 1 ? " was" : "s were");
      for (size_t i = 0; i < report->count; ++i) {
        report->places[i].expected = (double)NAN;
      }
    }
  }
  fh_strokes_free(&notes);
  return ok;
}
