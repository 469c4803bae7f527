// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_print.h"

#include "ui/pen.h"

#include <cairo.h>

#include <errno.h>
#include <math.h>

#define FH_WIDTH 1200
#define FH_HEIGHT 560
#define FH_TEXT 14.0

typedef struct {
  FhPen           pen;
  FhBox           plot;
  double          low, high; ///< dBFS at bottom and top
  const FhReport* report;
  size_t          closes;
} FhChart;

static double
x_of(const FhChart* const chart, const size_t at)
{
  return chart->plot.x + chart->plot.w * ((double)at + 0.5) / (double)chart->report->count;
}

static double
y_of(const FhChart* const chart, const double level)
{
  const double share = (level - chart->low) / (chart->high - chart->low);
  return chart->plot.y + chart->plot.h * (1.0 - fmin(fmax(share, 0.0), 1.0));
}

static void
choose_scale(FhChart* const chart)
{
  double low = 0.0, high = -200.0;
  for (size_t i = 0; i < chart->report->count; ++i) {
    const FhPlace* const p = &chart->report->places[i];
    high                   = fmax(high, fmax(p->total, p->expected));
    low                    = fmin(low, fmin(p->total, p->expected));
  }
  chart->high = 6.0 * ceil((high + 2.0) / 6.0);
  chart->low  = fmin(6.0 * floor((low - 8.0) / 6.0), chart->high - 30.0);
}

static void
draw_scale(const FhChart* const chart)
{
  const FhTextStyle style = {.size = FH_TEXT, .align = FH_RIGHT, .ink = FH_INK_DIM};
  char              text[32];
  fh_box(&chart->pen, chart->plot, 0.0, FH_INK_PANEL, 1.0);
  for (double level = chart->low; level <= chart->high; level += 6.0) {
    const double y = y_of(chart, level);
    fh_line(&chart->pen, chart->plot.x, y, chart->plot.x + chart->plot.w, y, 1.0, FH_INK_GRID);
    snprintf(text, sizeof(text), "%.0f dBFS", level);
    fh_text(&chart->pen, (FhBox){0.0, y - 10.0, chart->plot.x - 8.0, 20.0}, style, text);
  }
}

/// Level of one close microphone as a line with its own dashes
static void
draw_microphone(const FhChart* const chart, const size_t mic)
{
  cairo_t* const cr       = chart->pen.cr;
  const double   dashes[] = {mic ? 2.0 : 9.0, 4.0};
  cairo_save(cr);
  cairo_set_dash(cr, dashes, 2, 0.0);
  fh_ink(&chart->pen, mic ? FH_INK_PICKUP : FH_INK_CLOSE, 1.0);
  cairo_set_line_width(cr, 2.0);
  for (size_t i = 0; i < chart->report->count; ++i) {
    cairo_line_to(cr, x_of(chart, i), y_of(chart, chart->report->places[i].level[mic]));
  }
  cairo_stroke(cr);
  cairo_restore(cr);
}

static void
draw_expected(const FhChart* const chart)
{
  cairo_t* const cr = chart->pen.cr;
  fh_ink(&chart->pen, FH_INK_OPEN, 1.0);
  cairo_set_line_width(cr, 2.0);
  for (size_t i = 0; i < chart->report->count; ++i) {
    if (!isnan(chart->report->places[i].expected)) {
      cairo_line_to(cr, x_of(chart, i), y_of(chart, chart->report->places[i].expected));
    }
  }
  cairo_stroke(cr);
}

static void
place_name(const FhChart* const chart, const size_t at, char* const text, const size_t size)
{
  const FhPlace* const p = &chart->report->places[at];
  char                 name[8];
  if (chart->report->kind == FH_CHECK_GROUP) {
    snprintf(text, size, "Player %d", p->note);
  } else {
    snprintf(text, size, "%s", fh_note_name(p->note, name));
  }
}

static void
draw_places(const FhChart* const chart)
{
  const double width  = chart->plot.w / (double)chart->report->count;
  const double bar    = fmin(0.6 * width, 60.0);
  const size_t every  = (size_t)ceil(34.0 / width); // names that have room
  const double bottom = chart->plot.y + chart->plot.h;
  for (size_t i = 0; i < chart->report->count; ++i) {
    const FhPlace* const p = &chart->report->places[i];
    const double         x = x_of(chart, i);
    const double         y = y_of(chart, p->total);
    char                 text[48];
    fh_box(&chart->pen, (FhBox){x - bar / 2.0, y, bar, bottom - y}, 0.0, p->fault ? FH_INK_FAULT : FH_INK_EDGE,
           p->fault ? 0.9 : 0.45);
    if (p->fault) {
      snprintf(text, sizeof(text), "%+.1f dB", p->total - p->expected);
      fh_text(&chart->pen, (FhBox){x - 40.0, fmin(y, y_of(chart, p->expected)) - 22.0, 80.0, 20.0},
              (FhTextStyle){FH_TEXT, true, FH_CENTRE, FH_INK_FAULT}, text);
    }
    if (p->fault || i % every == 0) {
      const bool second = p->fault && i % every != 0; // a line lower, clear of its neighbours
      place_name(chart, i, text, sizeof(text));
      fh_text(&chart->pen, (FhBox){x - 40.0, bottom + (second ? 24.0 : 6.0), 80.0, 18.0},
              (FhTextStyle){FH_TEXT, p->fault, FH_CENTRE, p->fault ? FH_INK_FAULT : FH_INK_TEXT}, text);
    }
  }
}

static void
draw_crossover(const FhChart* const chart)
{
  for (size_t i = 0; i < chart->report->count; ++i) {
    if (chart->report->places[i].note == chart->report->crossover) {
      const double x = x_of(chart, i);
      fh_line(&chart->pen, x, chart->plot.y, x, chart->plot.y + chart->plot.h, 2.0, FH_INK_LINE);
      fh_text(&chart->pen, (FhBox){x + 5.0, chart->plot.y + 2.0, 140.0, 18.0},
              (FhTextStyle){FH_TEXT, false, FH_LEFT, FH_INK_LINE}, "microphones meet");
    }
  }
}

/// One entry of the legend. @return Where the next may begin.
static double
legend(const FhChart* const chart, const double x, const char* const text, const FhInk ink, const double dash)
{
  cairo_t* const    cr    = chart->pen.cr;
  const FhTextStyle style = {FH_TEXT, false, FH_LEFT, FH_INK_TEXT};
  const double      y     = FH_HEIGHT - 22.0;
  const double      width = fh_text_width(&chart->pen, style, text);
  cairo_save(cr);
  if (dash > 0.0) {
    cairo_set_dash(cr, (double[]){dash, 4.0}, 2, 0.0);
  }
  fh_line(&chart->pen, x, y, x + 34.0, y, 2.5, ink);
  cairo_restore(cr);
  fh_text(&chart->pen, (FhBox){x + 42.0, y - 10.0, width + 4.0, 20.0}, style, text);
  return x + width + 70.0;
}

static void
draw(const FhChart* const chart, const char* const title)
{
  const bool  group = chart->report->kind == FH_CHECK_GROUP;
  const FhBox all   = {0.0, 0.0, FH_WIDTH, FH_HEIGHT};
  fh_box(&chart->pen, all, 0.0, FH_INK_GROUND, 1.0);
  fh_text(&chart->pen, (FhBox){chart->plot.x, 12.0, chart->plot.w, 26.0},
          (FhTextStyle){18.0, true, FH_LEFT, FH_INK_TEXT}, title);
  if (!chart->report->count) {
    fh_text(&chart->pen, chart->plot, (FhTextStyle){18.0, false, FH_CENTRE, FH_INK_TEXT},
            group ? "No players were told apart" : "No notes were heard clearly");
    return;
  }
  draw_scale(chart);
  draw_places(chart);
  draw_expected(chart);
  double x = legend(chart, chart->plot.x, group ? "usual level of the players" : "level of the neighbours", FH_INK_OPEN,
                    0.0);
  if (chart->closes == 2) {
    draw_microphone(chart, 0);
    draw_microphone(chart, 1);
    x = legend(chart, x, "close microphone 1", FH_INK_CLOSE, 9.0);
    x = legend(chart, x, "close microphone 2", FH_INK_PICKUP, 2.0);
    draw_crossover(chart);
  }
  legend(chart, x, "stands out", FH_INK_FAULT, 0.0);
}

int
fh_check_picture(const char* const path, const char* const title, const FhSoundcheck* const take,
                 const FhReport* const report)
{
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, FH_WIDTH, FH_HEIGHT);
  cairo_t* const         cr      = cairo_create(surface);
  FhChart                chart   = {.report = report, .closes = take->closes};
  chart.pen                      = fh_pen(cr, &fh_day, 1.0);
  chart.plot                     = (FhBox){90.0, 50.0, FH_WIDTH - 120.0, FH_HEIGHT - 150.0};
  choose_scale(&chart);
  draw(&chart, title);
  const cairo_status_t drawn  = cairo_status(cr);
  const cairo_status_t status = drawn ? drawn : cairo_surface_write_to_png(surface, path);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return status == CAIRO_STATUS_NO_MEMORY ? ENOMEM : status ? EIO : 0;
}
