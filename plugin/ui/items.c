// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/items.h"

#include <math.h>
#include <stdbool.h>

const char* const fh_groups[FH_GROUPS] = {"Gate level", "Gate time", "Duck", "Key filter", "Pickup"};

// clang-format off
const FhItem fh_items[FH_ITEM_COUNT] = {
  {FH_MUTED, FH_ITEM_SWITCH, 0, -1, "Muted is silent at once, without a click; live lets the gate decide"},
  {FH_LEARN, FH_ITEM_LEARN, FH_LEARN_AMBIENT, -1, "Learn how the field sounds here: ten seconds of it, while the soloist rests"},
  {FH_LEARN, FH_ITEM_LEARN, FH_LEARN_SOLO, -1, "Learn how the soloist stands out: ten seconds of notes"},
  {FH_CLEAR, FH_ITEM_CLEAR, 0, -1, "Forget what was learnt"},
  {FH_LISTEN, FH_ITEM_CHOICE, 0, -1, "What leaves the plugin: for a check only, the speakers hear it too"},
  {FH_ENABLED, FH_ITEM_SWITCH, 0, -1, "Bypass passes the close microphone on as it is"},
  {FH_OPEN_MARGIN, FH_ITEM_VALUE, 0, 0, "How sure the gate must be to open: ten decibels more ask for ten times the odds"},
  {FH_HYSTERESIS, FH_ITEM_VALUE, 0, 0, "How far below the opening line the excess must fall to close"},
  {FH_RANGE, FH_ITEM_VALUE, 0, 0, "How far the closed gate turns down"},
  {FH_LOOKAHEAD, FH_ITEM_VALUE, 0, 0, "Delay that lets the gate open before a note; adds latency"},
  {FH_ATTACK, FH_ITEM_VALUE, 0, 1, "How long the gate takes to open all the way"},
  {FH_HOLD, FH_ITEM_VALUE, 0, 1, "How long the gate stays open after the last loud moment"},
  {FH_RELEASE, FH_ITEM_VALUE, 0, 1, "How long the gate takes to close, once hold is over"},
  {FH_DUCK_DEPTH, FH_ITEM_VALUE, 0, 2, "Most that a band is turned down while the gate is open"},
  {FH_DUCK_MARGIN, FH_ITEM_VALUE, 0, 2, "More ducks more of the field, and more of the soloist with it"},
  {FH_DUCK_RELEASE, FH_ITEM_VALUE, 0, 2, "How fast a band is turned down again once the soloist leaves it"},
  {FH_LOW_CUT, FH_ITEM_VALUE, 0, 3, "The decision does not listen below this; the sound is not filtered"},
  {FH_HIGH_CUT, FH_ITEM_VALUE, 0, 3, "The decision does not listen above this; the sound is not filtered"},
  {FH_PICKUP_TRIM, FH_ITEM_VALUE, 0, 4, "Raises or lowers the predicted pickup by hand"},
  {FH_AMBIENT_DELAY, FH_ITEM_VALUE, 0, 4, "Delays the ambient microphone, when the field reaches it first"},
  {FH_TRACKING, FH_ITEM_SWITCH, 0, 4, "Follows changes of the pickup while the soloist rests"},
  {FH_TRACKING_TIME, FH_ITEM_VALUE, 0, 4, "How much playing of the band tracking looks back over"},
  {FH_NO_CONTROL, FH_ITEM_COLOURS, 0, -1, "Colours for bright sun or for the dark; so does F9, and it is kept for the next time"},
  {FH_NO_CONTROL, FH_ITEM_FREEZE, 0, -3, "Lets the picture stand still, to look back a minute; so do F8 and a click on it. Arrows move, Page keys go to marks"},
  {FH_NO_CONTROL, FH_ITEM_UNDO, 0, -3, "Takes the last edit back, or the last Learn or Clear; so does Control Z"},
  {FH_NO_CONTROL, FH_ITEM_REDO, 0, -3, "Does again what was taken back; so does Control Y"},
  {FH_NO_CONTROL, FH_ITEM_SETS, 0, -3, "Turns between two sets of values; B begins as A was. Buttons and what is learnt are not in them"},
  {FH_NO_CONTROL, FH_ITEM_PAGES, 0, -2, "What does not fit at this size is on other pages; arrows turn them"},
};
// clang-format on

float
fh_clamp(const FhControl control, const float value)
{
  const FhPortInfo* const port = &fh_controls[control];
  if (!isfinite(value)) {
    return port->def;
  }
  const float within = fminf(fmaxf(value, port->min), port->max);
  return port->kind == FH_KIND_CHOICE ? rintf(within) : port->kind == FH_KIND_TOGGLE ? (within > 0.0f) : within;
}

double
fh_to_part(const FhControl control, const float value)
{
  const FhPortInfo* const port = &fh_controls[control];
  const double            min = (double)port->min, max = (double)port->max, now = (double)fh_clamp(control, value);
  return port->kind == FH_KIND_LOG ? log(now / min) / log(max / min) : (now - min) / (max - min);
}

float
fh_from_part(const FhControl control, const double part)
{
  const FhPortInfo* const port = &fh_controls[control];
  const double            min = (double)port->min, max = (double)port->max;
  const double            value = port->kind == FH_KIND_LOG ? min * pow(max / min, part) : min + part * (max - min);
  return fh_clamp(control, (float)value);
}

/// Nearest of 1, 2, 5 times a power of ten
static double
round_step(const double step)
{
  const double power = pow(10.0, floor(log10(step)));
  const double lead  = step / power;
  return power * (lead < 1.5 ? 1.0 : lead < 3.2 ? 2.0 : lead < 7.1 ? 5.0 : 10.0);
}

/// Least step that is offered on a linear scale
static double
fine_step(const FhPortInfo* const port)
{
  return round_step((double)(port->max - port->min) / 60.0) / 10.0;
}

float
fh_rounded(const FhControl control, const float value)
{
  const FhPortInfo* const port  = &fh_controls[control];
  const double            now   = (double)fh_clamp(control, value);
  const bool              ratio = port->kind == FH_KIND_LOG;
  const double            step  = ratio ? pow(10.0, floor(log10(now)) - 2.0) : fine_step(port); // Three figures
  return fh_clamp(control, (float)(rint(now / step) * step));
}

float
fh_stepped(const FhControl control, const float value, const int steps, const bool fine)
{
  const FhPortInfo* const port = &fh_controls[control];
  const double            now  = (double)fh_clamp(control, value);
  if (port->kind == FH_KIND_TOGGLE || port->kind == FH_KIND_CHOICE) {
    return fh_clamp(control, (float)now + (float)steps);
  }
  if (port->kind == FH_KIND_LOG) {
    return fh_rounded(control, (float)(now * exp2((double)steps / (fine ? 60.0 : 6.0)))); // To the octave
  }
  const double step = fine_step(port) * (fine ? 1.0 : 10.0);
  return fh_clamp(control, (float)((rint(now / step) + steps) * step));
}
