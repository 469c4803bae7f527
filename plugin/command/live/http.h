// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file http.h
/// All soloists as a page in a browser, and the same as JSON. To look at only, unless there is a token and a request brings it.
///
/// Served between two ticks of the main loop, by no thread of its own: a slow browser waits, the rig does not. Thread: main.

#ifndef FRONTHASH_COMMAND_HTTP_H
#define FRONTHASH_COMMAND_HTTP_H

#include "command/live/address.h"
#include "command/live/notes.h"
#include "command/live/rig.h"
#include "command/live/server.h"

#include <sys/select.h>

#define FH_TOKEN_MAX 128 ///< Characters with the end
#define FH_TOKEN_MIN 16  ///< Less is guessed

typedef struct FhHttpStruct FhHttp;

/// Read a token from the first line of a file; one that is not there is made, with a new token that only its owner can read.
/// @return false, having complained.
bool fh_token_read(const char* path, char token[FH_TOKEN_MAX]);

/// Serve. Pair: fh_http_free. @param token NULL: nobody may change anything. @return NULL, having complained.
FhHttp* fh_http_new(FhRig* rig, const FhServer* server, const FhNotes* notes, const FhAddress* at, const char* token);

void fh_http_free(FhHttp* http);

/// Add what is waited for to the sets of a select(2). @param last The greatest descriptor so far, raised where needed
void fh_http_wait(const FhHttp* http, fd_set* in, fd_set* out, fd_set* error, int* last);

/// Do what is to be done after that select. @param now s
void fh_http_run(FhHttp* http, const fd_set* in, const fd_set* out, const fd_set* error, double now);

/// The rig as JSON, NULL without memory. Free it.
char* fh_http_json(const FhRig* rig, const FhServerState* server, const FhNotes* notes, bool has_token);

#endif
