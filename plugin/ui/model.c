// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/model.h"

#include <math.h>
#include <string.h>

#define LEARN_SECONDS 16.0 ///< The engine ends learning after 15 s; the button follows
#define REST_SECONDS 0.15  ///< How long a port must rest, so that any block size sees the edge
#define CALM_SECONDS 0.3   ///< How long a figure stands
#define EDIT_SECONDS 0.5   ///< Steps no further apart are one edit
#define LATE_SECONDS 0.8   ///< A press so soon after a count-down was meant to end it
#define ARMED_SECONDS 4.0  ///< Time for the second press of clear

void
fh_model_init(FhModel* const model, const FhHost host, const double now)
{
  memset(model, 0, sizeof(*model));
  model->host = host;
  model->now  = now;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    model->v[i] = model->calm[i] = fh_controls[i].def;
  }
  model->preset = FH_NO_PRESET;
  model->focus = model->hover = model->drag = model->click_item = FH_NO_ITEM;
  model->click_time = model->calm_at = model->learn_counted = -1.0;
}

static void
note_learning(FhModel* const model, const float before)
{
  if (model->v[FH_LEARN] != before && model->v[FH_LEARN] > 0.0f) {
    model->learn_since = model->now;
    model->learn_low   = false;
  }
}

void
fh_model_hear(FhModel* const model, const FhControl control, const float value)
{
  const float before = model->v[FH_LEARN];
  if (model->drag == FH_NO_ITEM || fh_items[model->drag].control != control) {
    const float was    = model->v[control];
    model->v[control]  = fh_clamp(control, value);
    model->values_come = model->values_come || (fh_controls[control].flow == FH_INPUT && model->v[control] != was);
  }
  note_learning(model, before);
}

static void
add_change(FhModel* const model, const FhChange change)
{
  if (model->change_done == FH_CHANGES) {
    memmove(model->changes, model->changes + 1, (FH_CHANGES - 1) * sizeof(FhChange));
    --model->change_done;
  }
  model->changes[model->change_done++] = change;
  model->change_count                  = model->change_done; // What was taken back is gone
}

/// Something was learnt or cleared. The plugin keeps what was before the last time only
static void
note_learnt(FhModel* const model)
{
  int kept = 0;
  for (int i = 0; i < model->change_done; ++i) {
    model->changes[kept] = model->changes[i];
    kept += model->changes[i].control != FH_LEARN;
  }
  model->change_done = kept;
  add_change(model, (FhChange){FH_LEARN, 0.0f, 0.0f, model->set});
  model->change_time = -EDIT_SECONDS;
  model->change_held = false;
}

static void
note_change(FhModel* const model, const FhControl control, const float from, const float to)
{
  if (control == FH_LEARN || control == FH_CLEAR) {
    return;
  }
  const bool      held   = model->drag != FH_NO_ITEM;
  FhChange* const newest = &model->changes[model->change_done > 0 ? model->change_done - 1 : 0];
  const bool      stepped = !held && !model->change_held && model->now - model->change_time < EDIT_SECONDS;
  const bool      goes_on = model->change_done > 0 && newest->control == control && newest->to == from &&
                          newest->set == model->set;
  if (goes_on && ((held && model->change_held) || stepped)) {
    newest->to = to;
  } else {
    add_change(model, (FhChange){control, from, to, model->set});
  }
  model->change_count = model->change_done;
  model->change_time  = model->now;
  model->change_held  = held;
}

void
fh_model_turn_sets(FhModel* const model)
{
  for (int i = 0; i < FH_ITEM_COUNT; ++i) {
    const FhControl control = fh_items[i].control;
    if (fh_items[i].group >= 0) {
      const float now = model->v[control];
      if (model->other_known && model->other[control] != now) {
        model->v[control] = model->other[control];
        model->host.write(model->host.data, control, model->v[control]);
      }
      model->other[control] = now;
    }
  }
  model->set         = !model->set;
  model->values_come = true;
  model->other_known = true;
  model->change_time = -EDIT_SECONDS; // What comes next is an edit of its own
}

/// Write an end of a change that is no edit of its own
static void
step_change(FhModel* const model, const FhChange* const change, const float value)
{
  const FhControl control = change->control;
  if (change->set != model->set && control != FH_LEARN) {
    fh_model_turn_sets(model);
  }
  if (control == FH_LEARN) {
    fh_guide_count(&model->guide, FH_LEARN_OFF, model->now);
    fh_model_set(model, FH_LEARN, FH_LEARN_BACK);
  } else if (value != model->v[control]) {
    model->v[control] = value;
    model->host.write(model->host.data, control, value);
  }
  const bool keeps = model->focus != FH_NO_ITEM && fh_items[model->focus].control == FH_NO_CONTROL; // Undo, pressed again
  for (int i = 0; i < FH_ITEM_COUNT && !keeps; ++i) {
    model->focus = fh_items[i].control == control ? i : model->focus;
  }
  model->change_time = -EDIT_SECONDS; // What comes next is an edit of its own
  model->change_held = false;
}

bool
fh_model_can_undo(const FhModel* const model)
{
  const bool counts = model->guide.step == FH_GUIDE_COUNT;
  return model->drag == FH_NO_ITEM && (counts || (model->change_done > 0 && !fh_model_learning(model)));
}

bool
fh_model_can_redo(const FhModel* const model)
{
  return model->drag == FH_NO_ITEM && model->change_done < model->change_count && !fh_model_learning(model);
}

bool
fh_model_undo(FhModel* const model)
{
  const bool can = fh_model_can_undo(model);
  if (can && model->guide.step == FH_GUIDE_COUNT) { // What has not begun is only left
    fh_guide_count(&model->guide, FH_LEARN_OFF, model->now);
  } else if (can) {
    const FhChange* const change = &model->changes[--model->change_done];
    step_change(model, change, change->from);
  }
  return can;
}

bool
fh_model_redo(FhModel* const model)
{
  const bool can = fh_model_can_redo(model);
  if (can) {
    const FhChange* const change = &model->changes[model->change_done++];
    step_change(model, change, change->to);
  }
  return can;
}

void
fh_model_set(FhModel* const model, const FhControl control, const float value)
{
  const float before  = model->v[FH_LEARN];
  const float clamped = fh_clamp(control, value);
  const float from    = model->v[control];
  if (clamped != model->v[control]) {
    model->v[control] = clamped;
    model->host.write(model->host.data, control, clamped);
    note_learning(model, before);
    note_change(model, control, from, clamped);
  }
}

int
fh_model_learning(const FhModel* const model)
{
  return (int)model->v[FH_LEARN];
}

double
fh_model_progress(const FhModel* const model)
{
  const double told = (double)model->v[FH_LEARNT]; // 100 may be that of an earlier Learn
  const double time = 100.0 * (model->now - model->learn_since) / LEARN_SECONDS;
  return told < 100.0 ? told : fmin(time, 100.0);
}

bool
fh_has_ambient(const float v[FH_CONTROL_COUNT])
{
  const bool missing = lrintf(v[FH_FAULT]) == FH_FAULT_NO_AMBIENT;
  return !missing && v[FH_AMBIENT_LEVEL] > -100.0f && v[FH_PICKUP_LEVEL] > -110.0f;
}

const FhPalette*
fh_model_palette(const FhModel* const model)
{
  return model->day ? &fh_day : &fh_night;
}

static void
keep_history(FhModel* const model)
{
  FhHistory* const history = &model->history;
  const double     last    = history->written ? history->frames[(history->written - 1) % FH_HISTORY].seconds : -1.0;
  if (history->written && model->now - last < 1.0 / FH_HISTORY_RATE) {
    return;
  }
  FhFrame* const frame = &history->frames[history->written++ % FH_HISTORY];
  frame->seconds       = model->now;
  memcpy(frame->v, model->v, sizeof(frame->v));
}

static void
end_learning(FhModel* const model)
{
  if (fh_model_learning(model) == FH_LEARN_BACK) {
    if (model->now - model->learn_since > REST_SECONDS) {
      fh_model_set(model, FH_LEARN, FH_LEARN_OFF);
    }
  } else if (model->v[FH_LEARN] > 0.0f) {
    model->learn_low = model->learn_low || model->v[FH_LEARNT] < fh_controls[FH_LEARNT].max;
    const bool whole = model->learn_low && model->v[FH_LEARNT] >= fh_controls[FH_LEARNT].max;
    if (whole || model->now - model->learn_since > LEARN_SECONDS) {
      fh_model_set(model, FH_LEARN, FH_LEARN_OFF);
    }
  } else if (model->learn_next && model->now >= model->learn_next_at) {
    fh_model_set(model, FH_LEARN, (float)model->learn_next);
    model->learn_next = FH_LEARN_OFF;
  }
}

FhVerdict
fh_model_verdict(const FhModel* const model)
{
  const double separation = (double)model->calm[FH_SEPARATION];
  return fh_verdict(&(FhStanding){separation == 0.0 ? (double)NAN : separation, (double)NAN, model->stood, fh_learn_is_due(model->v[FH_LEARN_RESULT])});
}

void
fh_model_tick(FhModel* const model, const double now)
{
  model->now = fmax(now, model->now);
  if (model->now - model->calm_at >= CALM_SECONDS) {
    model->calm_at = model->now;
    model->stood   = fh_model_verdict(model);
    memcpy(model->calm, model->v, sizeof(model->calm));
  }
  if (model->values_come) {
    const int found    = fh_preset_find(model->variant, model->v);
    model->preset      = found != FH_NO_PRESET ? found : model->preset;
    model->values_come = false;
  }
  const bool    listened = model->guide.step == FH_GUIDE_LISTEN;
  const FhLearn start    = fh_guide_tick(&model->guide, model->v, model->now);
  if (start) {
    model->learn_counted = model->now;
    fh_model_set(model, FH_LEARN, (float)start);
  }
  if (listened && model->guide.step != FH_GUIDE_LISTEN) {
    note_learnt(model);
  }
  end_learning(model);
  if (model->clear_off_at > 0.0 && model->now >= model->clear_off_at) {
    model->clear_off_at = 0.0;
    fh_model_set(model, FH_CLEAR, 0.0f);
  }
  keep_history(model);
}

static const FhHistory*
looked_at(const FhModel* const model)
{
  return model->look.frozen ? &model->kept : &model->history;
}

size_t
fh_model_frames(const FhModel* const model)
{
  const size_t written = looked_at(model)->written;
  return written < FH_HISTORY ? written : FH_HISTORY;
}

const FhFrame*
fh_model_frame(const FhModel* const model, const size_t age)
{
  const FhHistory* const history = looked_at(model);
  return &history->frames[(history->written - 1 - age) % FH_HISTORY];
}

/// The first press counts down, the second starts. A kind of learning starts on the edge from off; a different one under
/// way must end first
static void
press_learn(FhModel* const model, const int learn)
{
  const int before = fh_model_learning(model);
  if (before == learn && model->now - model->learn_counted < LATE_SECONDS) {
    return;
  }
  if (before) {
    fh_model_set(model, FH_LEARN, FH_LEARN_OFF);
    model->learn_next    = before == learn ? FH_LEARN_OFF : learn;
    model->learn_next_at = model->now + REST_SECONDS;
  } else if (model->guide.step == FH_GUIDE_COUNT && model->guide.learn == learn) {
    model->learn_next = FH_LEARN_OFF;
    model->guide.step = FH_GUIDE_REST;
    fh_model_set(model, FH_LEARN, (float)learn);
  } else {
    fh_guide_count(&model->guide, (FhLearn)learn, model->now);
  }
}

static void
press_clear(FhModel* const model)
{
  if (model->now < model->clear_armed) {
    model->clear_armed  = 0.0;
    model->clear_off_at = model->now + REST_SECONDS;
    fh_model_set(model, FH_CLEAR, 1.0f);
    note_learnt(model);
  } else {
    model->clear_armed = model->now + ARMED_SECONDS;
  }
}

void
fh_model_press(FhModel* const model, const int item)
{
  const FhItem* const it = &fh_items[item];
  switch (it->kind) {
  case FH_ITEM_SWITCH:
    fh_model_set(model, it->control, model->v[it->control] > 0.0f ? 0.0f : 1.0f);
    break;
  case FH_ITEM_LEARN:
    press_learn(model, it->choice);
    break;
  case FH_ITEM_CLEAR:
    press_clear(model);
    break;
  case FH_ITEM_CHOICE:
    fh_model_set(model,
                 it->control,
                 model->v[it->control] < fh_controls[it->control].max ? model->v[it->control] + 1.0f : 0.0f);
    break;
  case FH_ITEM_COLOURS:
    model->day = !model->day;
    break;
  case FH_ITEM_FREEZE:
    fh_look_freeze(model, !model->look.frozen);
    break;
  case FH_ITEM_UNDO:
    fh_model_undo(model);
    break;
  case FH_ITEM_REDO:
    fh_model_redo(model);
    break;
  case FH_ITEM_SETS:
    fh_model_turn_sets(model);
    break;
  case FH_ITEM_PAGES:
    model->page = model->page + 1 < model->pages ? model->page + 1 : 0;
    break;
  case FH_ITEM_VALUE:
    break;
  }
}
