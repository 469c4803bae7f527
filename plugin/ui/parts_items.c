// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/window.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>

#define RADIUS 5.0
#define BAR 5.0
#define ONE_LINE 165.0 ///< Least width for name and value on one line, units

static const FhTextStyle name_style   = {12.0, false, FH_LEFT, FH_INK_TEXT};
static const FhTextStyle value_style  = {12.5, true, FH_RIGHT, FH_INK_TEXT};
static const FhTextStyle button_style = {13.5, true, FH_CENTRE, FH_INK_TEXT};

/// Focus is a double line, the pointer a single one
static void
draw_focus(const FhPen* const pen, const FhBox box, const FhModel* const model, const int item)
{
  if (model->focus == item) {
    fh_frame(pen, box, RADIUS, model->keyed ? 2.4 : 1.4, FH_INK_TEXT); // Within: what stands beside is drawn over what leaves it
  } else if (model->hover == item) {
    fh_frame(pen, box, RADIUS, 1.0, FH_INK_DIM);
  }
}

static void
draw_value(const FhPen* const pen, const FhBox box, const FhModel* const model, const int item)
{
  const FhControl         control = fh_items[item].control;
  const FhPortInfo* const port    = &fh_controls[control];
  const bool              typing  = model->typing && model->focus == item;
  char                    text[48];
  fh_value_text(control, model->v[control], text, sizeof(text));
  if (typing) {
    snprintf(text, sizeof(text), "%s|%s%s", model->typed, port->unit[0] ? " " : "", port->unit);
  }
  fh_box(pen, box, RADIUS, FH_INK_PANEL, 1.0);
  FhTextStyle value = value_style;
  value.ink         = typing && model->refused ? FH_INK_FAULT : FH_INK_TEXT;
  if (box.w < ONE_LINE) {
    fh_text(pen, (FhBox){box.x + 8.0, box.y + 1.0, box.w - 14.0, 14.0}, name_style, port->name);
    fh_text(pen, (FhBox){box.x + 8.0, box.y + 14.0, box.w - 16.0, 15.0}, value, text);
  } else {
    const double part = 0.56 * box.w;
    fh_text(pen, (FhBox){box.x + 8.0, box.y + 3.0, part - 8.0, 22.0}, name_style, port->name);
    fh_text(pen, (FhBox){box.x + part, box.y + 3.0, box.w - part - 8.0, 22.0}, value, text);
  }

  // The bar runs from zero where the range has both signs
  const FhBox  track = {box.x + 8.0, box.y + box.h - BAR - 4.0, box.w - 16.0, BAR};
  const double zero  = port->min < 0.0f && port->max > 0.0f ? fh_to_part(control, 0.0f) : 0.0;
  const double now   = fh_to_part(control, model->v[control]);
  const double usual = fh_to_part(control, port->def);
  fh_box(pen, track, BAR / 2.0, FH_INK_GRID, 1.0);
  fh_box(pen, (FhBox){track.x + fmin(zero, now) * track.w, track.y, fabs(now - zero) * track.w, BAR}, 0.0, FH_INK_CLOSE, 1.0);
  fh_box(pen, (FhBox){track.x + usual * track.w - 0.5, track.y - 3.0, 1.0, 2.5}, 0.0, FH_INK_DIM, 1.0);
  fh_box(pen, (FhBox){track.x + now * track.w - 2.0, track.y - 2.0, 4.0, BAR + 4.0}, 1.0, FH_INK_TEXT, 1.0);
  draw_focus(pen, box, model, item);
}

static void
draw_button(const FhPen* const pen, const FhBox box, const char* const text, const FhInk ink, const bool on)
{
  fh_box(pen, box, RADIUS, on ? ink : FH_INK_PANEL, 1.0);
  fh_frame(pen, box, RADIUS, 1.0, on ? ink : FH_INK_EDGE);
  FhTextStyle style = button_style;
  style.ink         = on ? FH_INK_GROUND : ink;
  fh_text(pen, (FhBox){box.x + 6.0, box.y, box.w - 12.0, box.h}, style, text);
}

static void
draw_switch(const FhPen* const pen, const FhBox box, const FhModel* const model, const int item)
{
  const FhControl control = fh_items[item].control;
  const bool      on      = model->v[control] > 0.0f;
  if (control == FH_MUTED) {
    draw_button(pen, box, on ? "Muted" : "Live", on ? FH_INK_FAULT : FH_INK_OPEN, on);
  } else if (control == FH_ENABLED) {
    draw_button(pen, box, on ? "Bypass" : "Bypassed", on ? FH_INK_TEXT : FH_INK_LINE, !on);
  } else {
    fh_box(pen, box, RADIUS, FH_INK_PANEL, 1.0);
    const double width = box.w < ONE_LINE ? 36.0 : 56.0;
    const FhBox  knob  = {box.x + box.w - width - 8.0, box.y + 7.0, width, box.h - 14.0};
    fh_text(pen, (FhBox){box.x + 8.0, box.y, knob.x - box.x - 12.0, box.h}, name_style, fh_controls[control].name);
    fh_box(pen, knob, RADIUS, on ? FH_INK_CLOSE : FH_INK_PANEL, 1.0);
    fh_frame(pen, knob, RADIUS, 1.0, on ? FH_INK_CLOSE : FH_INK_EDGE);
    const FhTextStyle style = {12.0, true, FH_CENTRE, on ? FH_INK_GROUND : FH_INK_TEXT};
    fh_text(pen, knob, style, on ? "On" : "Off");
  }
}

static void
draw_learn(const FhPen* const pen, const FhBox box, const FhModel* const model, const int item)
{
  const FhItem* const it = &fh_items[item];
  const char* const   name = it->choice == FH_LEARN_AMBIENT ? "Learn ambient" : "Learn solo";
  char text[48];
  if (model->guide.step == FH_GUIDE_COUNT && model->guide.learn == it->choice) {
    snprintf(text, sizeof(text), "Starts in %.0f s", ceil(model->guide.until - model->now));
    draw_button(pen, box, text, FH_INK_LINE, true);
    return;
  }
  if (fh_model_learning(model) != it->choice) {
    draw_button(pen, box, name, FH_INK_TEXT, false);
    return;
  }
  const double progress = fh_model_progress(model);
  snprintf(text, sizeof(text), "Learning: %.0f %%", progress);
  draw_button(pen, box, text, FH_INK_TEXT, false);
  fh_box(pen, (FhBox){box.x + 3.0, box.y + box.h - 9.0, (box.w - 6.0) * progress / 100.0, 6.0}, 2.0, FH_INK_LINE, 1.0);
}

static void
draw_choice(const FhPen* const pen, const FhLayout* const layout, const FhModel* const model, const int item)
{
  const FhControl control = fh_items[item].control;
  const int       now     = (int)lrintf(model->v[control]);
  const FhBox     box     = layout->items[item];
  fh_box(pen, box, RADIUS, FH_INK_PANEL, 1.0);
  for (int point = 0; point <= (int)fh_controls[control].max; ++point) {
    const FhBox segment = fh_layout_segment(layout, item, point);
    const FhBox inner   = {segment.x + 2.0, segment.y + 16.0, segment.w - 4.0, segment.h - 18.0};
    const bool  on      = point == now;
    const FhInk ink     = point == FH_LISTEN_OUTPUT ? FH_INK_CLOSE : FH_INK_LINE;
    if (on) {
      fh_box(pen, inner, RADIUS - 1.0, ink, 1.0);
    }
    const FhTextStyle style = {12.0, on, FH_CENTRE, on ? FH_INK_GROUND : FH_INK_TEXT};
    fh_text(pen, inner, style, fh_choice_word(control, point));
  }
  fh_text(pen, (FhBox){box.x + 8.0, box.y + 1.0, box.w - 16.0, 15.0}, (FhTextStyle){12.0, false, FH_LEFT, FH_INK_DIM}, "Listen to");
  fh_frame(pen, box, RADIUS, 1.0, FH_INK_EDGE);
}

static void
draw_sets(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  fh_box(pen, box, RADIUS, FH_INK_PANEL, 1.0);
  for (int set = 0; set < 2; ++set) {
    const FhBox half = {box.x + 2.0 + 0.5 * set * box.w, box.y + 2.0, 0.5 * box.w - 4.0, box.h - 4.0};
    const bool  on   = set == model->set;
    if (on) {
      fh_box(pen, half, RADIUS - 1.0, FH_INK_CLOSE, 1.0);
    }
    FhTextStyle style = button_style;
    style.ink         = on ? FH_INK_GROUND : FH_INK_TEXT;
    fh_text(pen, half, style, set ? "B" : "A");
  }
  fh_frame(pen, box, RADIUS, 1.0, FH_INK_EDGE);
}

/// The heads of pages: what is to be looked at, what is worked, values
static void
draw_pages(const FhPen* const pen, const FhLayout* const layout, const FhModel* const model, const int item)
{
  const FhBox box     = layout->items[item];
  const int   buttons = layout->item_page[0];
  (void)model;
  fh_box(pen, box, RADIUS, FH_INK_PANEL, 1.0);
  for (int page = 0; page < layout->pages; ++page) {
    const FhBox segment = fh_layout_segment(layout, item, page);
    const FhBox inner   = {segment.x + 2.0, segment.y + 2.0, segment.w - 4.0, segment.h - 4.0};
    const bool  on      = page == layout->page;
    const int   values  = page - (buttons ? 2 : 1);
    char        text[32];
    snprintf(text, sizeof(text), values > 0 ? "Values %d" : "Values", values + 1);
    if (on) {
      fh_box(pen, inner, RADIUS - 1.0, FH_INK_CLOSE, 1.0);
    }
    const FhTextStyle style = {13.0, true, FH_CENTRE, on ? FH_INK_GROUND : FH_INK_TEXT};
    fh_text(pen, inner, style, !page ? "Picture" : page == buttons ? "Buttons" : text);
  }
  fh_frame(pen, box, RADIUS, 1.0, FH_INK_EDGE);
}

void
fh_draw_item(const FhPen* const pen, const FhLayout* const layout, const FhModel* const model, const int item)
{
  const FhBox box = layout->items[item];
  switch (fh_items[item].kind) {
  case FH_ITEM_SWITCH:
    draw_switch(pen, box, model, item);
    break;
  case FH_ITEM_LEARN:
    draw_learn(pen, box, model, item);
    break;
  case FH_ITEM_CLEAR:
    draw_button(pen,
                box,
                model->now < model->clear_armed ? "Really clear?" : "Clear learnt",
                model->now < model->clear_armed ? FH_INK_LINE : FH_INK_TEXT,
                model->now < model->clear_armed);
    break;
  case FH_ITEM_COLOURS:
    draw_button(pen, box, model->day ? "Dark" : "Day", FH_INK_TEXT, false);
    break;
  case FH_ITEM_FREEZE:
    draw_button(pen, box, model->look.frozen ? "Go on" : "Freeze", model->look.frozen ? FH_INK_LINE : FH_INK_TEXT, model->look.frozen);
    break;
  case FH_ITEM_UNDO:
    draw_button(pen, box, "Undo", fh_model_can_undo(model) ? FH_INK_TEXT : FH_INK_DIM, false);
    break;
  case FH_ITEM_REDO:
    draw_button(pen, box, "Redo", fh_model_can_redo(model) ? FH_INK_TEXT : FH_INK_DIM, false);
    break;
  case FH_ITEM_SETS:
    draw_sets(pen, box, model);
    break;
  case FH_ITEM_PAGES:
    draw_pages(pen, layout, model, item);
    break;
  case FH_ITEM_CHOICE:
    draw_choice(pen, layout, model, item);
    break;
  case FH_ITEM_VALUE:
    draw_value(pen, box, model, item);
    return;
  }
  draw_focus(pen, box, model, item);
}
