// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/live/http.h"
#include "command/live/keys.h"
#include "command/live/osc.h"
#include "command/live/save.h"
#include "command/live/server.h"
#include "command/live/watch.h"
#include "command/verbs.h"

#include <math.h>
#include <signal.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/select.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#define TICK_SECONDS 0.1

static const char* const about =
  "Runs a show without a host: one engine for each stand of the show file, connected to the desk's interface through JACK or PipeWire. "
  "The terminal shows all soloists, and keys work on the chosen one. What is learnt is saved as it changes, and is there again after a "
  "restart. Without a terminal it runs all the same and writes what happens on standard error. docs/live.md tells all of it.\n"
  "Keep the faders down while you patch: an open microphone can feed back and hurt.";

static const char* const examples = "  fronthash live tide-lines.show\n"
                                    "  fronthash live tide-lines.show --capture 'system:capture_' --play 'system:playback_'\n";

typedef struct {
  const char* bundle;
  const char* state;
  bool        no_connect;
  const char* osc;
  const char* page;
  const char* token;
  FhServerWish server;
} Options;

/// Everything of a running show
typedef struct {
  FhShow*     show;
  const char* path;   ///< Of its file
  struct stat seen;   ///< The file as it was last looked at
  double      looked; ///< When that was, s
  int         lock;   ///< A name, held against a second one
  FhRig*   rig;
  FhSave   save;
  FhNotes  notes;
  FhServer* server;
  FhOsc*    osc;  ///< NULL where it is off
  FhHttp*   http; ///< Likewise
  FhKeys    keys;
  FhWatch   watch;
} Live;

static volatile sig_atomic_t stopped;

static void
stop(const int signal_number)
{
  (void)signal_number;
  stopped = 1;
}

static double
seconds(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/// Hold a name against a second one of this show: two would write over each other what they learn. It is an abstract socket's
/// (unix(7)), which ends with the process; a lock on the file would be lost when an editor puts a new file in its place.
/// @return -1 if it is held
static int
take_name(const char* const path)
{
  char* const        real = realpath(path, NULL);
  char* const        file = real ? strrchr(real, '/') : NULL;
  struct sockaddr_un name = {.sun_family = AF_UNIX};
  struct stat        folder;
  int                lock = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (file) {
    *file = '\0';
  }
  if (file && lock >= 0 && !stat(*real ? real : "/", &folder)) {
    snprintf(name.sun_path + 1, sizeof(name.sun_path) - 1, "fronthash-live-%jx-%jx-%.50s", (uintmax_t)folder.st_dev,
             (uintmax_t)folder.st_ino, file + 1);
    if (bind(lock, (const struct sockaddr*)&name, sizeof(name))) {
      close(lock);
      lock = -1;
    }
  }
  free(real);
  return lock;
}

static bool
take_show(Live* const live, const char* const path)
{
  live->lock = -1;
  live->show = fh_show_read(path);
  if (!live->show) {
    return false;
  }
  live->path = path;
  live->lock = take_name(path);
  return live->lock >= 0 ? !stat(path, &live->seen) || fh_complain("%s cannot be found; check the name", path)
                         : fh_complain("%s is running already; end that one first", path);
}

/// Somebody may expect that what is written into the show file counts at once
static void
watch_file(Live* const live, const double now)
{
  struct stat seen;
  if (now - live->looked < 1.0 || stat(live->path, &seen)) {
    return;
  }
  live->looked = now;
  if (seen.st_mtim.tv_sec != live->seen.st_mtim.tv_sec || seen.st_mtim.tv_nsec != live->seen.st_mtim.tv_nsec) {
    fh_note(&live->notes, "%s has been changed; that counts from the next start on", live->path);
  }
  live->seen = seen;
}

static bool
listen_osc(Live* const live, const char* const text)
{
  FhAddress at;
  char      where[64];
  if (!strcmp(text, "off")) {
    return true;
  }
  live->osc = fh_address_read("osc", text, &at) ? fh_osc_new(live->rig, &at) : NULL;
  if (live->osc && !fh_address_is_here(&at)) {
    fh_note(&live->notes, "Open Sound Control at %s is open to the network: everyone in it can work the rig",
            fh_address_text(&at, where, sizeof(where)));
  }
  return live->osc;
}

static bool
serve_page(Live* const live, const char* const text, const char* const token_path)
{
  FhAddress at;
  char      where[64], token[FH_TOKEN_MAX];
  if (!text) {
    return !token_path || fh_complain("--page-token goes with --page; name a port with that");
  }
  if (!fh_address_read("page", text, &at) || (token_path && !fh_token_read(token_path, token))) {
    return false;
  }
  live->http = fh_http_new(live->rig, live->server, &live->notes, &at, token_path ? token : NULL);
  if (live->http) {
    fh_note(&live->notes, "Page: http://%s/%s%s%s", fh_address_text(&at, where, sizeof(where)),
            token_path ? "#, and the token in " : "", token_path ? token_path : "",
            fh_address_is_here(&at) ? "" : ". Everyone in that network can look at it, and read what it says");
  }
  return live->http;
}

static bool
begin(Live* const live, const char* const path, const Options* const o)
{
  live->notes.print = !isatty(STDOUT_FILENO);
  if (!take_show(live, path) || !fh_save_begin(&live->save, path, o->state)) {
    return false;
  }
  live->rig = fh_rig_new(live->show, o->bundle);
  if (!live->rig) {
    return false;
  }
  live->server = fh_server_new(live->rig, &o->server, &live->notes);
  if (!live->server || !listen_osc(live, o->osc) || !serve_page(live, o->page, o->token)) {
    return false;
  }
  fh_keys_begin(&live->keys);
  live->notes.print = !live->keys.on;
  fh_complain_to(fh_note_complaint, &live->notes);
  if (!fh_server_lock_memory()) {
    fh_note(&live->notes, "Memory cannot be locked; allow it with memlock in /etc/security/limits.d, see docs/live.md");
  }
  fh_save_restore(&live->save, live->rig);
  fh_watch_begin(&live->watch, live->rig);
  return true;
}

static void
tick(Live* const live, const double now)
{
  fh_server_tick(live->server, now);
  fh_rig_tick(live->rig, now);
  const FhServerState state = fh_server_state(live->server);
  fh_watch_tick(&live->watch, live->rig, &state, &live->notes, now);
  fh_save_tick(&live->save, live->rig, now);
  watch_file(live, now);
  if (live->osc) {
    fh_osc_tick(live->osc, &state, now);
  }
  if (live->keys.on) {
    fh_keys_draw(&live->keys, live->rig, &state, &live->notes);
  }
}

/// Wait until something comes in, or the next tick is due, and take it
static void
take_in(Live* const live, const double next)
{
  fd_set in, out, error;
  FD_ZERO(&in);
  FD_ZERO(&out);
  FD_ZERO(&error);
  const int keys = live->keys.on ? STDIN_FILENO : -1;
  const int osc  = fh_osc_fd(live->osc);
  int       last = keys > osc ? keys : osc;
  if (keys >= 0) {
    FD_SET(keys, &in);
  }
  if (osc >= 0) {
    FD_SET(osc, &in);
  }
  fh_http_wait(live->http, &in, &out, &error, &last);
  const double   most = fmax(next - seconds(), 0.0);
  struct timeval wait = {.tv_sec = (time_t)most, .tv_usec = (suseconds_t)(1e6 * fmod(most, 1.0))};
  if (select(last + 1, &in, &out, &error, &wait) < 0) {
    return; // a signal
  }
  const double now = seconds();
  if (keys >= 0 && FD_ISSET(keys, &in)) {
    fh_keys_read(&live->keys, live->rig, now);
    live->notes.print = !live->keys.on;
  }
  if (osc >= 0 && FD_ISSET(osc, &in)) {
    fh_osc_read(live->osc, now);
  }
  fh_http_run(live->http, &in, &out, &error, now);
}

static void
loop(Live* const live)
{
  for (double next = seconds(); !stopped && !live->keys.quit;) {
    take_in(live, next);
    const double now = seconds();
    if (now >= next) {
      tick(live, now);
      next = fmax(next + TICK_SECONDS, now);
    }
  }
}

static void
end(Live* const live)
{
  if (live->rig && live->server) {
    fh_save_tick(&live->save, live->rig, INFINITY);
  }
  fh_http_free(live->http);
  fh_osc_free(live->osc);
  fh_server_free(live->server);
  fh_keys_end(&live->keys);
  fh_complain_to(NULL, NULL);
  fh_save_end(&live->save);
  fh_rig_free(live->rig);
  fh_show_free(live->show);
  if (live->lock >= 0) {
    close(live->lock);
  }
}

static int
run_show(const char* const path, const Options* const o)
{
  static Live live;
  const bool  ok = begin(&live, path, o);
  if (ok) {
    struct sigaction action = {.sa_handler = stop};
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    signal(SIGHUP, SIG_IGN); // The sound outlasts the terminal
    signal(SIGPIPE, SIG_IGN);
    loop(&live);
  }
  end(&live);
  return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}

int
fh_verb_live(const int argc, char** const argv)
{
  Options        o       = {.osc = FH_OSC_PORT, .server = {.client = "fronthash"}};
  const FhOption table[] = {
    {"client", "NAME", "Name under which it appears in JACK. Default: fronthash.", FH_OPTION_TEXT, &o.server.client, 0, 0},
    {"capture", "PORTS", "Ports that are the interface's inputs, as a regular expression; the first that fits is channel 1. Default: all of the hardware.",
     FH_OPTION_TEXT, &o.server.capture, 0, 0},
    {"play", "PORTS", "Ports that are the interface's outputs, likewise.", FH_OPTION_TEXT, &o.server.play, 0, 0},
    {"no-connect", NULL, "Connect nothing: leave that to a patchbay.", FH_OPTION_FLAG, &o.no_connect, 0, 0},
    {"osc", "PORT", "Where to listen for Open Sound Control: a port of this machine, an address of it and a port, or off. Default: " FH_OSC_PORT ".", FH_OPTION_TEXT, &o.osc, 0, 0},
    {"page", "PORT", "Serve all soloists as a page for browsers: a port of this machine, or an address of it and a port. Default: no page.",
     FH_OPTION_TEXT, &o.page, 0, 0},
    {"page-token", "FILE", "Let the page work the rig for whoever has the token in this file, which is made if it is not there. Default: the page is to look at only.",
     FH_OPTION_TEXT, &o.token, 0, 0},
    {"state", "FILE", "Where to keep what is learnt. Default: beside the show, its name ending in .live.", FH_OPTION_TEXT, &o.state, 0, 0},
    {"bundle", "DIR", "Plugin bundle to run. Default: as for render.", FH_OPTION_TEXT, &o.bundle, 0, 0},
  };
  const FhUsage usage = {
    .verb          = "live",
    .about         = about,
    .examples      = examples,
    .options       = table,
    .option_count  = sizeof(table) / sizeof(table[0]),
  };
  const char*    path      = NULL;
  const FhParsed parsed    = fh_parse_show(&usage, argc, argv, &path);
  if (parsed != FH_PARSED_OK) {
    return parsed == FH_PARSED_DONE ? EXIT_SUCCESS : EXIT_FAILURE;
  }
  o.server.connect = !o.no_connect;
  return run_show(path, &o);
}
