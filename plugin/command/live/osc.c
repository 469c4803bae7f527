// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/osc.h"

#include "command/base/complain.h"
#include "command/live/osc_parts.h"

#include <errno.h>
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
fh_osc_tick(FhOsc* const osc, const FhServerState* const server, const double now)
{
  fh_osc_tell(osc, server, now);
}
