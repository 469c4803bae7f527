// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file server_parts.h
/// parts of server.h: what a client holds, its ports and their connections. Thread: main.

#ifndef FRONTHASH_COMMAND_SERVER_PARTS_H
#define FRONTHASH_COMMAND_SERVER_PARTS_H

#include "command/live/server.h"

#include <jack/jack.h>

#include <stdatomic.h>

/// Ports of a stand, as many in as out
typedef struct {
  uint32_t     closes;
  jack_port_t* in[FH_RIG_OUTPUTS];
  jack_port_t* out[FH_RIG_OUTPUTS];
} FhStandPorts;

struct FhServerStruct {
  FhRig*           rig;
  FhServerWish      wish;
  FhNotes*         notes;
  jack_client_t*   client; ///< NULL while there is no server
  jack_port_t*     ambient;
  FhStandPorts*    ports;  ///< One for each stand
  FhServerState     state;
  double           tried_at;   ///< s
  double           figures_at; ///< s
  uint64_t         seen_ns;
  uint32_t         seen_blocks;
  uint32_t         heard_blocks;
  double           heard_at;   ///< When the server was last heard to call, s
  _Atomic bool     is_gone;
  _Atomic bool     graph_changed;
  _Atomic uint32_t xruns;
  _Atomic uint32_t blocks;  ///< Run since the start
  _Atomic uint64_t busy_ns; ///< Spent in them
  _Atomic uint64_t most_ns; ///< In one of them
};

/// Make the ports. @return false if the server refuses one.
bool fh_server_register(FhServer* server);

/// Connect every port that has no connection to its channel, where that is there; count those that are not. What somebody has
/// connected by hand stays.
void fh_server_connect(FhServer* server);

#endif
