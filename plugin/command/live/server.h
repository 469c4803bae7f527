// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file server.h
/// A rig as a client of a JACK server (PipeWire speaks as one, too): ports, connections, the audio thread, and what goes wrong there.
/// When the server goes away the engines stay as they are, and go on once it is back.
///
/// Thread: main, where a function does not say audio.

#ifndef FRONTHASH_COMMAND_SERVER_H
#define FRONTHASH_COMMAND_SERVER_H

#include "command/live/notes.h"
#include "command/live/rig.h"

#include <stdbool.h>
#include <stdint.h>

/// What the user asked for
typedef struct {
  const char* client;  ///< Its name
  const char* capture; ///< Regular expression of the ports that are the interface's inputs, in their order; NULL: all that are hardware
  const char* play;    ///< Likewise of its outputs
  bool        connect; ///< Connect at all
} FhServerWish;

/// How it goes
typedef struct {
  bool     running;   ///< The server calls
  bool     real_time; ///< The audio thread has a real-time priority
  int      priority;  ///< Which
  uint32_t rate;      ///< Hz
  uint32_t frames;    ///< Of a block
  uint32_t xruns;     ///< Since the start, as the server counts them
  uint32_t missing;   ///< Channels of the show that the interface has not
  double   load;      ///< Share of the time of a block that all engines take, 0..1, mean of the last second
  double   load_most; ///< The most of one block since the start
} FhServerState;

typedef struct FhServerStruct FhServer;

/// Make ready; the server is looked for in fh_server_tick. Pair: fh_server_free. @return NULL, having complained.
FhServer* fh_server_new(FhRig* rig, const FhServerWish* wish, FhNotes* notes);

/// Look for the server where there is none, connect what has appeared, take figures. Call some ten times a second. @param now s
void fh_server_tick(FhServer* server, double now);

FhServerState fh_server_state(const FhServer* server);

void fh_server_free(FhServer* server);

/// Keep all memory of the process from being paged out, as far as the user's limits allow. @return false if they do not.
bool fh_server_lock_memory(void);

#endif
