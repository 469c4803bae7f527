// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/strip.h"
#include "ui/view.h"
#include "ui/words.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EDGE 20.0     ///< Outer margin
#define AXIS 64.0     ///< Room for level figures, left of the lanes
#define LEGEND 250.0  ///< Room for the legend, right of the lanes
#define HEAD 62.0     ///< Title and reading help
#define FOOT 44.0     ///< Time axis
#define LANE_HEAD 26.0
#define MAX_LANES 3

static const FhTextStyle title_style  = {20.0, true, FH_LEFT, FH_INK_TEXT};
static const FhTextStyle lane_style   = {13.5, true, FH_LEFT, FH_INK_TEXT};
static const FhTextStyle legend_style = {12.5, false, FH_LEFT, FH_INK_TEXT};
static const FhTextStyle help_style   = {12.5, false, FH_LEFT, FH_INK_DIM};
static const FhTextStyle level_style  = {11.5, false, FH_RIGHT, FH_INK_DIM};
static const FhTextStyle time_style   = {11.5, false, FH_CENTRE, FH_INK_DIM};

/// Everything about one picture while it is drawn
typedef struct {
  FhPen            pen;
  const FhPicture* asked;
  double           width, height;
  FhColumn*        columns;
  size_t           count;
  double           seconds; ///< Length of the take
  double           open;    ///< Part of the time it was open, 0..1
  FhLane           lanes[MAX_LANES];
} Sheet;

static double
length_of(const FhFrame* const frames, const size_t n)
{
  const double last = frames[n - 1].seconds;
  return last + (n > 1 ? fmax(last - frames[0].seconds, 1e-6) / (double)(n - 1) : 1.0);
}

static double
open_part(const FhFrame* const frames, const size_t n, const double seconds)
{
  double open = 0.0;
  for (size_t i = 0; i < n; ++i) {
    const double end = i + 1 < n ? frames[i + 1].seconds : seconds;
    open += fh_is_open(frames[i].v) ? end - frames[i].seconds : 0.0;
  }
  return open / (seconds - frames[0].seconds);
}

/// Choose scales that show all that matters: a moment of silence shall not flatten the rest
static void
set_scales(Sheet* const sheet)
{
  double highest = -20.0, deepest = -20.0;
  size_t low[12] = {0}; // Columns whose least level is in this ten decibels below 0 dBFS
  for (size_t i = 0; i < sheet->count; ++i) {
    const FhColumn* const c = &sheet->columns[i];
    if (c->filled) {
      const double least = (double)fminf(c->close.lo, c->pickup.lo);
      highest            = fmax(highest, (double)c->close.hi);
      deepest            = fmin(deepest, (double)fminf(c->gate.lo, c->duck.lo));
      ++low[(size_t)fmin(fmax(-least / 10.0, 0.0), 11.0)];
    }
  }
  int    bottom = 11;
  size_t below  = 0;
  while (bottom > 4 && (below += low[bottom]) < sheet->count / 50) {
    --bottom;
  }
  sheet->lanes[0].top    = fmin(ceil((highest + 3.0) / 10.0) * 10.0, 30.0);
  sheet->lanes[0].bottom = fmax(-10.0 * (bottom + 1), -90.0);
  sheet->lanes[1].top    = 40.0;
  sheet->lanes[1].bottom = -20.0;
  sheet->lanes[2].top    = 3.0;
  sheet->lanes[2].bottom = floor((deepest - 3.0) / 10.0) * 10.0;
}

static void
set_lanes(Sheet* const sheet)
{
  static const double shares[MAX_LANES] = {0.60, 0.20, 0.20};
  const double        spare             = sheet->height - HEAD - FOOT - MAX_LANES * LANE_HEAD;
  double              y                 = HEAD;
  for (int i = 0; i < MAX_LANES; ++i) {
    y += LANE_HEAD;
    sheet->lanes[i].box = (FhBox){AXIS, y, (double)sheet->count * sheet->pen.pixel, floor(spare * shares[i])};
    sheet->lanes[i].column = sheet->pen.pixel;
    y += sheet->lanes[i].box.h;
  }
}

static void
draw_level_axis(const Sheet* const sheet, const FhLane* const lane, const double step)
{
  for (double level = ceil(lane->bottom / step) * step; level <= lane->top; level += step) {
    char text[32];
    snprintf(text, sizeof(text), "%s%.0f", level < 0.0 ? "\u2212" : "", fabs(level));
    const double y = fh_lane_y(lane, level);
    if (y > lane->box.y + 6.0 && y < lane->box.y + lane->box.h - 5.0) {
      fh_text(&sheet->pen, (FhBox){0.0, y - 8.0, AXIS - 6.0, 16.0}, level_style, text);
    }
  }
}

static double
time_step(const double seconds, const double width)
{
  static const double steps[] = {0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600};
  const size_t        count   = sizeof(steps) / sizeof(steps[0]);
  size_t              i       = 0;
  while (i + 1 < count && width * steps[i] / seconds < 64.0) {
    ++i;
  }
  return steps[i];
}

static void
draw_time_axis(const Sheet* const sheet)
{
  const FhBox* const lane   = &sheet->lanes[0].box;
  const double       bottom = sheet->lanes[MAX_LANES - 1].box.y + sheet->lanes[MAX_LANES - 1].box.h;
  const double       step   = time_step(sheet->seconds, lane->w);
  for (long i = 0; (double)i * step <= sheet->seconds; ++i) {
    const double at = (double)i * step;
    const double x  = lane->x + lane->w * at / sheet->seconds;
    for (int l = 0; l < MAX_LANES; ++l) {
      const FhBox* const box = &sheet->lanes[l].box;
      fh_line(&sheet->pen, x, box->y, x, box->y + box->h, sheet->pen.pixel, FH_INK_GRID);
    }
    char text[32];
    if (step < 1.0) {
      snprintf(text, sizeof(text), "%.1f", at);
    } else {
      snprintf(text, sizeof(text), "%ld:%02ld", lround(at) / 60, lround(at) % 60);
    }
    fh_text(&sheet->pen, (FhBox){x - 30.0, bottom + 4.0, 60.0, 16.0}, time_style, text);
  }
  FhTextStyle style = time_style;
  style.align       = FH_RIGHT;
  fh_text(&sheet->pen,
          (FhBox){lane->x, bottom + 20.0, lane->w, 18.0},
          style,
          step < 1.0 ? "Time, seconds" : "Time, minutes:seconds");
}

typedef enum { SWATCH_LINE, SWATCH_DASH, SWATCH_HATCH, SWATCH_FILL, SWATCH_BAR } Swatch;

static void
draw_swatch(const FhPen* const pen, const FhBox box, const Swatch kind, const FhInk ink)
{
  const double middle = box.y + box.h / 2.0;
  switch (kind) {
  case SWATCH_LINE:
    fh_line(pen, box.x, middle, box.x + box.w, middle, 2.4, ink);
    break;
  case SWATCH_DASH:
    fh_line(pen, box.x, middle, box.x + 0.4 * box.w, middle, 2.4, ink);
    fh_line(pen, box.x + 0.6 * box.w, middle, box.x + box.w, middle, 2.4, ink);
    break;
  case SWATCH_HATCH:
    fh_box(pen, box, 0.0, ink, 0.16);
    cairo_rectangle(pen->cr, box.x, box.y, box.w, box.h);
    fh_hatch(pen, ink, 0.55, 8.0, 0.9);
    fh_line(pen, box.x, box.y, box.x + box.w, box.y, 1.8, ink);
    break;
  case SWATCH_FILL:
    fh_box(pen, box, 0.0, ink, 0.26);
    break;
  case SWATCH_BAR:
    fh_box(pen, (FhBox){box.x, middle - 4.0, box.w, 8.0}, 0.0, ink, 1.0);
    break;
  }
}

typedef struct {
  Swatch      swatch;
  FhInk       ink;
  const char* words;
} Entry;

static void
draw_legend(const Sheet* const sheet, const FhLane* const lane, const Entry* const entries, const size_t count)
{
  const double x = lane->box.x + lane->box.w + 16.0;
  double       y = lane->box.y;
  for (size_t i = 0; i < count; ++i) {
    draw_swatch(&sheet->pen, (FhBox){x, y + 2.0, 26.0, 13.0}, entries[i].swatch, entries[i].ink);
    const FhBox room = {x + 36.0, y, sheet->width - EDGE - x - 36.0, 0.0};
    y += fh_paragraph(&sheet->pen, room, legend_style, entries[i].words) + 7.0;
  }
}

static uint8_t
any_fault(const Sheet* const sheet)
{
  uint8_t fault = FH_FAULT_NONE;
  for (size_t i = 0; i < sheet->count && !fault; ++i) {
    fault = sheet->columns[i].fault;
  }
  return fault;
}

static void
draw_lane_heads(const Sheet* const sheet)
{
  static const char* const heads[MAX_LANES] = {
    "Levels at the soloist's microphone, dBFS",
    "Excess: what speaks for the soloist, dB; ten more are ten times the odds",
    "Gain, dB: 0 is untouched, lower is turned down",
  };
  for (int i = 0; i < MAX_LANES; ++i) {
    const FhBox* const box = &sheet->lanes[i].box;
    fh_text(&sheet->pen, (FhBox){box->x, box->y - LANE_HEAD + 3.0, box->w, LANE_HEAD - 3.0}, lane_style, heads[i]);
  }
}

static void
draw_legends(const Sheet* const sheet)
{
  static const char* const fault_words[] = {
    "",
    "Fault at the marks along the top: no ambient signal",
    "Fault at the marks along the top: ambient is the same signal as close",
    "Fault at the marks along the top: no close signal",
    "Fault at the marks along the top: an input clips",
    "Fault at the marks along the top: samples that are no numbers",
    "Fault at the marks along the top: an input is off zero",
    "Fault at the marks along the top: close and ambient are swapped",
  };
  _Static_assert(sizeof(fault_words) / sizeof(fault_words[0]) == FH_FAULT_COUNT, "words for each fault");
  Entry levels[6] = {
    {SWATCH_LINE, FH_INK_CLOSE, "Close microphone: soloist and field together"},
    {SWATCH_HATCH, FH_INK_PICKUP, "Predicted pickup: the field alone, as this mic should hear it"},
    {SWATCH_FILL, FH_INK_CLOSE, "The space between: what stands clear of the field"},
    {SWATCH_DASH, FH_INK_LINE, "Opening line: a close level above it opens the gate"},
    {SWATCH_BAR, FH_INK_OPEN, "Gate open"},
  };
  const uint8_t fault = any_fault(sheet);
  levels[5]           = (Entry){SWATCH_BAR, FH_INK_FAULT, fault < FH_FAULT_COUNT ? fault_words[fault] : "Fault"};
  draw_legend(sheet, &sheet->lanes[0], levels, fault ? 6 : 5);

  static const Entry excess[] = {
    {SWATCH_LINE, FH_INK_CLOSE, "Excess"},
    {SWATCH_DASH, FH_INK_LINE, "Opening margin: excess needed to open"},
    {SWATCH_FILL, FH_INK_OPEN, "Above it: the soloist plays"},
  };
  draw_legend(sheet, &sheet->lanes[1], excess, 3);

  static const Entry gains[] = {
    {SWATCH_LINE, FH_INK_OPEN, "Gate: the whole channel"},
    {SWATCH_DASH, FH_INK_TEXT, "Duck: field under the solo, most of the bands"},
    {SWATCH_HATCH, FH_INK_PICKUP, "Field kept out by the gate"},
  };
  draw_legend(sheet, &sheet->lanes[2], gains, 3);
}

static void
draw_head(const Sheet* const sheet, const bool empty)
{
  const double width = sheet->width - 2.0 * EDGE;
  fh_text(&sheet->pen,
          (FhBox){EDGE, 10.0, 0.72 * width, 28.0},
          title_style,
          sheet->asked->title ? sheet->asked->title : "What the gate sees");
  if (empty) {
    return;
  }
  fh_text(&sheet->pen,
          (FhBox){EDGE, 38.0, width, 20.0},
          help_style,
          "Read it left to right. The gate opens when the close microphone rises above the opening line, and shuts "
          "when only the field is left.");
  char text[64];
  snprintf(text, sizeof(text), "Open %.0f %% of %ld:%02ld", 100.0 * sheet->open, lround(sheet->seconds) / 60,
           lround(sheet->seconds) % 60);
  FhTextStyle style = lane_style;
  style.align       = FH_RIGHT;
  fh_text(&sheet->pen, (FhBox){EDGE + 0.74 * width, 12.0, 0.26 * width, 24.0}, style, text);
}

static void
draw_lanes(const Sheet* const sheet)
{
  const FhRun run = {sheet->columns, sheet->count + 1, 0, sheet->count, 0};
  for (int i = 0; i < MAX_LANES; ++i) {
    fh_lane_ground(&sheet->pen, &sheet->lanes[i], 10.0);
  }
  draw_time_axis(sheet);
  fh_draw_levels(&sheet->pen, &sheet->lanes[0], &run);
  fh_draw_excess(&sheet->pen, &sheet->lanes[1], &run);
  fh_draw_gains(&sheet->pen, &sheet->lanes[2], &run);
  for (int i = 0; i < MAX_LANES; ++i) {
    fh_frame(&sheet->pen, sheet->lanes[i].box, 0.0, sheet->pen.pixel, FH_INK_EDGE);
    draw_level_axis(sheet, &sheet->lanes[i], i == 0 ? 10.0 : 20.0);
  }
  draw_lane_heads(sheet);
  draw_legends(sheet);
}

int
fh_view_picture(cairo_t* const cr, const FhPicture* const picture, const FhFrame* const frames, const size_t n)
{
  const double scale = fmin(fmax(picture->scale, 1.0), 4.0);
  Sheet        sheet = {.asked  = picture,
                        .width  = fmax(picture->width, FH_PICTURE_MIN_WIDTH),
                        .height = fmax(picture->height, FH_PICTURE_MIN_HEIGHT)};
  sheet.count        = (size_t)floor((sheet.width - AXIS - LEGEND) * scale);
  sheet.columns      = (FhColumn*)calloc(sheet.count + 1, sizeof(FhColumn)); // One stays empty: the end
  if (!sheet.columns) {
    return ENOMEM;
  }
  cairo_save(cr);
  cairo_scale(cr, scale, scale);
  sheet.pen           = fh_pen(cr, &fh_day, scale);
  sheet.pen.note      = picture->note;
  sheet.pen.note_data = picture->note_data;
  fh_box(&sheet.pen, (FhBox){0.0, 0.0, sheet.width, sheet.height}, 0.0, FH_INK_GROUND, 1.0);
  if (n) {
    sheet.seconds = length_of(frames, n);
    sheet.open    = open_part(frames, n, sheet.seconds);
    fh_columns(sheet.columns, sheet.count, frames, n, 0.0, sheet.seconds);
    set_lanes(&sheet);
    set_scales(&sheet);
    draw_lanes(&sheet);
  } else {
    FhTextStyle style = lane_style;
    style.align       = FH_CENTRE;
    fh_text(&sheet.pen, (FhBox){0.0, 0.0, sheet.width, sheet.height}, style, "Nothing to show: the take is empty");
  }
  draw_head(&sheet, !n);
  cairo_restore(cr);
  free(sheet.columns);
  return 0;
}

static cairo_status_t
write_some(void* const file, const unsigned char* const data, const unsigned length)
{
  return fwrite(data, 1, length, (FILE*)file) == length ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

/// Write a surface to a file that is not yet there under its name
static int
write_part(const char* const path, cairo_surface_t* const surface)
{
  errno            = 0;
  FILE* const file = fopen(path, "wb");
  if (!file) {
    return errno ? errno : EIO;
  }
  const cairo_status_t status = cairo_surface_write_to_png_stream(surface, write_some, file);
  int                  error  = status == CAIRO_STATUS_NO_MEMORY ? ENOMEM : status ? (errno ? errno : EIO) : 0;
  if (fclose(file) && !error) {
    error = errno ? errno : EIO;
  }
  if (error) {
    remove(path);
  }
  return error;
}

int
fh_view_png(const char* const path, const FhPicture* const picture, const FhFrame* const frames, const size_t n)
{
  const double           scale   = fmin(fmax(picture->scale, 1.0), 4.0);
  const double           width   = fmax(picture->width, FH_PICTURE_MIN_WIDTH) * scale;
  const double           height  = fmax(picture->height, FH_PICTURE_MIN_HEIGHT) * scale;
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)width, (int)height);
  cairo_t* const         cr      = cairo_create(surface);
  const size_t           length  = strlen(path) + sizeof(".part");
  char* const            part    = (char*)malloc(length);
  int error = !part || cairo_status(cr) ? ENOMEM : fh_view_picture(cr, picture, frames, n);
  if (!error) {
    snprintf(part, length, "%s.part", path);
    error = write_part(part, surface);
  }
  if (!error && rename(part, path)) {
    error = errno;
    remove(part);
  }
  free(part);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return error;
}
