// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/edit.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#define DOUBLE_CLICK 0.4 ///< Seconds
#define FINE 0.1

static void
stop_typing(FhModel* const model)
{
  model->typing = model->refused = false;
  model->typed[0]                = '\0';
}

static void
focus_on(FhModel* const model, const int item, const bool keyed)
{
  stop_typing(model);
  model->focus = item;
  model->keyed = keyed;
  model->hover = keyed ? FH_NO_ITEM : model->hover; // Help is for the focus until the pointer moves
}

/// Read figures by hand: strtod would follow the host's locale
static const char*
read_figures(const char* text, double* const number)
{
  double value = 0.0, place = 0.0;
  bool   any = false;
  for (; isdigit((unsigned char)*text) || ((*text == '.' || *text == ',') && place == 0.0); ++text) {
    if (!isdigit((unsigned char)*text)) {
      place = 1.0;
    } else if (place > 0.0) {
      place /= 10.0;
      value += place * (*text - '0');
      any = true;
    } else {
      value = 10.0 * value + (*text - '0');
      any   = true;
    }
  }
  *number = value;
  return any ? text : NULL;
}

/// What a typed unit multiplies by to give the port's own, or 0 if it does not fit
static double
unit_factor(const char* const unit, const char* const typed)
{
  const bool hertz = !strcmp(unit, "Hz");
  const bool milli = !strcmp(unit, "ms");
  if (!*typed || !strcasecmp(typed, unit)) {
    return 1.0;
  }
  if (!strcasecmp(typed, "k") || !strcasecmp(typed, "kHz")) {
    return hertz ? 1000.0 : 0.0;
  }
  if (!strcasecmp(typed, "s")) {
    return milli ? 1000.0 : 0.0;
  }
  return !strcasecmp(typed, "ms") && !strcmp(unit, "s") ? 0.001 : 0.0;
}

bool
fh_edit_parse(const FhControl control, const char* text, float* const value)
{
  text += strspn(text, " ");
  const double sign = *text == '-' ? -1.0 : 1.0;
  text += *text == '-' || *text == '+' ? 1 : 0;
  double number = 0.0;
  text          = read_figures(text, &number);
  if (!text) {
    return false;
  }
  text += strspn(text, " ");
  const double factor = unit_factor(fh_controls[control].unit, text);
  *value              = fh_clamp(control, (float)(sign * number * factor));
  return factor > 0.0;
}

static void
type_text(FhModel* const model, const char text)
{
  const size_t length = model->typing ? strlen(model->typed) : 0;
  if (length + 1 < sizeof(model->typed)) {
    model->typed[length]     = text;
    model->typed[length + 1] = '\0';
  }
  model->typing  = true;
  model->refused = false;
}

static bool
typing_key(FhModel* const model, const FhKey key, const char text)
{
  float value = 0.0f;
  switch (key) {
  case FH_KEY_TEXT:
    if (!isalnum((unsigned char)text) && !strchr(".,-+", text)) {
      return false;
    }
    type_text(model, text);
    return true;
  case FH_KEY_RUBOUT:
    model->refused = false;
    if (model->typed[0]) {
      model->typed[strlen(model->typed) - 1] = '\0';
    }
    model->typing = model->typed[0] != '\0';
    return true;
  case FH_KEY_ENTER:
    model->refused = !fh_edit_parse(fh_items[model->focus].control, model->typed, &value);
    if (!model->refused) {
      stop_typing(model);
      fh_model_set(model, fh_items[model->focus].control, value);
    }
    return true;
  case FH_KEY_ESCAPE:
    stop_typing(model);
    return true;
  default:
    stop_typing(model);
    return fh_edit_key(model, key, text, false);
  }
}

static void
turn_page(FhModel* const model, const int page)
{
  model->page = page < 0 || page >= model->pages ? model->page : page;
}

/// Look back with keys; Home and End are the ends of what is kept
static bool
look_key(FhModel* const model, const FhKey key, const bool fine)
{
  const double step = fine ? 0.02 : 0.1;
  switch (key) {
  case FH_KEY_MORE:
  case FH_KEY_LESS:
    fh_look_step(model, key == FH_KEY_MORE ? step : -step);
    return model->look.frozen;
  case FH_KEY_PAGE_MORE:
  case FH_KEY_PAGE_LESS:
    fh_look_mark(model, key == FH_KEY_PAGE_MORE ? 1 : -1);
    return model->look.frozen;
  case FH_KEY_HOME:
  case FH_KEY_END:
    fh_look_step(model, key == FH_KEY_END ? FH_HISTORY_SECONDS : -FH_HISTORY_SECONDS);
    return model->look.frozen;
  default:
    return false;
  }
}

/// Change the focused item; buttons take Enter only
static bool
item_key(FhModel* const model, const FhKey key, const char text, const bool fine)
{
  const FhItem* const it = &fh_items[model->focus];
  if (key == FH_KEY_ENTER) {
    fh_model_press(model, model->focus);
    return true;
  }
  if (it->kind == FH_ITEM_PAGES && (key == FH_KEY_MORE || key == FH_KEY_LESS)) {
    turn_page(model, model->page + (key == FH_KEY_MORE ? 1 : -1));
    return true;
  }
  if (it->kind == FH_ITEM_FREEZE) {
    return look_key(model, key, fine);
  }
  if (it->kind != FH_ITEM_VALUE && it->kind != FH_ITEM_CHOICE) {
    return false;
  }
  const FhPortInfo* const port = &fh_controls[it->control];
  const float             now  = model->v[it->control];
  float                   next = now;
  switch (key) {
  case FH_KEY_MORE:
  case FH_KEY_LESS:
    next = fh_stepped(it->control, now, key == FH_KEY_MORE ? 1 : -1, fine);
    break;
  case FH_KEY_PAGE_MORE:
  case FH_KEY_PAGE_LESS:
    next = fh_stepped(it->control, now, key == FH_KEY_PAGE_MORE ? 10 : -10, fine);
    break;
  case FH_KEY_HOME:
    next = port->min;
    break;
  case FH_KEY_END:
    next = port->max;
    break;
  case FH_KEY_DEFAULT:
    next = port->def;
    break;
  case FH_KEY_TEXT:
    if (it->kind != FH_ITEM_VALUE || (!isdigit((unsigned char)text) && !strchr(".,-+", text))) {
      return false;
    }
    type_text(model, text);
    return true;
  default:
    return false;
  }
  fh_model_set(model, it->control, next);
  return true;
}

bool
fh_edit_key(FhModel* const model, const FhKey key, const char text, const bool fine)
{
  if (key == FH_KEY_TEXT && text == ' ') {
    return false;
  }
  if (key == FH_KEY_TAB || key == FH_KEY_BACK_TAB) {
    const int last = FH_ITEM_COUNT - (model->pages > 1 ? 1 : 2); // The heads of pages come last
    const int next = key == FH_KEY_TAB ? (model->focus >= last ? 0 : model->focus + 1)
                                       : (model->focus <= 0 ? last : model->focus - 1);
    focus_on(model, next, true);
    return true;
  }
  if (key == FH_KEY_COLOURS) {
    model->day = !model->day;
    return true;
  }
  if (key == FH_KEY_FREEZE) {
    fh_look_freeze(model, !model->look.frozen);
    return true;
  }
  if (model->focus == FH_NO_ITEM) {
    return false;
  }
  if (key == FH_KEY_UNDO || key == FH_KEY_REDO) {
    stop_typing(model);
    return key == FH_KEY_UNDO ? fh_model_undo(model) : fh_model_redo(model);
  }
  if (model->typing) {
    return typing_key(model, key, text);
  }
  if (key == FH_KEY_ESCAPE && model->guide.step == FH_GUIDE_COUNT) {
    fh_guide_count(&model->guide, FH_LEARN_OFF, model->now);
    return true;
  }
  if (key == FH_KEY_ESCAPE) {
    focus_on(model, FH_NO_ITEM, false);
    return true;
  }
  return item_key(model, key, text, fine);
}

static void
touch(const FhModel* const model, const FhControl control, const bool grabbed)
{
  if (model->host.touch) {
    model->host.touch(model->host.data, control, grabbed);
  }
}

void
fh_edit_press(FhModel* const model, const int item, const int point, const double x, const double y)
{
  fh_edit_release(model);
  const bool twice  = item == model->click_item && model->now - model->click_time < DOUBLE_CLICK;
  model->click_item = twice ? FH_NO_ITEM : item;
  model->click_time = model->now;
  focus_on(model, item, false);
  if (item == FH_NO_ITEM) {
    return;
  }
  const FhItem* const it = &fh_items[item];
  if (it->kind == FH_ITEM_CHOICE) {
    fh_model_set(model, it->control, (float)point);
  } else if (it->kind == FH_ITEM_PAGES) {
    turn_page(model, point);
  } else if (it->kind != FH_ITEM_VALUE) {
    fh_model_press(model, item);
  } else if (twice) {
    fh_model_set(model, it->control, fh_controls[it->control].def);
  } else {
    model->drag      = item;
    model->drag_part = fh_to_part(it->control, model->v[it->control]);
    model->drag_x    = x;
    model->drag_y    = y;
    touch(model, it->control, true);
  }
}

void
fh_edit_release(FhModel* const model)
{
  if (model->drag != FH_NO_ITEM) {
    touch(model, fh_items[model->drag].control, false);
    model->drag = FH_NO_ITEM;
  }
}

void
fh_edit_move(FhModel* const model, const int item, const double x, const double y, const double width, const bool fine)
{
  model->hover = item;
  if (model->drag != FH_NO_ITEM) {
    const double way    = (x - model->drag_x) - (y - model->drag_y);
    const double change = way / width * (fine ? FINE : 1.0);
    model->drag_part    = fmin(fmax(model->drag_part + change, 0.0), 1.0);
    model->drag_x       = x;
    model->drag_y       = y;
    const FhControl control = fh_items[model->drag].control;
    if (change != 0.0) {
      model->click_item = FH_NO_ITEM;
      fh_model_set(model, control, fh_rounded(control, fh_from_part(control, model->drag_part)));
    }
  }
}

void
fh_edit_wheel(FhModel* const model, const int item, const int steps, const bool fine)
{
  if (item != FH_NO_ITEM && fh_items[item].kind == FH_ITEM_VALUE) {
    const FhControl control = fh_items[item].control;
    touch(model, control, true);
    fh_model_set(model, control, fh_stepped(control, model->v[control], steps, fine));
    touch(model, control, false);
  }
}
