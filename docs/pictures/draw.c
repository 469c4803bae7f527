// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Draws the window as it stands at some time of a take, for README and manual: runs the take through the engine, with
// the field learnt from its first seconds.
//
//   draw TAKE LEARN_SECONDS AT_SECONDS FILE.png WIDTH HEIGHT [numbered|unplugged]   (pixels)
//
// numbered: with a number at each part of the window; unplugged: the ambient microphone is silent for the last two
// seconds.

#include "dsp/engine.h"
#include "ui/window.h"

#include <sndfile.h>

#include <errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FRAMES_PER_SECOND 30

typedef struct {
  float*   close;
  float*   ambient;
  FhFrame* frames;
  size_t   samples;
  size_t   count; ///< Of frames
  double   rate;
  double   unplugged; ///< From then on the ambient is silent, s
} Session;

static int
fail(const char* const what, const char* const why)
{
  fprintf(stderr, "draw: %s: %s\n", what, why);
  return 1;
}

static bool
read_take(const char* const path, Session* const s)
{
  SF_INFO        info = {0};
  SNDFILE* const file = sf_open(path, SFM_READ, &info);
  if (!file || info.channels != 2) {
    sf_close(file);
    return false;
  }
  s->samples           = (size_t)info.frames;
  s->rate              = info.samplerate;
  s->close             = (float*)calloc(s->samples + 1, sizeof(float));
  s->ambient           = (float*)calloc(s->samples + 1, sizeof(float));
  float* const samples = (float*)calloc(2 * s->samples + 1, sizeof(float));
  const bool   whole   = s->close && s->ambient && samples && sf_readf_float(file, samples, info.frames) == info.frames;
  for (size_t i = 0; whole && i < s->samples; ++i) {
    s->close[i]   = samples[2 * i];
    s->ambient[i] = samples[2 * i + 1];
  }
  free(samples);
  sf_close(file);
  return whole;
}

/// Run the take from its beginning up to `until` seconds; keep frames if asked
static void
run(Session* const s, FhEngine* const engine, const double until, const FhLearn learn, const bool keep)
{
  static float sound[65536];
  const size_t block = (size_t)(s->rate / FRAMES_PER_SECOND);
  float        v[FH_CONTROL_COUNT];
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    v[c] = fh_controls[c].def;
  }
  for (size_t i = 0; (i + 1) * block <= s->samples && (double)(i * block) < until * s->rate; ++i) {
    float* const       out[]   = {sound};
    const float* const close[] = {s->close + i * block};
    const bool         plugged = (double)(i * block) < s->unplugged * s->rate;
    v[FH_LEARN]                = i ? (float)learn : FH_LEARN_OFF; // It starts on the edge
    fh_engine_set(engine, v);
    fh_engine_run(engine, close, plugged ? s->ambient + i * block : NULL, out, NULL, (uint32_t)block);
    fh_engine_meters(engine, v);
    if (keep) {
      s->frames[s->count].seconds = (double)(i * block) / s->rate;
      memcpy(s->frames[s->count++].v, v, sizeof(v));
    }
  }
}

/// Learn the field from the first seconds, then run the whole take with what was learnt
static bool
make_session(Session* const s, const double learn)
{
  const size_t size   = (fh_engine_size(s->rate, 1) + 63) / 64 * 64;
  void* const  memory = aligned_alloc(64, size);
  s->frames           = (FhFrame*)calloc((size_t)((double)s->samples / s->rate * FRAMES_PER_SECOND) + 2, sizeof(FhFrame));
  const bool whole    = memory && s->frames;
  if (whole) {
    FhEngine* const engine = fh_engine_init(memory, s->rate, 1);
    run(s, engine, learn, FH_LEARN_AMBIENT, false);
    run(s, engine, 0.2, FH_LEARN_OFF, false); // Ends the learning
    fh_engine_reset(engine);
    run(s, engine, 1e9, FH_LEARN_OFF, true);
  }
  free(memory);
  return whole;
}

static void
ignore(void* const data, const FhControl control, const float value)
{
  (void)data;
  (void)control;
  (void)value;
}

/// A number in a disc
static void
draw_number(const FhPen* const pen, const double x, const double y, const int number)
{
  const double r = 10.5;
  char         text[12];
  snprintf(text, sizeof(text), "%d", number);
  fh_box(pen, (FhBox){x - r - 2.0, y - r - 2.0, 2.0 * r + 4.0, 2.0 * r + 4.0}, r + 2.0, FH_INK_GROUND, 1.0);
  fh_box(pen, (FhBox){x - r, y - r, 2.0 * r, 2.0 * r}, r, FH_INK_TEXT, 1.0);
  const FhTextStyle style = {number > 9 ? 12.5 : 14.0, true, FH_CENTRE, FH_INK_GROUND};
  fh_text(pen, (FhBox){x - r, y - r, 2.0 * r, 2.0 * r}, style, text);
}

/// The numbers that docs/manual.md speaks of
static void
draw_numbers(cairo_t* const cr, const FhLayout* const l)
{
  const struct {
    FhBox  box;
    double part; ///< How far down its right edge, 0..1
  } marks[] = {
    {l->state, 0.88},   {l->separation, 0.88}, {l->fault, 0.88},   {l->levels, 0.1},   {l->gains, 0.5},
    {l->bands, 0.15},   {l->items[0], 0.0},    {l->items[1], 0.0}, {l->items[4], 0.0}, {l->items[5], 0.0},
    {l->learnt, 0.5},   {l->groups[4], 0.5},   {{l->help.x, l->help.y, l->help.w - 120.0, l->help.h}, 0.5},
  };
  cairo_save(cr);
  cairo_scale(cr, l->scale, l->scale);
  const FhPen pen = fh_pen(cr, &fh_night, l->scale);
  for (size_t i = 0; i < sizeof(marks) / sizeof(marks[0]); ++i) {
    const FhBox* const box = &marks[i].box;
    draw_number(&pen, box->x + box->w - 10.0, box->y + marks[i].part * box->h, (int)i + 1);
  }
  cairo_restore(cr);
}

static int
draw_window(const char* const path,
            const Session* const s,
            const int            width,
            const int            height,
            const double         at,
            const bool           numbered)
{
  static FhModel model;
  fh_model_init(&model, (FhHost){ignore, NULL, NULL}, 0.0);
  model.variant = &fh_variants[0];
  for (size_t i = 0; i < s->count && s->frames[i].seconds <= at; ++i) {
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
      fh_model_hear(&model, (FhControl)c, s->frames[i].v[c]);
    }
    fh_model_tick(&model, s->frames[i].seconds);
  }
  const FhLayout         layout  = fh_layout(width, height);
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t* const         cr      = cairo_create(surface);
  int                    error   = fh_window_draw(cr, &layout, &model, NULL, NULL);
  if (!error && numbered) {
    draw_numbers(cr, &layout);
  }
  error                          = error ? error : cairo_surface_write_to_png(surface, path) ? EIO : 0;
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return error;
}

int
main(const int argc, char** const argv)
{
  const bool numbered  = argc == 8 && !strcmp(argv[7], "numbered");
  const bool unplugged = argc == 8 && !strcmp(argv[7], "unplugged");
  if (argc != 7 && !numbered && !unplugged) {
    return fail("usage", "draw TAKE LEARN_SECONDS AT_SECONDS FILE.png WIDTH HEIGHT [numbered|unplugged]");
  }
  Session session = {.unplugged = unplugged ? atof(argv[3]) - 2.0 : 1e9};
  int     status  = 0;
  if (!read_take(argv[1], &session)) {
    status = fail(argv[1], "not a sound file with a close and an ambient channel");
  } else if (!make_session(&session, atof(argv[2]))) {
    status = fail(argv[1], "no memory");
  } else {
    const int error = draw_window(argv[4], &session, atoi(argv[5]), atoi(argv[6]), atof(argv[3]), numbered);
    status          = error ? fail(argv[4], strerror(error)) : 0;
  }
  free(session.frames);
  free(session.ambient);
  free(session.close);
  return status;
}
