// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/window.h"

#include "ui/live.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const FhTextStyle head_style  = {13.0, true, FH_LEFT, FH_INK_TEXT};

FhBox
fh_part_box(const FhLayout* const layout, const int part)
{
  switch (part) {
  case FH_PART_STATE:
    return layout->state;
  case FH_PART_SEPARATION:
    return layout->separation;
  case FH_PART_FAULT:
    return layout->fault;
  case FH_PART_LEARNT:
    return layout->learnt;
  case FH_PART_HELP:
    return layout->help;
  case FH_PART_LOOK:
    return layout->look;
  case FH_PART_TIMES:
    return layout->times;
  default:
    return part < FH_PART_ITEM ? layout->band[part - FH_PART_BAND] : layout->items[part - FH_PART_ITEM];
  }
}

/// FNV-1a, 64 bit
static uint64_t
mix(uint64_t hash, const void* const data, const size_t size)
{
  const unsigned char* const bytes = (const unsigned char*)data;
  for (size_t i = 0; i < size; ++i) {
    hash = (hash ^ bytes[i]) * 0x100000001b3u;
  }
  return hash;
}

static uint64_t
mix_int(const uint64_t hash, const long value)
{
  return mix(hash, &value, sizeof(value));
}

static uint64_t
sign_item(uint64_t hash, const FhModel* const model, const int item)
{
  const FhItem* const it = &fh_items[item];
  if (it->control != FH_NO_CONTROL) {
    hash = mix(hash, &model->v[it->control], sizeof(float));
  }
  if (it->kind == FH_ITEM_UNDO || it->kind == FH_ITEM_REDO) {
    hash = mix_int(mix_int(hash, fh_model_can_undo(model)), fh_model_can_redo(model));
  }
  hash = it->kind == FH_ITEM_FREEZE ? mix_int(hash, model->look.frozen) : hash;
  hash = it->kind == FH_ITEM_SETS ? mix_int(hash, model->set) : hash;
  if (it->kind == FH_ITEM_PAGES) {
    hash = mix_int(mix_int(hash, model->page), model->pages);
  }
  hash                   = mix_int(hash, model->focus == item ? 1 + model->keyed : 0);
  hash                   = mix_int(hash, model->hover == item);
  if (model->focus == item && model->typing) {
    hash = mix(mix_int(hash, 1 + model->refused), model->typed, strlen(model->typed));
  }
  if (it->kind == FH_ITEM_LEARN) {
    const bool learning = fh_model_learning(model) == it->choice;
    hash                = mix_int(hash, learning ? 1 + lround(fh_model_progress(model)) : 0);
    const bool counts   = model->guide.step == FH_GUIDE_COUNT && model->guide.learn == it->choice;
    hash                = mix_int(hash, counts ? lround(ceil(model->guide.until - model->now)) : 0);
  }
  return it->kind == FH_ITEM_CLEAR ? mix_int(hash, model->now < model->clear_armed) : hash;
}

uint64_t
fh_part_sign(const FhModel* const model, const int part)
{
  const float* const v    = model->v;
  const float* const calm = model->calm;
  uint64_t           hash = mix_int(mix_int(0xcbf29ce484222325u, part), model->day);
  switch (part) {
  case FH_PART_STATE:
    hash = mix_int(hash, lroundf(v[FH_STATE]) + 16 * (v[FH_MUTED] > 0.0f) + 32 * (v[FH_ENABLED] > 0.0f));
    hash = mix_int(mix_int(hash, lroundf(calm[FH_EXCESS])), lroundf(10.0f * calm[FH_OPEN_AT]));
    hash = mix_int(mix_int(hash, fh_is_blind(v)), fh_left_open(model));
    return mix_int(hash, lroundf(v[FH_LISTEN]));
  case FH_PART_SEPARATION:
    return mix_int(mix_int(hash, fh_model_verdict(model)), lroundf(floorf(calm[FH_SEPARATION])));
  case FH_PART_FAULT:
    hash = mix_int(mix_int(hash, lroundf(v[FH_FAULT])), lroundf(calm[FH_CLOSE_LEVEL]));
    hash = mix_int(mix_int(hash, lroundf(calm[FH_CLOSE_LEVEL_1])), lroundf(calm[FH_CLOSE_LEVEL_2]));
    return mix_int(hash, lroundf(calm[FH_AMBIENT_LEVEL]));
  case FH_PART_LEARNT: {
    char text[256];
    fh_learnt_text(model, text, sizeof(text));
    return mix(mix_int(hash, lroundf(v[FH_KNOWLEDGE])), text, strlen(text));
  }
  case FH_PART_HELP:
    hash = mix_int(mix_int(hash, model->hover), model->focus);
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) { // The preset may be another
      hash = fh_is_setting(c) ? mix(hash, &model->v[c], sizeof(float)) : hash;
    }
    hash = mix(mix_int(hash, model->preset), model->title, strlen(model->title));
    return mix_int(hash, model->typing + 2 * model->refused);
  case FH_PART_LOOK: {
    char text[FH_LOOK_TEXT] = "";
    fh_look_text(model, false, text, sizeof(text));
    return mix(hash, text, strlen(text));
  }
  case FH_PART_TIMES:
    return mix_int(mix_int(hash, model->look.frozen), model->look.back);
  default:
    if (part >= FH_PART_ITEM) {
      return sign_item(hash, model, part - FH_PART_ITEM);
    }
    hash = mix_int(hash, fh_is_blind(v));
    hash = mix_int(hash, lroundf(3.0f * v[FH_BAND_EXCESS_1 + 2 * (part - FH_PART_BAND)]));
    return mix_int(hash, lroundf(3.0f * v[FH_BAND_GAIN_1 + 2 * (part - FH_PART_BAND)]));
  }
}

void
fh_part_draw(const FhPen* const pen, const FhLayout* const layout, const FhModel* const model, const int part)
{
  const FhBox box = fh_part_box(layout, part);
  if (!fh_is_there(&box)) {
    return;
  }
  if (part < FH_PART_BAND || part >= FH_PART_ITEM) { // Bands lie on a ground of their own
    fh_box(pen, (FhBox){box.x - 2.0, box.y - 2.0, box.w + 4.0, box.h + 4.0}, 0.0, FH_INK_GROUND, 1.0);
  }
  switch (part) {
  case FH_PART_STATE:
    fh_draw_state(pen, box, model);
    break;
  case FH_PART_SEPARATION:
    fh_draw_separation(pen, box, model);
    break;
  case FH_PART_FAULT:
    fh_draw_fault(pen, box, model);
    break;
  case FH_PART_LEARNT:
    fh_draw_learnt(pen, box, model);
    break;
  case FH_PART_HELP:
    fh_draw_help(pen, box, model);
    break;
  case FH_PART_LOOK:
    fh_draw_look(pen, box, model);
    break;
  case FH_PART_TIMES:
    fh_draw_times(pen, box, model);
    break;
  default:
    if (part < FH_PART_ITEM) {
      fh_draw_band(pen, layout, model, part - FH_PART_BAND);
    } else {
      fh_draw_item(pen, layout, model, part - FH_PART_ITEM);
    }
    break;
  }
}

void
fh_window_ground(const FhPen* const pen, const FhLayout* const layout)
{
  fh_box(pen, (FhBox){0.0, 0.0, layout->width, layout->height}, 0.0, FH_INK_GROUND, 1.0);
  if (fh_is_there(&layout->levels)) {
    fh_draw_strip_ground(pen, layout);
  }
  if (fh_is_there(&layout->bands)) {
    fh_draw_bands_ground(pen, layout);
  }
  for (int g = 0; g < FH_GROUPS; ++g) {
    if (fh_is_there(&layout->groups[g])) {
      fh_text(pen, layout->groups[g], head_style, fh_groups[g]);
    }
  }
}

int
fh_window_draw(cairo_t* const        cr,
               const FhLayout* const layout,
               const FhModel* const  model,
               const FhTextNote      note,
               void* const           note_data)
{
  FhLive     live;
  const bool strip = fh_is_there(&layout->levels);
  const int  error = strip ? fh_live_init(&live, layout, model) : 0;
  if (error) {
    return error;
  }
  cairo_save(cr);
  cairo_scale(cr, layout->scale, layout->scale);
  FhPen pen     = fh_pen(cr, fh_model_palette(model), layout->scale);
  pen.note      = note;
  pen.note_data = note_data;
  fh_window_ground(&pen, layout);
  for (int part = 0; part < FH_PART_COUNT; ++part) {
    fh_part_draw(&pen, layout, model, part);
  }
  if (strip) {
    cairo_translate(cr, layout->levels.x, layout->levels.y);
    const size_t last = live.newest + 1;
    fh_live_draw(&pen, layout, &live, last - live.seen, last, last - live.seen);
    const double place = fh_live_column(&live, fh_look_end(model) - model->look.ago);
    if (model->look.pointed && place >= 0.0) {
      fh_draw_place(&pen, layout, place / layout->scale);
    }
    fh_live_free(&live);
  }
  cairo_restore(cr);
  return 0;
}
