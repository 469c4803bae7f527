// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Draws the made-up session to a PNG, to be looked at: shot FILE [SECONDS [WIDTH HEIGHT SCALE]], or its window after
// as many seconds: shot -w FILE [SECONDS [WIDTH HEIGHT PAGE]], in day colours: shot -d FILE ...

#include "session.h"
#include "ui/window.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
ignore(void* const data, const FhControl control, const float value)
{
  (void)data;
  (void)control;
  (void)value;
}

static int
window_png(const char* const    path,
           const FhFrame* const frames,
           const size_t         n,
           const int            width,
           const int            height,
           const int            page,
           const bool           day)
{
  FhModel* const model = (FhModel*)malloc(sizeof(FhModel));
  fh_model_init(model, (FhHost){ignore, NULL, NULL}, 0.0);
  model->day = day;
  for (size_t i = 0; i < n; ++i) {
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
      fh_model_hear(model, (FhControl)c, frames[i].v[c]);
    }
    fh_model_tick(model, frames[i].seconds);
  }
  const FhLayout         layout  = fh_layout_page(width, height, 1.0, page);
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t* const         cr      = cairo_create(surface);
  int                    error   = fh_window_draw(cr, &layout, model, NULL, NULL);
  error                          = error ? error : cairo_surface_write_to_png(surface, path) ? EIO : 0;
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  free(model);
  return error;
}

int
main(const int argc, char** argv)
{
  const bool day    = argc > 1 && !strcmp(argv[1], "-d");
  const bool window = day || (argc > 1 && !strcmp(argv[1], "-w"));
  argv += window;
  const int count = argc - window;
  if (count < 2) {
    fprintf(stderr, "usage: shot [-w | -d] FILE [SECONDS [WIDTH HEIGHT SCALE|PAGE]]\n");
    return 1;
  }
  const size_t    n       = (size_t)(SESSION_RATE * (count > 2 ? atof(argv[2]) : 20.0));
  const double    width   = count > 3 ? atof(argv[3]) : window ? FH_WINDOW_WIDTH : 1280.0;
  const double    height  = count > 4 ? atof(argv[4]) : window ? FH_WINDOW_HEIGHT : 720.0;
  const double    scale   = count > 5 ? atof(argv[5]) : 1.0;
  const FhPicture picture = {.title = "Made-up session", .width = width, .height = height, .scale = scale};
  FhFrame* const  frames  = (FhFrame*)calloc(n + 1, sizeof(FhFrame));
  session_fill(frames, n);
  const int error = window ? window_png(argv[1], frames, n, (int)width, (int)height, (int)scale - 1, day)
                           : fh_view_png(argv[1], &picture, frames, n);
  if (error) {
    fprintf(stderr, "shot: cannot write %s: %s\n", argv[1], strerror(error));
  }
  free(frames);
  return error ? 1 : 0;
}
