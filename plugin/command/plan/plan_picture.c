// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The plan from above: where soloist, microphones, band and loudspeaker stand, with distances and levels

#include "command/plan/plan.h"

#include "command/base/quantity.h"
#include "command/sheet/sheet.h"

#include <math.h>
#include <stdlib.h>

#define FH_WIDTH 1000  // pixels
#define FH_HEIGHT 760
#define FH_DRAWN 1.25  // pixels a point

static FhSpot
spot_at(const double distance, const double bearing)
{
  const double turn = bearing * 3.14159265358979323846 / 180.0;
  return (FhSpot){true, distance * sin(turn), distance * cos(turn)};
}

/// To the right of the soloist, as far from microphone and farthest listener as is said, who sits straight ahead; on the
/// line between the two where no triangle has these sides
static FhSpot
speaker_spot(const FhPlan* const plan)
{
  const double a = plan->speaker_mic, b = plan->speaker_listener, c = plan->listener;
  const double y = (b * b - a * a - c * c) / (2.0 * c);
  return (FhSpot){true, sqrt(fmax(a * a - y * y, 0.0)), fmax(y, -a)};
}

static void
fill_plot(FhPlot* const plot, const FhPlan* const plan, const FhPlanFigures* const f, char band[160])
{
  char         lengths[3][64];
  const FhSpot soloist = {true, 0.0, 0.0};
  const FhSpot ambient = spot_at(plan->ambient_distance, plan->ambient_bearing);
  const FhSpot speaker = speaker_spot(plan);
  fh_plan_block(plan, &plot->band_width, &plot->band_depth);
  plot->band_at = (FhSpot){true, 0.0, plan->band_distance};
  plot->band    = band;
  snprintf(band, 160, "%.0f players, %.0f dB each at 1 m, from %s on", plan->band_size, plan->band_level,
           fh_format_length(lengths[0], sizeof(lengths[0]), plan->band_distance));
  fh_plot_add(plot, &speaker, FH_MARK_SPEAKER, "Loudspeaker, %s away",
              fh_format_length(lengths[0], sizeof(lengths[0]), plan->speaker_mic));
  fh_plot_add(plot, &ambient, FH_MARK_AMBIENT, "Ambient, %s: solo %.0f, field %.0f dB",
              fh_format_length(lengths[1], sizeof(lengths[1]), plan->ambient_distance), f->solo_ambient, f->band_ambient);
  fh_plot_add(plot, &soloist, FH_MARK_STAND, "Close, %s: solo %.0f, field %.0f dB",
              fh_format_length(lengths[2], sizeof(lengths[2]), plan->mic_distance), f->solo_close, f->band_close);
}

bool
fh_plan_picture(const char* const path, const FhPlan* const plan, const FhPlanFigures* const figures)
{
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, FH_WIDTH, FH_HEIGHT);
  FhPlot* const          plot    = calloc(1, sizeof(*plot));
  FhSheet                sheet   = {.cr = cairo_create(surface), .width = FH_WIDTH / FH_DRAWN, .height = FH_HEIGHT / FH_DRAWN};
  char                   text[200], band[160];
  if (plot) {
    cairo_set_source_rgb(sheet.cr, 1, 1, 1);
    cairo_paint(sheet.cr);
    cairo_scale(sheet.cr, FH_DRAWN, FH_DRAWN);
    snprintf(text, sizeof(text), "%s, %s", plan->family->label, plan->dynamic->name);
    fh_sheet_text(&sheet, FH_SHEET_EDGE, FH_SHEET_EDGE, sheet.width, 16.0, true, text);
    snprintf(text, sizeof(text), "%s: excess %.1f dB of %.0f dB needed; acoustic gain %.1f dB of %.1f dB needed",
             fh_verdict_phrase(figures->verdict), figures->excess, FH_SEPARATION_GOOD, figures->pag, figures->nag);
    fh_sheet_text(&sheet, FH_SHEET_EDGE, FH_SHEET_EDGE + 18.0, sheet.width, 11.0, false, text);
    sheet.y = FH_SHEET_EDGE + 34.0;
    fill_plot(plot, plan, figures, band);
    fh_plot_draw(&sheet, plot);
  }
  const bool drawn = plot && cairo_status(sheet.cr) == CAIRO_STATUS_SUCCESS &&
                     cairo_surface_write_to_png(surface, path) == CAIRO_STATUS_SUCCESS;
  free(plot);
  cairo_destroy(sheet.cr);
  cairo_surface_destroy(surface);
  return drawn;
}
