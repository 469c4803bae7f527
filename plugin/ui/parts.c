// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/fault_words.h"
#include "ui/strip.h"
#include "ui/window.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define RADIUS 6.0
#define SILENT_APART 30.0f ///< A close microphone so far under the other is the one that is silent, dB
#define PI 3.14159265358979323846

static const FhTextStyle small_style = {12.5, false, FH_LEFT, FH_INK_DIM};
static const FhTextStyle line_style  = {12.5, false, FH_LEFT, FH_INK_TEXT};

/// What a head shows: a symbol, a big word, a line or two below
typedef struct {
  FhInk       ink;
  const char* word;
  const char* below;
  bool        lit; ///< Filled in its colour: seen from afar
} Head;

typedef enum { SYMBOL_RING, SYMBOL_HALF, SYMBOL_DISC, SYMBOL_CROSS, SYMBOL_TICK, SYMBOL_WARN, SYMBOL_NOW } Symbol;

static void
draw_symbol(const FhPen* const pen,
            const Symbol       symbol,
            const double       x,
            const double       y,
            const double       r,
            const FhInk        ink,
            const FhInk        back)
{
  cairo_t* const cr = pen->cr;
  cairo_new_path(cr);
  fh_ink(pen, ink, 1.0);
  cairo_set_line_width(cr, 0.26 * r);
  switch (symbol) {
  case SYMBOL_RING:
  case SYMBOL_HALF:
  case SYMBOL_DISC:
    cairo_arc(cr, x, y, 0.87 * r, 0.0, 2.0 * PI);
    cairo_stroke(cr);
    if (symbol != SYMBOL_RING) {
      cairo_arc(cr, x, y, 0.9 * r, symbol == SYMBOL_HALF ? 0.0 : -PI, PI);
      cairo_fill(cr);
    }
    break;
  case SYMBOL_CROSS:
    cairo_move_to(cr, x - 0.7 * r, y - 0.7 * r);
    cairo_line_to(cr, x + 0.7 * r, y + 0.7 * r);
    cairo_move_to(cr, x + 0.7 * r, y - 0.7 * r);
    cairo_line_to(cr, x - 0.7 * r, y + 0.7 * r);
    cairo_stroke(cr);
    break;
  case SYMBOL_TICK:
    cairo_move_to(cr, x - 0.8 * r, y + 0.05 * r);
    cairo_line_to(cr, x - 0.2 * r, y + 0.65 * r);
    cairo_line_to(cr, x + 0.85 * r, y - 0.7 * r);
    cairo_stroke(cr);
    break;
  case SYMBOL_WARN:
    cairo_move_to(cr, x, y - 0.95 * r);
    cairo_line_to(cr, x + r, y + 0.85 * r);
    cairo_line_to(cr, x - r, y + 0.85 * r);
    cairo_close_path(cr);
    cairo_fill(cr);
    fh_ink(pen, back, 1.0);
    cairo_rectangle(cr, x - 0.1 * r, y - 0.4 * r, 0.2 * r, 0.7 * r);
    cairo_rectangle(cr, x - 0.1 * r, y + 0.42 * r, 0.2 * r, 0.2 * r);
    cairo_fill(cr);
    break;
  case SYMBOL_NOW:
    cairo_move_to(cr, x + 0.9 * r, y);
    cairo_line_to(cr, x - 0.6 * r, y + 0.9 * r);
    cairo_line_to(cr, x - 0.6 * r, y - 0.9 * r);
    cairo_close_path(cr);
    cairo_fill(cr);
    break;
  }
}

static void
draw_head(const FhPen* const pen, const FhBox box, const Symbol symbol, const Head* const head, const double size)
{
  const FhInk front = head->lit ? FH_INK_GROUND : head->ink;
  const FhInk back  = head->lit ? head->ink : FH_INK_PANEL;
  const bool   flat  = box.h < 75.0;
  const double edge  = flat ? 10.0 : 16.0;
  const double room  = flat ? 30.0 : 43.0; // Height of the word
  const double large = flat ? fmin(size, 22.0) : size;
  const double r     = fmin(0.5 * large, 14.0);
  fh_box(pen, box, RADIUS, back, 1.0);
  draw_symbol(pen, symbol, box.x + edge + r, box.y + 0.6 * room, r, front, back);
  const FhTextStyle word = {large, true, FH_LEFT, front};
  const double      left = edge + 2.0 * r + (flat ? 6.0 : 10.0);
  fh_text(pen, (FhBox){box.x + left, box.y + (flat ? 3.0 : 6.0), box.w - left - 6.0, room - 3.0}, word, head->word);
  FhTextStyle below = line_style;
  below.ink         = head->lit ? FH_INK_GROUND : FH_INK_TEXT;
  fh_paragraph(pen, (FhBox){box.x + edge, box.y + room + (flat ? 2.0 : 0.5), box.w - edge - 8.0, 34.0}, below, head->below);
}

static const char*
minus(const float value)
{
  return lroundf(value) < 0 ? "\u2212" : "";
}

bool
fh_left_open(const FhModel* const model)
{
  const float* const v = model->calm;
  return lrintf(model->v[FH_STATE]) == FH_STATE_OPEN && lrintf(v[FH_KNOWLEDGE]) != FH_KNOWLEDGE_LEARNT &&
         v[FH_EXCESS] < v[FH_OPEN_AT] - v[FH_HYSTERESIS];
}

void
fh_draw_state(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  static const Symbol symbols[] = {SYMBOL_RING, SYMBOL_HALF, SYMBOL_DISC, SYMBOL_DISC, SYMBOL_HALF};
  const float* const  v         = model->v;
  const float* const  calm      = model->calm;
  const int           state     = (int)lrintf(fh_clamp(FH_STATE, v[FH_STATE]));
  char                below[80];
  const bool          other     = lrintf(v[FH_LISTEN]) != FH_LISTEN_OUTPUT;
  if (other) {
    snprintf(below, sizeof(below), "Listening to: %s", fh_choice_word(FH_LISTEN, (int)lrintf(v[FH_LISTEN])));
  } else if (fh_is_blind(v)) {
    snprintf(below, sizeof(below), "The close mic passes as it is");
  } else if (fh_left_open(model)) {
    snprintf(below, sizeof(below), "Until the field is heard");
  } else {
    char open_at[24];
    fh_value_text(FH_OPEN_AT, calm[FH_OPEN_AT], open_at, sizeof(open_at));
    snprintf(below, sizeof(below), "Excess %s%ld dB, opens at %s", minus(calm[FH_EXCESS]), labs(lroundf(calm[FH_EXCESS])),
             open_at);
  }
  Head   head   = {FH_INK_TEXT, fh_state_word(state), below, false};
  Symbol symbol = symbols[state];
  if (v[FH_ENABLED] <= 0.0f) {
    head   = (Head){FH_INK_LINE, "Bypassed", "The close mic passes as it is", false};
    symbol = SYMBOL_CROSS;
  } else if (v[FH_MUTED] > 0.0f) {
    head   = (Head){FH_INK_FAULT, "Muted", other ? below : "Silent, by hand", false}; // Listening goes round the mute
    symbol = SYMBOL_CROSS;
  } else if (fh_is_blind(v)) {
    head   = (Head){FH_INK_FAULT, "Passing", below, false}; // It is no soloist that opened it
    symbol = SYMBOL_CROSS;
  } else if (state == FH_STATE_OPEN || state == FH_STATE_HOLDING || state == FH_STATE_OPENING) {
    head.ink = FH_INK_OPEN;
    head.lit = state != FH_STATE_OPENING;
  }
  draw_head(pen, box, symbol, &head, 32.0);
}

void
fh_draw_separation(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  static const Symbol symbols[FH_VERDICT_COUNT] = {SYMBOL_RING, SYMBOL_WARN, SYMBOL_WARN, SYMBOL_WARN, SYMBOL_HALF, SYMBOL_TICK};
  static const FhInk  inks[FH_VERDICT_COUNT]    = {FH_INK_DIM, FH_INK_FAULT, FH_INK_FAULT, FH_INK_FAULT, FH_INK_LINE, FH_INK_OPEN};
  const FhVerdict     verdict                   = fh_model_verdict(model);
  char                word[80];
  if (verdict >= FH_VERDICT_THIN) {
    // Whole decibels reached: no figure that asks for a better word
    snprintf(word, sizeof(word), "%s: %.0f dB", fh_verdict_phrase(verdict), floor((double)model->calm[FH_SEPARATION]));
  } else {
    snprintf(word, sizeof(word), "%s", fh_verdict_phrase(verdict));
  }
  const Head head = {inks[verdict], word, fh_verdict_advice(verdict), false};
  draw_head(pen, box, symbols[verdict], &head, 24.0);
}

void
fh_draw_fault(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  const float* const calm  = model->calm;
  const int          fault = (int)lrintf(fh_clamp(FH_FAULT, model->v[FH_FAULT]));
  const FhTold       told  = fh_told_by(model->variant);
  const bool         sides = told == FH_TOLD_ON_TRACK;
  const bool         pair  = model->variant && model->variant->closes > 1;
  char               close[64], below[160];
  snprintf(close, sizeof(close), "%s%ld", minus(calm[FH_CLOSE_LEVEL]), labs(lroundf(calm[FH_CLOSE_LEVEL])));
  if (pair) {
    snprintf(close, sizeof(close), "%s%ld and %s%ld", minus(calm[FH_CLOSE_LEVEL_1]), labs(lroundf(calm[FH_CLOSE_LEVEL_1])),
             minus(calm[FH_CLOSE_LEVEL_2]), labs(lroundf(calm[FH_CLOSE_LEVEL_2])));
  }
  snprintf(below, sizeof(below), "Close%s %s, ambient%s %s%ld dBFS", sides ? " left" : "", close,
           sides ? " right" : "", minus(calm[FH_AMBIENT_LEVEL]), labs(lroundf(calm[FH_AMBIENT_LEVEL])));
  // Of two that should be heard, the one far below the other
  const float apart = calm[FH_CLOSE_LEVEL_1] - calm[FH_CLOSE_LEVEL_2];
  if (pair && fault == FH_FAULT_NO_CLOSE && fabsf(apart) > SILENT_APART) {
    snprintf(below, sizeof(below), "Microphone %d of the two: check it, its cable and channel", apart < 0.0f ? 1 : 2);
  } else if (fault) {
    const bool muted = model->v[FH_MUTED] > 0.0f && model->v[FH_ENABLED] > 0.0f;
    snprintf(below, sizeof(below), "%s", fh_fault_advice(fault, told, muted));
  }
  const Head head = {fault ? FH_INK_FAULT : FH_INK_DIM, fh_fault_word(fault), below, fault != 0};
  draw_head(pen, box, fault ? SYMBOL_WARN : SYMBOL_TICK, &head, 22.0);
}

/// What is known, in words
static void
knowledge_text(const FhModel* const model, char* const text, const size_t size)
{
  const float* const calm      = model->calm;
  const int          knowledge = (int)lrintf(model->v[FH_KNOWLEDGE]);
  const bool         learnt    = knowledge == FH_KNOWLEDGE_LEARNT;
  char               known[64] = "Following, not learnt", ago[32];
  fh_ago_text(model->v[FH_LEARNT_AGO], ago, sizeof(ago));
  if (learnt) {
    snprintf(known, sizeof(known), "Learnt %s", ago);
  }
  if (knowledge == FH_KNOWLEDGE_NOTHING) {
    snprintf(text, size, "Nothing known yet: press Learn ambient while the band plays and the soloist rests.");
  } else if (!learnt && model->v[FH_LEARNT] < fh_controls[FH_LEARNT].max) {
    snprintf(text, size, "Following the field by itself, %ld %% of the way, nothing learnt. Learn ambient is surer.",
             lroundf(model->v[FH_LEARNT]));
  } else if (!fh_has_ambient(calm)) {
    snprintf(text, size, "%s. No field to be heard now.", known);
  } else {
    const long lower = lroundf(calm[FH_AMBIENT_LEVEL] - calm[FH_PICKUP_LEVEL]);
    snprintf(text, size, "%s: the field is %ld dB %s here than at the ambient mic.", known, labs(lower),
             lower < 0 ? "louder" : "softer");
  }
}

bool
fh_learnt_text(const FhModel* const model, char* const text, const size_t size)
{
  const bool step = fh_guide_text(&model->guide, model->calm, fh_model_verdict(model), model->now, text, size);
  if (!step) {
    knowledge_text(model, text, size);
  }
  return step;
}

/// How a step of a Learn stands: green, it went well; red, it did not; else there is something to do, or to think of
static FhInk
step_ink(const FhModel* const model)
{
  const FhGuide* const guide   = &model->guide;
  const FhVerdict      verdict = fh_model_verdict(model);
  const bool           judged  = guide->step == FH_GUIDE_VERDICT;
  const bool           over    = guide->step == FH_GUIDE_RESULT;
  if ((over && guide->went == FH_WENT_WELL) || (judged && verdict == FH_VERDICT_GOOD)) {
    return FH_INK_OPEN;
  }
  return (over && guide->went <= FH_WENT_SOLO) || (judged && fh_verdict_asks(verdict)) ? FH_INK_FAULT : FH_INK_LINE;
}

/// A step of a Learn is lit, so that it is seen; what is known is not
void
fh_draw_learnt(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  static const Symbol symbols[] = {SYMBOL_RING, SYMBOL_HALF, SYMBOL_TICK}; // In the order of FhKnowledge
  static const FhInk  inks[]    = {FH_INK_FAULT, FH_INK_LINE, FH_INK_OPEN};
  const int           knowledge = (int)lrintf(fh_clamp(FH_KNOWLEDGE, model->v[FH_KNOWLEDGE]));
  char                text[200];
  const bool          step   = fh_learnt_text(model, text, sizeof(text));
  const double        radius = 6.0, left = 2.0 * radius + 9.0;
  FhTextStyle         style  = line_style;
  Symbol              symbol = symbols[knowledge];
  FhInk               ink    = inks[knowledge];
  if (step) {
    const FhInk  back = step_ink(model);
    const double all  = fh_text_width(pen, style, text) < box.w - left ? fmin(box.h, 18.0) : box.h;
    fh_box(pen, (FhBox){box.x, box.y - 1.0, box.w, all}, RADIUS - 1.0, back, 1.0);
    symbol    = back == FH_INK_OPEN ? SYMBOL_TICK : back == FH_INK_FAULT ? SYMBOL_WARN : SYMBOL_NOW;
    style.ink = ink = FH_INK_GROUND;
    draw_symbol(pen, symbol, box.x + radius + 3.0, box.y + 8.5, radius, ink, back);
  } else {
    draw_symbol(pen, symbol, box.x + radius + 1.0, box.y + 9.0, radius, ink, FH_INK_GROUND);
  }
  fh_paragraph(pen, (FhBox){box.x + left, box.y, box.w - left, box.h}, style, text);
}

void
fh_draw_help(const FhPen* const pen, const FhBox box, const FhModel* const model)
{
  const int item = model->typing || model->hover == FH_NO_ITEM ? model->focus : model->hover;
  char      text[240];
  if (item == FH_NO_ITEM) {
    snprintf(text, sizeof(text), "Drag, turn the wheel, or press Tab. Shift is finer, a double click gives the default.");
  } else if (model->refused) {
    snprintf(text, sizeof(text), "That is no value for this control. Type a figure like 12.5, then Enter; Escape drops it.");
  } else if (model->typing) {
    snprintf(text, sizeof(text), "Enter takes the value, Escape drops it.");
  } else if (fh_items[item].kind == FH_ITEM_VALUE) {
    const FhControl control = fh_items[item].control;
    char            low[24], high[24], def[24];
    fh_value_text(control, fh_controls[control].min, low, sizeof(low));
    fh_value_text(control, fh_controls[control].max, high, sizeof(high));
    fh_value_text(control, fh_controls[control].def, def, sizeof(def));
    snprintf(text, sizeof(text), "%s. %s to %s, default %s.", fh_items[item].help, low, high, def);
  } else {
    snprintf(text, sizeof(text), "%s.", fh_items[item].help);
  }
  FhBox line = box;
  if (model->variant) {
    FhTextStyle style = line_style;
    char        name[128];
    style.align       = FH_RIGHT;
    const double room = fh_name_width(box.w);
    line.w -= room + 8.0;
    snprintf(name, sizeof(name), "%s%s%s", model->title[0] ? model->variant->name : "Fronthash ",
             model->title[0] ? ": " : model->variant->name, model->title);
    fh_text(pen, (FhBox){box.x + box.w - room, line.y, room, 16.25}, style, name);
    style.ink = FH_INK_DIM;
    fh_preset_text(model->preset, model->variant, model->v, name, sizeof(name));
    fh_text(pen, (FhBox){box.x + box.w - room, line.y + 16.25, room, 16.25}, style, name);
  }
  fh_paragraph(pen, line, small_style, text);
}
