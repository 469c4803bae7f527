// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/osc_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PART_MAX 40 ///< Bytes of a part of an address, so that patterns are quickly matched
#define STARS_MAX 2 ///< Likewise

/// The message being obeyed
typedef struct {
  FhOsc*           osc;
  const char*      path;
  const FhAddress* from;
  double           now;
  int              count; ///< Of arguments: 0 asks, 1 sets
  float            value; ///< Of the argument
} Order;

/// The one argument as a number
static bool
read_argument(const lo_message message, float* const value)
{
  const lo_arg* const arg = lo_message_get_argv(message)[0];
  switch (lo_message_get_types(message)[0]) {
  case LO_INT32:
    *value = (float)arg->i;
    return true;
  case LO_INT64:
    *value = (float)arg->h;
    return true;
  case LO_FLOAT:
    *value = arg->f;
    return isfinite(arg->f);
  case LO_DOUBLE:
    *value = (float)arg->d;
    return isfinite(arg->d);
  case LO_TRUE:
  case LO_FALSE:
    *value = lo_message_get_types(message)[0] == LO_TRUE ? 1.0f : 0.0f;
    return true;
  default:
    return false;
  }
}

/// Set or tell a control of a stand. @return false if it cannot be set
static bool
work_control(const Order* const order, const size_t number, const FhControl control)
{
  FhRigStand* const stand = &order->osc->rig->stand[number];
  if (order->count) {
    fh_rig_set(stand, control, order->value, order->now);
    return fh_controls[control].flow == FH_INPUT;
  }
  char path[64];
  snprintf(path, sizeof(path), "/stand/%zu/%s", number + 1, fh_controls[control].symbol);
  fh_osc_send(order->osc, order->from, path, fh_osc_value(stand, control));
  return true;
}

static bool
work_soloist(const Order* const order, const size_t number)
{
  FhRigStand* const stand = &order->osc->rig->stand[number];
  if (order->count) {
    const bool there = order->value >= 1.0f && order->value < (float)stand->soloist_count + 0.5f;
    fh_rig_come(stand, there ? (size_t)lrintf(order->value) - 1 : SIZE_MAX);
    return there;
  }
  char path[64];
  snprintf(path, sizeof(path), "/stand/%zu/soloist", number + 1);
  fh_osc_send(order->osc, order->from, path, fh_osc_soloist(stand));
  return true;
}

/// Work everything of one stand that a pattern fits
static void
work_stand(const Order* const order, const size_t number, const char* const pattern, size_t* const fitting, size_t* const refused)
{
  FhRigStand* const stand = &order->osc->rig->stand[number];
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    if (lo_pattern_match(fh_controls[i].symbol, pattern)) {
      ++*fitting;
      *refused += !work_control(order, number, (FhControl)i);
    }
  }
  if (lo_pattern_match("soloist", pattern)) {
    ++*fitting;
    *refused += !work_soloist(order, number);
  }
  if (!order->count && (!strcmp(pattern, "next") || !strcmp(pattern, "previous"))) {
    ++*fitting;
    fh_rig_come(stand, *pattern == 'n' ? stand->soloist + 1 : stand->soloist - 1);
  }
}

/// One part of an address, short and simple enough for a pattern
static bool
take_part(const char** const path, char part[PART_MAX])
{
  const size_t length = strcspn(*path, "/");
  size_t       stars  = 0;
  if (!length || length >= PART_MAX) {
    return false;
  }
  for (size_t i = 0; i < length; ++i) {
    stars += (*path)[i] == '*' || (*path)[i] == '{';
  }
  memcpy(part, *path, length);
  part[length] = '\0';
  *path += length + ((*path)[length] == '/');
  return stars <= STARS_MAX;
}

static void
obey_stand(const Order* const order, const char* path)
{
  char   stand[PART_MAX], what[PART_MAX];
  size_t fitting = 0, refused = 0;
  if (take_part(&path, stand) && take_part(&path, what) && !*path) {
    for (size_t i = 0; i < order->osc->rig->count; ++i) {
      char number[24];
      snprintf(number, sizeof(number), "%zu", i + 1);
      if (lo_pattern_match(number, stand)) {
        work_stand(order, i, what, &fitting, &refused);
      }
    }
  }
  if (!fitting) {
    fh_osc_refuse(order->osc, order->from, "nothing is at %.200s; there is /stand/1/muted and the like, see docs/live.md", order->path);
  } else if (refused == fitting) {
    fh_osc_refuse(order->osc, order->from, "%.200s cannot be set to that", order->path);
  }
}

static void
subscribe(const Order* const order, const bool on)
{
  FhSubscriber* place = NULL;
  for (int i = 0; i < FH_OSC_SUBSCRIBERS; ++i) {
    FhSubscriber* const s = &order->osc->subscriber[i];
    if (fh_address_equal(&s->to, order->from)) {
      place = s;
      break;
    }
    place = !place || s->until < place->until ? s : place;
  }
  if (on) {
    *place = (FhSubscriber){*order->from, order->now + FH_OSC_SECONDS, true};
  } else if (fh_address_equal(&place->to, order->from)) {
    place->until = 0.0;
  }
}

void
fh_osc_obey(FhOsc* const osc, const char* const path, const lo_message message, const FhAddress* const from, const double now)
{
  Order order = {osc, path, from, now, lo_message_get_argc(message), 0.0f};
  if (!strcmp(path, "/error")) {
    return; // Answering that would never end
  }
  if (order.count > 1 || (order.count && !read_argument(message, &order.value))) {
    fh_osc_refuse(osc, from, "%.200s takes one number, or nothing to ask for it", path);
  } else if (!strcmp(path, "/subscribe") || !strcmp(path, "/unsubscribe")) {
    subscribe(&order, path[1] == 's');
  } else if (!strncmp(path, "/stand/", 7)) {
    obey_stand(&order, path + 7);
  } else {
    fh_osc_refuse(osc, from, "nothing is at %.200s; there is /stand/1/muted and the like, see docs/live.md", path);
  }
}
