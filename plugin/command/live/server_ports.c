// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/server_parts.h"

#include <stdio.h>
#include <stdlib.h>

static jack_port_t*
new_port(const FhServer* const server, const char* const name, const unsigned long flow)
{
  char shortened[256];
  // Name of the client, a colon, name of the port and the end must fit
  const int most = jack_port_name_size() - jack_client_name_size() - 2;
  snprintf(shortened, most > 0 && (size_t)most < sizeof(shortened) ? (size_t)most : sizeof(shortened), "%s", name);
  for (char* c = shortened; *c; ++c) {
    *c = *c == ':' ? '.' : *c;
  }
  return jack_port_register(server->client, shortened, JACK_DEFAULT_AUDIO_TYPE, flow, 0);
}

bool
fh_server_register(FhServer* const server)
{
  server->ambient = new_port(server, "ambient", JackPortIsInput);
  bool ok        = server->ambient;
  for (size_t i = 0; ok && i < server->rig->count; ++i) {
    const FhStand* const stand = server->rig->stand[i].stand;
    FhStandPorts* const  ports = &server->ports[i];
    ports->closes              = fh_stand_closes(stand);
    for (uint32_t c = 0; ok && c < ports->closes; ++c) {
      char name[FH_SHOW_NAME + 32];
      const char* const number[] = {"", "_1", "_2"};
      const char* const which    = number[ports->closes == 1 ? 0 : c + 1];
      // The number comes first, so that no two stands have ports of one name even where a long one is cut
      snprintf(name, sizeof(name), "%zu in%s %s", i + 1, which, stand->name);
      ports->in[c] = new_port(server, name, JackPortIsInput);
      snprintf(name, sizeof(name), "%zu out%s %s", i + 1, which, stand->name);
      ports->out[c] = new_port(server, name, JackPortIsOutput);
      ok            = ports->in[c] && ports->out[c];
    }
  }
  return ok;
}

/// Channels of the interface in their order
typedef struct {
  const char** names;
  size_t       count;
} Channels;

static Channels
find_channels(const FhServer* const server, const char* const pattern, const unsigned long flow)
{
  Channels channels = {
    jack_get_ports(server->client, pattern, JACK_DEFAULT_AUDIO_TYPE, flow | (pattern ? 0u : (unsigned long)JackPortIsPhysical)), 0};
  while (channels.names && channels.names[channels.count]) {
    ++channels.count;
  }
  return channels;
}

/// Ports whose channel the interface has not
typedef struct {
  uint32_t     count;
  jack_port_t* first;
  uint32_t     channel; ///< Of the first
} Missing;

/// @param channel From 1
static void
join_channel(const FhServer* const server, jack_port_t* const port, const Channels* const channels, const uint32_t channel,
             Missing* const missing)
{
  if (channel > channels->count) {
    if (!missing->count++) {
      missing->first   = port;
      missing->channel = channel;
    }
  } else if (!jack_port_connected(port)) {
    const char* const own   = jack_port_name(port);
    const char* const other = channels->names[channel - 1];
    const bool        in    = jack_port_flags(port) & JackPortIsInput;
    jack_connect(server->client, in ? other : own, in ? own : other);
  }
}

void
fh_server_connect(FhServer* const server)
{
  if (!server->wish.connect) {
    return;
  }
  Channels       from    = find_channels(server, server->wish.capture, JackPortIsOutput);
  Channels       to      = find_channels(server, server->wish.play, JackPortIsInput);
  const uint32_t before  = server->state.missing;
  Missing        missing = {0};
  join_channel(server, server->ambient, &from, server->rig->show->ambient, &missing);
  for (size_t i = 0; i < server->rig->count; ++i) {
    const FhStand* const stand = server->rig->stand[i].stand;
    for (uint32_t c = 0; c < server->ports[i].closes; ++c) {
      join_channel(server, server->ports[i].in[c], &from, stand->input[c], &missing);
      join_channel(server, server->ports[i].out[c], &to, stand->output[c], &missing);
    }
  }
  server->state.missing = missing.count;
  if (missing.count && missing.count != before) {
    char more[48] = "";
    if (missing.count > 1) {
      snprintf(more, sizeof(more), ", nor for %u more port%s", missing.count - 1, missing.count > 2 ? "s" : "");
    }
    fh_note(server->notes, "No channel %u for '%s'%s: the interface has %zu in and %zu out", missing.channel,
            jack_port_short_name(missing.first), more, from.count, to.count);
  } else if (before && !missing.count) {
    fh_note(server->notes, "All channels of the show are there");
  }
  jack_free(from.names);
  jack_free(to.names);
}
