// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The window at ten sizes, each on all its pages. What is drawn there is also written to ui_sizes/ in the folder the test
// runs in, to be looked at.

#define _POSIX_C_SOURCE 200809L // mkdir

#include "drawn.h"
#include "session.h"

#include "../dsp/check.h"

#include "ui/fault_words.h"
#include "ui/strip.h"
#include "ui/words.h"

#include <stdio.h>
#include <sys/stat.h>

enum { FRAMES = 300, SIZES = 10 };

static const int sizes[SIZES][2] = {{480, 320},  {640, 480},  {768, 512},  {960, 640},   {1500, 500},
                                    {480, 1000}, {400, 800}, {1366, 700}, {1920, 1080}, {3840, 2160}};

/// Values that make the longest and strangest words
static void
set_case(FhModel* const model, const int which)
{
  float* const v = model->v;
  switch (which) {
  case 0:
    break;
  case 1: // Trouble everywhere
    v[FH_FAULT]      = FH_FAULT_AMBIENT_IS_CLOSE;
    v[FH_SEPARATION] = 2.0f;
    v[FH_EXCESS]     = -60.0f;
    v[FH_OPEN_AT]    = -60.0f;
    v[FH_MUTED]      = 1.0f;
    v[FH_LISTEN]     = FH_LISTEN_REMOVED;
    model->focus     = 6;
    model->typing = model->refused = true;
    strcpy(model->typed, "123456789012345");
    fh_look_freeze(model, true);
    break;
  case 2: // Open and learning
    v[FH_STATE]      = FH_STATE_OPEN;
    v[FH_SEPARATION] = 60.0f;
    v[FH_LEARN]      = FH_LEARN_AMBIENT;
    v[FH_LEARNT]     = 62.0f;
    v[FH_FAULT]      = FH_FAULT_NO_AMBIENT;
    model->hover     = 9;
    fh_look_freeze(model, true);
    fh_look_point(model, 5.0);
    break;
  case 3: // Bypassed, all inputs at their ends
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
      v[c] = fh_controls[c].flow == FH_INPUT ? fh_controls[c].max : v[c];
    }
    v[FH_ENABLED]      = 0.0f;
    v[FH_SEPARATION]   = 7.0f;
    v[FH_FAULT]        = FH_FAULT_CLIPPING;
    model->clear_armed = model->now + 1.0;
    model->focus       = 3;
    break;
  default: // Each fault, with each state and verdict
    v[FH_FAULT]      = (float)(which - 3);
    v[FH_STATE]      = (float)(which % (FH_STATE_CLOSING + 1));
    v[FH_SEPARATION] = (float)(7 * (which % 4));
    v[FH_LEARN]      = (float)(which % (FH_LEARN_SOLO + 1));
    v[FH_OPEN_AT]    = -3.0f;
    break;
  }
  memcpy(model->calm, model->v, sizeof(model->calm));
}

/// No text is under 12 pixels: our own line, at 96 dots an inch
static void
check_sizes(const Drawn* const d, const double scale)
{
  for (int t = 0; t < d->text_count; ++t) {
    const double pixels = d->texts[t].drawn.h * d->scale;
    if (pixels < 12.0 * scale - 0.001) {
      fail_msg("\"%s\" has %.1f pixels at %d by %d", d->texts[t].text, pixels, d->width, d->height);
    }
  }
}

static const char*
head_word(const FhModel* const model)
{
  const bool muted  = model->v[FH_MUTED] > 0.0f;
  const bool passes = fh_is_blind(model->v);
  return model->v[FH_ENABLED] <= 0.0f ? "Bypassed"
         : muted                      ? "Muted"
         : passes                     ? "Passing"
                                      : fh_state_word((int)model->v[FH_STATE]);
}

static void
write_down(const Drawn* const d, const int size, const int page)
{
  char path[80];
  mkdir("ui_sizes", 0755);
  snprintf(path, sizeof(path), "ui_sizes/%dx%d-%d.png", sizes[size][0], sizes[size][1], page + 1);
  assert_int_equal(cairo_surface_write_to_png(d->surface, path), CAIRO_STATUS_SUCCESS);
}

static void
texts_read_at_every_size(void** const state)
{
  (void)state;
  static FhFrame frames[FRAMES];
  static FhModel model;
  session_fill(frames, FRAMES);
  for (int i = 0; i < SIZES; ++i) {
    const double scale = i == 2 ? 1.25 : 1.0;
    const int    w = (int)(sizes[i][0] * scale), h = (int)(sizes[i][1] * scale);
    const int    pages = fh_layout_page(w, h, scale, 0).pages;
    for (int which = 0; which < 3 + FH_FAULT_COUNT; ++which) {
      for (int page = 0; page < pages; ++page) {
        play(&model, frames, FRAMES);
        if (which) {
          set_case(&model, which);
        }
        model.day      = which % 2;
        model.variant  = &fh_variants[which % 3];
        Drawn* const d = draw_page(w, h, scale, page, &model);
        if (!which) {
          write_down(d, i, page);
        }
        check_sizes(d, scale);
        check_texts(d, model.day ? &fh_day : &fh_night, 4.5);
        assert_non_null(find_text(d, head_word(&model))); // State and fault are on every page
        assert_non_null(find_text(d, fh_fault_word((int)model.v[FH_FAULT])));
        drawn_free(d);
      }
    }
  }
}

static bool
apart(const FhBox* const a, const FhBox* const b)
{
  return a->x + a->w <= b->x + 1e-6 || b->x + b->w <= a->x + 1e-6 || a->y + a->h <= b->y + 1e-6 || b->y + b->h <= a->y + 1e-6;
}

/// All boxes of a page that are there
static int
boxes_of(const FhLayout* const l, const FhBox* boxes[])
{
  const FhBox* const parts[] = {&l->state, &l->separation, &l->fault, &l->strip, &l->bands, &l->learnt, &l->help};
  int                n       = 0;
  for (size_t i = 0; i < sizeof(parts) / sizeof(parts[0]); ++i) {
    boxes[n] = parts[i];
    n += fh_is_there(parts[i]);
  }
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    boxes[n] = &l->items[i];
    n += fh_is_there(&l->items[i]);
  }
  return n;
}

/// One page: what is touched is 40 units high at least (our own line; 44 and 48 are common for thumbs, 24 is the least in
/// WCAG 2.2, success criterion 2.5.8), nothing lies on another, nothing leaves the window
static void
check_page(const FhLayout* const l, bool seen[FH_ITEM_COUNT])
{
  const FhBox* boxes[7 + FH_ITEM_COUNT];
  const int    n = boxes_of(l, boxes);
  for (int i = 0; i < n; ++i) {
    const FhBox* const b = boxes[i];
    if (b->x < 0.0 || b->y < 0.0 || b->x + b->w > l->width + 1e-6 || b->y + b->h > l->height + 1e-6) {
      fail_msg("box %d leaves a window of %d by %d", i, l->pixel_width, l->pixel_height);
    }
    for (int k = 0; k < i; ++k) {
      if (!apart(b, boxes[k])) {
        fail_msg("boxes %d and %d lie on each other at %d by %d", k, i, l->pixel_width, l->pixel_height);
      }
    }
  }
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    if (fh_is_there(&l->items[i])) {
      const bool every = l->item_page[i] == FH_EVERY_PAGE || l->pages == 1;
      assert_true(l->items[i].h >= 40.0 && l->items[i].w >= 60.0);
      assert_true(every || l->item_page[i] == l->page);
      seen[i] = true;
    }
  }
}

// Every size from 480 by 320 on, in steps: nothing is lost, whatever the shape
static void
nothing_is_lost_at_any_size(void** const state)
{
  (void)state;
  for (int width = 480; width <= 2000; width += 37) {
    for (int height = 320; height <= 1400; height += 23) {
      const int pages               = fh_layout(width, height).pages;
      bool      seen[FH_ITEM_COUNT] = {false};
      bool      looked = false, known = false, judged = false;
      for (int page = 0; page < pages; ++page) {
        const FhLayout l = fh_layout_page(width, height, 1.0, page);
        check_page(&l, seen);
        assert_true(l.scale >= 1.0);
        assert_true(fh_is_there(&l.state) && fh_is_there(&l.fault));
        looked = looked || (fh_is_there(&l.levels) && l.levels.h >= 40.0);
        known  = known || fh_is_there(&l.learnt);
        judged = judged || fh_is_there(&l.separation);
      }
      assert_true(looked && known && judged);
      for (int i = 0; i < FH_ITEM_COUNT; ++i) {
        const bool idle = fh_items[i].kind == FH_ITEM_PAGES && pages == 1;
        if (seen[i] == idle) {
          fail_msg("item %d is on %s page at %d by %d", i, idle ? "a" : "no", width, height);
        }
      }
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(texts_read_at_every_size),
    cmocka_unit_test(nothing_is_lost_at_any_size),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
