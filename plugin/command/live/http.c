// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/http.h"

#include "command/base/complain.h"
#include "command/base/options.h"
#include "page_data.h"

#include <arpa/inet.h>
#include <microhttpd.h>

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define CONNECTIONS 128u
#define FROM_ONE 32u ///< Of them, from one address
#define IDLE_SECONDS 5u
#define CONNECTION_BYTES 16384u ///< Memory of one, request head included

struct FhHttpStruct {
  struct MHD_Daemon* daemon;
  FhRig*             rig;
  const FhServer*    server;
  const FhNotes*     notes;
  char               token[FH_TOKEN_MAX]; ///< Empty: nobody may change anything
  double             now;
};

typedef struct MHD_Connection Connection;

/// Send a text. @param mode MHD_RESPMEM_MUST_FREE where it is to be freed
static enum MHD_Result
answer(Connection* const c, const unsigned code, const char* const type, const char* const text, const enum MHD_ResponseMemoryMode mode)
{
  static const char* const heads[][2] = {
    {"Cache-Control", "no-store"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; base-uri 'none'; "
     "form-action 'none'; frame-ancestors 'none'"},
  };
  // The library takes a pointer that is not const, and only reads from one that is to stay
  struct MHD_Response* const response = MHD_create_response_from_buffer(strlen(text), (void*)(uintptr_t)text, mode);
  if (!response) {
    return MHD_NO;
  }
  MHD_add_response_header(response, "Content-Type", type);
  for (size_t i = 0; i < sizeof(heads) / sizeof(heads[0]); ++i) {
    MHD_add_response_header(response, heads[i][0], heads[i][1]);
  }
  const enum MHD_Result result = MHD_queue_response(c, code, response);
  MHD_destroy_response(response);
  return result;
}

static enum MHD_Result
refuse(Connection* const c, const unsigned code, const char* const line)
{
  return answer(c, code, "text/plain; charset=utf-8", line, MHD_RESPMEM_PERSISTENT);
}

/// A page elsewhere whose name was made to lead here must not read the rig: only addresses in figures, and localhost
static bool
is_named_plainly(Connection* const c)
{
  const char* const host = MHD_lookup_connection_value(c, MHD_HEADER_KIND, "Host");
  unsigned char     bytes[sizeof(struct in6_addr)];
  char              name[64] = "";
  if (!host) {
    return true; // no browser
  }
  const bool   boxed  = *host == '[';
  const size_t length = strcspn(host + boxed, boxed ? "]" : ":");
  snprintf(name, sizeof(name), "%.*s", (int)(length < sizeof(name) ? length : 0), host + boxed);
  return !strcasecmp(name, "localhost") || inet_pton(boxed ? AF_INET6 : AF_INET, name, bytes) == 1;
}

/// Compare in a time that tells nothing of the token
static bool
has_token(const FhHttp* const http, Connection* const c)
{
  const char* const given = MHD_lookup_connection_value(c, MHD_HEADER_KIND, "Authorization");
  char              want[FH_TOKEN_MAX + 8];
  snprintf(want, sizeof(want), "Bearer %s", http->token);
  const size_t length = strlen(want);
  if (!*http->token || !given || strlen(given) != length) {
    return false;
  }
  unsigned char differs = 0;
  for (size_t i = 0; i < length; ++i) {
    differs |= (unsigned char)(given[i] ^ want[i]);
  }
  return !differs;
}

/// Take an order: /stand/N/SYMBOL?value=V, /stand/N/next, /stand/N/previous; N may be *, which is all stands
static enum MHD_Result
obey(FhHttp* const http, Connection* const c, const char* const url)
{
  unsigned long number   = 0;
  char          what[32] = "", rest = 0;
  const size_t  count    = http->rig->count;
  const bool    all      = sscanf(url, "/stand/*/%31[a-z_0-9]%c", what, &rest) == 1;
  if (!all && (sscanf(url, "/stand/%4lu/%31[a-z_0-9]%c", &number, what, &rest) != 2 || number < 1 || number > count)) {
    return refuse(c, MHD_HTTP_NOT_FOUND, "There is nothing here to work; docs/live.md lists what there is\n");
  }
  FhRigStand* const first = &http->rig->stand[all ? 0 : number - 1];
  FhRigStand* const end   = first + (all ? count : 1);
  if (!strcmp(what, "next") || !strcmp(what, "previous")) {
    for (FhRigStand* stand = first; stand < end; ++stand) {
      fh_rig_come(stand, *what == 'n' ? stand->soloist + 1 : stand->soloist - 1);
    }
    return refuse(c, MHD_HTTP_OK, "Done\n");
  }
  const int         control = fh_control_by_symbol(what);
  const char* const text    = MHD_lookup_connection_value(c, MHD_GET_ARGUMENT_KIND, "value");
  double            value   = 0.0;
  if (control < 0 || fh_controls[control].flow != FH_INPUT || !text || !fh_parse_number(text, &value)) {
    return refuse(c, MHD_HTTP_BAD_REQUEST, "Say which control of the stand and ?value= with a number\n");
  }
  for (FhRigStand* stand = first; stand < end; ++stand) {
    fh_rig_set(stand, (FhControl)control, (float)value, http->now);
  }
  return refuse(c, MHD_HTTP_OK, "Done\n");
}

static enum MHD_Result
show(const FhHttp* const http, Connection* const c, const char* const url)
{
  if (!strcmp(url, "/")) {
    return answer(c, MHD_HTTP_OK, "text/html; charset=utf-8", page_html, MHD_RESPMEM_PERSISTENT);
  }
  if (!strcmp(url, "/page.css")) {
    return answer(c, MHD_HTTP_OK, "text/css; charset=utf-8", page_css, MHD_RESPMEM_PERSISTENT);
  }
  if (!strcmp(url, "/page.js")) {
    return answer(c, MHD_HTTP_OK, "text/javascript; charset=utf-8", page_js, MHD_RESPMEM_PERSISTENT);
  }
  if (!strcmp(url, "/rig.json")) {
    const FhServerState state = fh_server_state(http->server);
    char* const         text  = fh_http_json(http->rig, &state, http->notes, *http->token);
    return text ? answer(c, MHD_HTTP_OK, "application/json", text, MHD_RESPMEM_MUST_FREE) : MHD_NO;
  }
  return refuse(c, MHD_HTTP_NOT_FOUND, "There is nothing here; the page is at /\n");
}

static enum MHD_Result
handle(void* const data, Connection* const c, const char* const url, const char* const method, const char* const version,
       const char* const upload, size_t* const upload_size, void** const seen)
{
  (void)version;
  (void)upload;
  FhHttp* const http = (FhHttp*)data;
  if (!*seen) { // only the head is here
    *seen = data;
    return MHD_YES;
  }
  if (*upload_size) { // what an order brings along is left aside
    *upload_size = 0;
    return MHD_YES;
  }
  if (!is_named_plainly(c)) {
    return refuse(c, MHD_HTTP_FORBIDDEN, "Call the rig by its address in figures\n");
  }
  if (!strcmp(method, "GET") || !strcmp(method, "HEAD")) {
    return show(http, c, url);
  }
  if (strcmp(method, "POST") != 0) {
    return refuse(c, MHD_HTTP_METHOD_NOT_ALLOWED, "GET looks, POST works the rig\n");
  }
  if (!has_token(http, c)) {
    return refuse(c, MHD_HTTP_FORBIDDEN,
                  *http->token ? "This needs the token, after # in the address of the page\n"
                               : "This rig is to look at only; start it with --page-token to work it from here\n");
  }
  return obey(http, c, url);
}

/// The library's own words have no place on the screen
static void
say_nothing(void* const data, const char* const format, va_list args)
{
  (void)data;
  (void)format;
  (void)args;
}

FhHttp*
fh_http_new(FhRig* const rig, const FhServer* const server, const FhNotes* const notes, const FhAddress* const at, const char* const token)
{
  char          text[64];
  FhHttp* const http = (FhHttp*)calloc(1, sizeof(FhHttp));
  if (!http) {
    fh_complain("not enough memory; close other programs");
    return NULL;
  }
  *http = (FhHttp){.rig = rig, .server = server, .notes = notes};
  snprintf(http->token, sizeof(http->token), "%s", token ? token : "");
  const unsigned flags = (unsigned)MHD_USE_ERROR_LOG | (at->to.ss_family == AF_INET6 ? MHD_USE_IPv6 : 0u);
  http->daemon = MHD_start_daemon(flags, 0, NULL, NULL, handle, http, MHD_OPTION_EXTERNAL_LOGGER, say_nothing, NULL,
                                  MHD_OPTION_SOCK_ADDR, (const struct sockaddr*)&at->to, MHD_OPTION_CONNECTION_LIMIT, CONNECTIONS,
                                  MHD_OPTION_PER_IP_CONNECTION_LIMIT, FROM_ONE,
                                  MHD_OPTION_CONNECTION_TIMEOUT, IDLE_SECONDS, MHD_OPTION_CONNECTION_MEMORY_LIMIT,
                                  (size_t)CONNECTION_BYTES, MHD_OPTION_END);
  if (!http->daemon) {
    fh_complain("cannot serve a page at %s (%s); name another port with --page", fh_address_text(at, text, sizeof(text)),
                strerror(errno));
    free(http);
    return NULL;
  }
  return http;
}

void
fh_http_free(FhHttp* const http)
{
  if (http) {
    MHD_stop_daemon(http->daemon);
    free(http);
  }
}

void
fh_http_wait(const FhHttp* const http, fd_set* const in, fd_set* const out, fd_set* const error, int* const last)
{
  if (http) {
    MHD_get_fdset(http->daemon, in, out, error, last);
  }
}

void
fh_http_run(FhHttp* const http, const fd_set* const in, const fd_set* const out, const fd_set* const error, const double now)
{
  if (http) {
    http->now = now;
    MHD_run_from_select(http->daemon, in, out, error);
  }
}
