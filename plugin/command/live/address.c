// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/address.h"

#include "command/base/complain.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct sockaddr_in*
as_4(const FhAddress* const address)
{
  return (const struct sockaddr_in*)&address->to;
}

static const struct sockaddr_in6*
as_6(const FhAddress* const address)
{
  return (const struct sockaddr_in6*)&address->to;
}

bool
fh_address_read(const char* const option, const char* const text, FhAddress* const address)
{
  char        host[INET6_ADDRSTRLEN] = "127.0.0.1";
  const char* port                   = text;
  const char* colon                  = strrchr(text, ':');
  if (colon) {
    const bool   boxed  = *text == '[' && colon > text && colon[-1] == ']';
    const size_t length = (size_t)(colon - text) - (boxed ? 2u : 0u);
    snprintf(host, sizeof(host), "%.*s", (int)(length < sizeof(host) ? length : 0), text + boxed);
    port = colon + 1;
  }
  char*      end    = NULL;
  const long number = strtol(port, &end, 10);
  memset(address, 0, sizeof(*address));
  struct sockaddr_in* const  four = (struct sockaddr_in*)&address->to;
  struct sockaddr_in6* const six  = (struct sockaddr_in6*)&address->to;
  if (end != port && !*end && number >= 1 && number <= 65535) {
    if (inet_pton(AF_INET, host, &four->sin_addr) == 1) {
      four->sin_family = AF_INET;
      four->sin_port   = htons((uint16_t)number);
      address->size    = sizeof(*four);
      return true;
    }
    if (inet_pton(AF_INET6, host, &six->sin6_addr) == 1) {
      six->sin6_family = AF_INET6;
      six->sin6_port   = htons((uint16_t)number);
      address->size    = sizeof(*six);
      return true;
    }
  }
  return fh_complain("--%s takes a port from 1 to 65535, or an address of this machine in figures, a colon and a port, not '%s'", option,
                     text);
}

char*
fh_address_text(const FhAddress* const address, char* const text, const size_t size)
{
  char       host[INET6_ADDRSTRLEN] = "?";
  const bool six                    = address->to.ss_family == AF_INET6;
  inet_ntop(address->to.ss_family, six ? (const void*)&as_6(address)->sin6_addr : (const void*)&as_4(address)->sin_addr, host,
            sizeof(host));
  snprintf(text, size, six ? "[%s]:%u" : "%s:%u", host, ntohs(six ? as_6(address)->sin6_port : as_4(address)->sin_port));
  return text;
}

bool
fh_address_is_here(const FhAddress* const address)
{
  return address->to.ss_family == AF_INET6 ? IN6_IS_ADDR_LOOPBACK(&as_6(address)->sin6_addr)
                                           : (ntohl(as_4(address)->sin_addr.s_addr) >> 24) == 127;
}

bool
fh_address_equal(const FhAddress* const a, const FhAddress* const b)
{
  return a->size == b->size && !memcmp(&a->to, &b->to, a->size);
}
