// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Patch list, checklist and labels

#include "command/sheet/sheet.h"

#include "command/base/quantity.h"

#include <stdio.h>
#include <string.h>

#define ROW 20.0

/// A column of a list: where it begins and how wide it is, as parts of the page
typedef struct {
  const char* head;
  double      from, to;
} Column;

static void
put_cell(FhSheet* const sheet, const Column* const column, const bool bold, const char* const text)
{
  const double width = sheet->width - 2.0 * FH_SHEET_EDGE;
  fh_sheet_text(sheet, FH_SHEET_EDGE + column->from * width, sheet->y, (column->to - column->from) * width - 4.0, 9.5, bold, text);
}

/// A second line of a row, under a column and as wide as there is room
static void
put_under(FhSheet* const sheet, const double from, const double to, const char* const text)
{
  const double width = sheet->width - 2.0 * FH_SHEET_EDGE;
  fh_sheet_text(sheet, FH_SHEET_EDGE + from * width, sheet->y + 11.0, (to - from) * width - 4.0, 8.5, false, text);
}

static void
put_heads(FhSheet* const sheet, const char* const title, const Column* const columns, const size_t count)
{
  fh_sheet_page(sheet, title);
  for (size_t i = 0; i < count; ++i) {
    put_cell(sheet, &columns[i], true, columns[i].head);
  }
  fh_sheet_rule(sheet, sheet->y + 6.0, 0.0);
  sheet->y += ROW;
}

static void
end_row(FhSheet* const sheet)
{
  fh_sheet_rule(sheet, sheet->y + 6.0, 0.75);
  sheet->y += ROW;
}

#define UNDER 11.0 // of a second line

/// The next row, on a new page where this one is full
static void
begin_row(FhSheet* const sheet, const char* const title, const Column* const columns, const size_t count)
{
  if (!fh_sheet_room(sheet, ROW + UNDER)) {
    put_heads(sheet, title, columns, count);
  }
}

static void
list_soloists(const FhStand* const stand, char* const text, const size_t size)
{
  size_t at = 0;
  text[0]   = '\0';
  for (size_t i = 0; i < stand->soloist_count && at < size; ++i) {
    at += (size_t)snprintf(text + at, size - at, "%s%s", i ? ", then " : "", stand->soloist[i].name);
  }
}

void
fh_sheet_patch(FhSheet* const sheet)
{
  static const Column columns[] = {{"In", 0, 0.10},     {"Stand", 0.10, 0.30},     {"Microphone", 0.30, 0.55},
                                   {"Out", 0.55, 0.65}, {"Soloists", 0.65, 0.94}, {"Done", 0.94, 1.03}};
  const size_t        count     = sizeof(columns) / sizeof(columns[0]);
  const FhShow* const show      = sheet->show;
  char                text[1024];
  put_heads(sheet, "Patch list", columns, count);
  snprintf(text, sizeof(text), "%u", show->ambient);
  put_cell(sheet, &columns[0], true, text);
  put_cell(sheet, &columns[1], true, "Ambient");
  put_cell(sheet, &columns[2], false, "hears the band alone");
  put_cell(sheet, &columns[4], false, "to every stand");
  fh_sheet_box(sheet, FH_SHEET_EDGE + 0.955 * (sheet->width - 2.0 * FH_SHEET_EDGE), sheet->y);
  end_row(sheet);
  for (size_t i = 0; i < show->stand_count; ++i) {
    const FhStand* const stand = &show->stand[i];
    char                 length[64];
    begin_row(sheet, "Patch list", columns, count);
    put_cell(sheet, &columns[0], true, fh_sheet_channels(text, stand->input));
    put_cell(sheet, &columns[1], true, stand->name);
    snprintf(text, sizeof(text), "%s, %s, %s%s%s", fh_mic_kinds[stand->mic], stand->pattern->name,
             fh_format_length(length, sizeof(length), stand->distance), *stand->note ? "; " : "", stand->note);
    put_cell(sheet, &columns[2], false, stand->family->label);
    put_under(sheet, 0.10, 0.94, text);
    put_cell(sheet, &columns[3], true, fh_sheet_channels(text, stand->output));
    list_soloists(stand, text, sizeof(text));
    put_cell(sheet, &columns[4], false, text);
    fh_sheet_box(sheet, FH_SHEET_EDGE + 0.955 * (sheet->width - 2.0 * FH_SHEET_EDGE), sheet->y);
    sheet->y += UNDER;
    end_row(sheet);
  }
  sheet->y += 6.0;
  snprintf(text, sizeof(text), "%u Hz. In and Out are channels of the desk's interface. Feed the ambient channel before its fader to "
           "every stand; it need not go to the speakers.", show->rate);
  if (fh_sheet_room(sheet, 3.0 * ROW)) {
    fh_sheet_paragraph(sheet, 0.0, 9.5, text);
  }
}

// In the order of work. Levels and steps are common practice (no source)
static const char* const steps[] = {
  "Faders down, amplifiers off. Patch by the list, the ambient microphone first.",
  "Outputs muted, phantom power on where the list says so and nowhere else. Wait until it has settled before you open a channel.",
  "Line check: scratch each windscreen in turn. The right channel moves, and no other.",
  "Gains: each soloist plays as loud as it gets; the peaks reach -12 dBFS. From here on no input gain is touched.",
  "Record all inputs: each soloist plays a scale in turn, then the band plays for half a minute while all soloists rest.",
  "fronthash check RECORDING --show FILE. Mend what it names, and record once more.",
  "Faders still down: the band plays as it will, all soloists rest. Learn the ambient at every stand, 15 s.",
  "Each soloist plays with the band: the stand opens, and separation is 6 dB or more. If not, the microphone goes nearer.",
  "fronthash tune RECORDING --show FILE, from a rehearsal in which band and soloists play: presets for all.",
  "Amplifiers on, faders up slowly with one gate open at a time. Listen for feedback; keep 6 dB below where it begins.",
  "Bypass plan: switch Enabled off at one stand, then pull the whole insert. Everybody knows who does it and on what word.",
  "Save the session (fronthash live saves by itself); write down which recording this soundcheck was, to hold tomorrow's against (fronthash check --against).",
  "In the show: mute a stand when its soloist walks off. When a microphone has moved or a gain was turned, learn again.",
};

static const char* const cautions[] = {
  "Sound can hurt: beside a band and before loudspeakers hearing is in danger within minutes. Wear protection; begin soft.",
  "An open gate raises what the speakers give. Set levels with the gate open. A closed gate is no mute: it lets the field through.",
  "Nobody under a tower or behind a speaker without the crew's word. Stands and speakers are weighted against wind.",
  "Power is for those who are licensed for it, and local rules come first. Keep water, cables across ways and power apart.",
  "When in doubt take Fronthash out: the microphone alone is heard, and the fader does what it always did.",
};

static void
put_steps(FhSheet* const sheet, const char* const* const texts, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    if (!fh_sheet_room(sheet, 2.0 * ROW)) {
      fh_sheet_page(sheet, "Soundcheck, in the order of work");
    }
    fh_sheet_box(sheet, FH_SHEET_EDGE, sheet->y);
    fh_sheet_paragraph(sheet, 18.0, 10.5, texts[i]);
    sheet->y += 5.0;
  }
}

void
fh_sheet_checklist(FhSheet* const sheet)
{
  static const Column columns[] = {{"Stand", 0, 0.34},         {"Line", 0.34, 0.45},     {"Gain", 0.45, 0.56},
                                   {"Checked", 0.56, 0.67},    {"Learnt", 0.67, 0.78},   {"Opens", 0.78, 0.89},
                                   {"Bypass", 0.89, 1.0}};
  const size_t        count     = sizeof(columns) / sizeof(columns[0]);
  const double        width     = sheet->width - 2.0 * FH_SHEET_EDGE;
  fh_sheet_page(sheet, "Soundcheck, in the order of work");
  put_steps(sheet, steps, sizeof(steps) / sizeof(steps[0]));
  sheet->y += 12.0;
  fh_sheet_text(sheet, FH_SHEET_EDGE, sheet->y, width, 13.0, true, "Take care");
  sheet->y += 18.0;
  for (size_t i = 0; i < sizeof(cautions) / sizeof(cautions[0]); ++i) {
    fh_sheet_paragraph(sheet, 0.0, 10.5, cautions[i]);
    sheet->y += 4.0;
  }
  put_heads(sheet, "Stand by stand", columns, count);
  for (size_t i = 0; i <= sheet->show->stand_count; ++i) { // the ambient microphone first: it has a line and a gain, too
    begin_row(sheet, "Stand by stand", columns, count);
    put_cell(sheet, &columns[0], true, i ? sheet->show->stand[i - 1].name : "Ambient");
    for (size_t c = 1; c < (i ? count : 3); ++c) {
      fh_sheet_box(sheet, FH_SHEET_EDGE + columns[c].from * width + 8.0, sheet->y);
    }
    end_row(sheet);
  }
}

#define LABEL 62.0 // height

/// One label to cut out: a number to read from afar, and what it is
static void
put_label(FhSheet* const sheet, const size_t index, const char* const number, const char* const name, const char* const under)
{
  const double width = (sheet->width - 2.0 * FH_SHEET_EDGE) / 2.0;
  if (index % 2 == 0 && !fh_sheet_room(sheet, LABEL)) {
    fh_sheet_page(sheet, "Labels");
  }
  const double x = FH_SHEET_EDGE + (index % 2 ? width : 0.0);
  cairo_set_source_rgb(sheet->cr, 0.5, 0.5, 0.5);
  cairo_set_line_width(sheet->cr, 0.5);
  cairo_rectangle(sheet->cr, x, sheet->y - 14.0, width, LABEL);
  cairo_stroke(sheet->cr);
  fh_sheet_text(sheet, x + 10.0, sheet->y + 28.0, 84.0, strlen(number) > 5 ? 18.0 : 36.0, true, number);
  fh_sheet_text(sheet, x + 98.0, sheet->y + 14.0, width - 106.0, 16.0, true, name);
  fh_sheet_text(sheet, x + 98.0, sheet->y + 34.0, width - 106.0, 10.0, false, under);
  sheet->y += index % 2 ? LABEL : 0.0;
}

void
fh_sheet_labels(FhSheet* const sheet)
{
  const FhShow* const show = sheet->show;
  char                number[64], under[1024];
  fh_sheet_page(sheet, "Labels");
  snprintf(number, sizeof(number), "%u", show->ambient);
  put_label(sheet, 0, number, "Ambient", "to every stand");
  for (size_t i = 0; i < show->stand_count; ++i) {
    list_soloists(&show->stand[i], under, sizeof(under));
    put_label(sheet, i + 1, fh_sheet_channels(number, show->stand[i].input), show->stand[i].name, under);
  }
}
