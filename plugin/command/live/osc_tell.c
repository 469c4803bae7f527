// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/osc_parts.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

lo_message
fh_osc_value(const FhRigStand* const stand, const FhControl control)
{
  const lo_message message = lo_message_new();
  const float      value   = fh_rig_value(stand, control);
  if (fh_controls[control].kind == FH_KIND_TOGGLE || fh_controls[control].kind == FH_KIND_CHOICE) {
    lo_message_add_int32(message, (int32_t)lrintf(value));
  } else {
    lo_message_add_float(message, value);
  }
  return message;
}

lo_message
fh_osc_soloist(const FhRigStand* const stand)
{
  const lo_message message = lo_message_new();
  lo_message_add_int32(message, (int32_t)stand->soloist + 1);
  lo_message_add_string(message, fh_rig_soloist_name(stand, stand->soloist));
  return message;
}

void
fh_osc_send(const FhOsc* const osc, const FhAddress* const to, const char* const path, const lo_message message)
{
  size_t      size = 0;
  void* const data = lo_message_serialise(message, path, NULL, &size);
  if (data) {
    sendto(osc->fd, data, size, 0, (const struct sockaddr*)&to->to, to->size);
  }
  free(data);
  lo_message_free(message);
}

void
fh_osc_refuse(const FhOsc* const osc, const FhAddress* const to, const char* const format, ...)
{
  char    text[512];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  for (char* c = text; *c; ++c) {
    *c = *c >= ' ' && *c <= '~' ? *c : '?'; // What came may be anything; texts are ASCII (OSC 1.0)
  }
  const lo_message message = lo_message_new();
  lo_message_add_string(message, text);
  fh_osc_send(osc, to, "/error", message);
}

/// Everything of a stand, or what has changed since it was sent to all
static lo_bundle
gather(const FhOsc* const osc, const size_t number, const bool all)
{
  const FhRigStand* const stand  = &osc->rig->stand[number];
  const FhOscSent* const  sent   = &osc->sent[number];
  const lo_bundle         bundle = lo_bundle_new(LO_TT_IMMEDIATE);
  char                    path[64];
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    const bool band = i >= FH_BAND_EXCESS_1 && i <= FH_BAND_GAIN_8;
    const float value = fh_rig_value(stand, (FhControl)i);
    if (!band && (all || lrintf(10.0f * value) != lrintf(10.0f * sent->v[i]))) {
      snprintf(path, sizeof(path), "/stand/%zu/%s", number + 1, fh_controls[i].symbol);
      lo_bundle_add_message(bundle, path, fh_osc_value(stand, (FhControl)i));
    }
  }
  if (all || sent->soloist != stand->soloist) {
    snprintf(path, sizeof(path), "/stand/%zu/soloist", number + 1);
    lo_bundle_add_message(bundle, path, fh_osc_soloist(stand));
  }
  if (all) {
    const lo_message name = lo_message_new();
    lo_message_add_string(name, stand->stand->name);
    snprintf(path, sizeof(path), "/stand/%zu/name", number + 1);
    lo_bundle_add_message(bundle, path, name);
  }
  return bundle;
}

static void
send_bundle(const FhOsc* const osc, const FhAddress* const to, const lo_bundle bundle)
{
  size_t      size = 0;
  void* const data = lo_bundle_count(bundle) ? lo_bundle_serialise(bundle, NULL, &size) : NULL;
  if (data) {
    sendto(osc->fd, data, size, 0, (const struct sockaddr*)&to->to, to->size);
  }
  free(data);
}

static lo_message
whole(const int number)
{
  const lo_message message = lo_message_new();
  lo_message_add_int32(message, number);
  return message;
}

/// What belongs to no stand; all of it, as it is little
static lo_bundle
gather_rig(const FhOsc* const osc, const FhServerState* const server)
{
  const lo_bundle  bundle = lo_bundle_new(LO_TT_IMMEDIATE);
  const lo_message load   = lo_message_new();
  lo_message_add_float(load, (float)(100.0 * server->load));
  lo_bundle_add_message(bundle, "/rig/stands", whole((int)osc->rig->count));
  lo_bundle_add_message(bundle, "/rig/running", whole(server->running));
  lo_bundle_add_message(bundle, "/rig/xruns", whole((int)server->xruns));
  lo_bundle_add_message(bundle, "/rig/load", load);
  return bundle;
}

static void
send_to_all(FhOsc* const osc, const lo_bundle some, const lo_bundle all, const double now)
{
  for (int i = 0; i < FH_OSC_SUBSCRIBERS; ++i) {
    FhSubscriber* const s = &osc->subscriber[i];
    if (s->until > now) {
      send_bundle(osc, &s->to, s->fresh ? all : some);
    }
  }
  lo_bundle_free_recursive(some);
  lo_bundle_free_recursive(all);
}

void
fh_osc_tell(FhOsc* const osc, const FhServerState* const server, const double now)
{
  bool somebody = false;
  for (int i = 0; i < FH_OSC_SUBSCRIBERS; ++i) {
    somebody = somebody || osc->subscriber[i].until > now;
  }
  if (!somebody) {
    return;
  }
  const bool news = server->running != osc->server.running || server->xruns != osc->server.xruns ||
                    lrint(100.0 * server->load) != lrint(100.0 * osc->server.load);
  send_to_all(osc, news ? gather_rig(osc, server) : lo_bundle_new(LO_TT_IMMEDIATE), gather_rig(osc, server), now);
  osc->server = *server;
  for (size_t n = 0; n < osc->rig->count; ++n) {
    send_to_all(osc, gather(osc, n, false), gather(osc, n, true), now);
    for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
      osc->sent[n].v[i] = fh_rig_value(&osc->rig->stand[n], (FhControl)i);
    }
    osc->sent[n].soloist = osc->rig->stand[n].soloist;
  }
  for (int i = 0; i < FH_OSC_SUBSCRIBERS; ++i) {
    osc->subscriber[i].fresh = false;
  }
}
