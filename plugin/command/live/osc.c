// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/osc_parts.h"

#include "command/base/complain.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define AT_ONCE 64 ///< Datagrams taken before anything else gets its turn
#define DEPTH 4    ///< Of bundles within bundles

FhOsc*
fh_osc_new(FhRig* const rig, const FhAddress* const at)
{
  FhOsc* const osc = (FhOsc*)calloc(1, sizeof(FhOsc));
  if (!osc || !(osc->sent = (FhOscSent*)calloc(rig->count, sizeof(FhOscSent)))) {
    free(osc);
    fh_complain("not enough memory; close other programs");
    return NULL;
  }
  osc->rig = rig;
  osc->fd  = -1;
  if (at) {
    char text[64];
    osc->fd = socket(at->to.ss_family, SOCK_DGRAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (osc->fd < 0 || bind(osc->fd, (const struct sockaddr*)&at->to, at->size)) {
      fh_complain("cannot listen for Open Sound Control at %s (%s); name another port with --osc, or --osc off",
                  fh_address_text(at, text, sizeof(text)), strerror(errno));
      fh_osc_free(osc);
      return NULL;
    }
  }
  return osc;
}

void
fh_osc_free(FhOsc* const osc)
{
  if (osc) {
    if (osc->fd >= 0) {
      close(osc->fd);
    }
    free(osc->sent);
    free(osc);
  }
}

int
fh_osc_fd(const FhOsc* const osc)
{
  return osc ? osc->fd : -1;
}

static uint32_t
big_endian(const char* const data)
{
  const unsigned char* const b = (const unsigned char*)data;
  return (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
}

/// A message, or a bundle of them: all lengths are multiples of four (OSC 1.0)
static void
take(FhOsc* const osc, char* const data, const size_t size, const int depth, const FhAddress* const from, const double now)
{
  if (size >= 16 && !memcmp(data, "#bundle", 8)) {
    size_t at = 16; // after the time tag
    while (depth < DEPTH && size - at >= 4) {
      const uint32_t length = big_endian(data + at);
      at += 4;
      if (!length || length % 4 || length > size - at) {
        fh_osc_refuse(osc, from, "a bundle is cut short or has a wrong length");
        return;
      }
      take(osc, data + at, length, depth + 1, from, now);
      at += length;
    }
    return;
  }
  // liblo looks at the size of the path and of each argument
  const char* const path    = size >= 8 && size % 4 == 0 && *data == '/' ? lo_get_path(data, (ssize_t)size) : NULL;
  int               code    = 0;
  const lo_message  message = path ? lo_message_deserialise(data, size, &code) : NULL;
  if (!message) {
    fh_osc_refuse(osc, from, "this is no OSC message");
    return;
  }
  fh_osc_obey(osc, path, message, from, now);
  lo_message_free(message);
}

void
fh_osc_take(FhOsc* const osc, void* const data, const size_t size, const FhAddress* const from, const double now)
{
  take(osc, (char*)data, size, 0, from, now);
}

void
fh_osc_read(FhOsc* const osc, const double now)
{
  for (int i = 0; i < AT_ONCE; ++i) {
    FhAddress     from = {.size = sizeof(from.to)};
    const ssize_t size = recvfrom(osc->fd, osc->in, sizeof(osc->in), 0, (struct sockaddr*)&from.to, &from.size);
    if (size < 0) {
      return;
    }
    fh_osc_take(osc, osc->in, (size_t)size, &from, now);
  }
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
fh_osc_tick(FhOsc* const osc, const FhServerState* const server, const double now)
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
