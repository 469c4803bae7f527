// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file osc_parts.h
/// Parts of osc.h: who subscribed, messages in, messages out. Thread: main.

#ifndef FRONTHASH_COMMAND_OSC_PARTS_H
#define FRONTHASH_COMMAND_OSC_PARTS_H

#include "command/live/address.h"
#include "command/live/rig.h"
#include "command/live/server.h"

#include <lo/lo.h>

#define FH_OSC_SUBSCRIBERS 8   ///< At most; one more takes the place of the one who ends first
#define FH_OSC_SECONDS 60.0    ///< For which a subscription lasts unless it is said again
#define FH_OSC_MAX 65536       ///< Bytes of a datagram

typedef struct FhOscStruct FhOsc; // as osc.h names it

typedef struct {
  FhAddress to;
  double    until; ///< s; over: a free place
  bool      fresh; ///< Is to get everything
} FhSubscriber;

/// What was sent last of a stand
typedef struct {
  float  v[FH_CONTROL_COUNT];
  size_t soloist;
} FhOscSent;

struct FhOscStruct {
  int           fd;
  FhRig*        rig;
  FhSubscriber  subscriber[FH_OSC_SUBSCRIBERS];
  FhOscSent*    sent; ///< One for each stand
  FhServerState server;
  _Alignas(16) char in[FH_OSC_MAX];
};

/// Obey one message
void fh_osc_obey(FhOsc* osc, const char* path, lo_message message, const FhAddress* from, double now);

/// Send what has changed to whoever subscribed, and everything to the new ones
void fh_osc_tell(FhOsc* osc, const FhServerState* server, double now);

/// Send one message, which is freed
void fh_osc_send(const FhOsc* osc, const FhAddress* to, const char* path, lo_message message);

/// Send a line about what is wrong
void fh_osc_refuse(const FhOsc* osc, const FhAddress* to, const char* format, ...) __attribute__((format(printf, 3, 4)));

/// A control as a message: whole numbers for switches and choices
lo_message fh_osc_value(const FhRigStand* stand, FhControl control);

/// Who is at a stand, as a message: number from 1, name
lo_message fh_osc_soloist(const FhRigStand* stand);

#endif
