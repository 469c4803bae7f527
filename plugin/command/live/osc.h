// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file osc.h
/// Open Sound Control 1.0 over UDP: controls in, and what changes out to whoever subscribed. docs/live.md lists the addresses.
///
/// Whatever arrives, nothing waits for it: a datagram is taken or refused as it is, time tags are not waited for, and a wrong message
/// gets one line back. Thread: main.

#ifndef FRONTHASH_COMMAND_OSC_H
#define FRONTHASH_COMMAND_OSC_H

#include "command/live/address.h"
#include "command/live/rig.h"
#include "command/live/server.h"

#include <stdint.h>

#define FH_OSC_PORT "9017"

typedef struct FhOscStruct FhOsc;

/// Listen. Pair: fh_osc_free. @param at NULL: answer fh_osc_take alone, as tests do. @return NULL, having complained.
FhOsc* fh_osc_new(FhRig* rig, const FhAddress* at);

void fh_osc_free(FhOsc* osc);

/// To be polled for input
int fh_osc_fd(const FhOsc* osc);

/// Take what has arrived. @param now s
void fh_osc_read(FhOsc* osc, double now);

/// Take one datagram; `data` must be aligned as for a double.
void fh_osc_take(FhOsc* osc, void* data, size_t size, const FhAddress* from, double now);

/// Send what has changed. Call some ten times a second.
void fh_osc_tick(FhOsc* osc, const FhServerState* server, double now);

#endif
