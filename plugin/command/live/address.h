// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file address.h
/// Where to listen: a port of this machine, unless another address is named. Thread: main.

#ifndef FRONTHASH_COMMAND_ADDRESS_H
#define FRONTHASH_COMMAND_ADDRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/socket.h>

typedef struct {
  struct sockaddr_storage to;
  socklen_t               size;
} FhAddress;

/// Read `PORT`, `ADDRESS:PORT` or `[ADDRESS]:PORT`; addresses are figures, no names are looked up.
/// @param option What the user called it. @return false, having complained.
bool fh_address_read(const char* option, const char* text, FhAddress* address);

/// "127.0.0.1:9017", "[::1]:9017". @return `text`
char* fh_address_text(const FhAddress* address, char* text, size_t size);

/// True where nobody but this machine can reach it
bool fh_address_is_here(const FhAddress* address);

bool fh_address_equal(const FhAddress* a, const FhAddress* b);

#endif
