// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/server.h"

#include "command/base/complain.h"
#include "command/live/server_parts.h"

#include <pthread.h>
#include <sched.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <time.h>

#define RETRY_SECONDS 0.5 ///< Between two looks for the server
#define STILL_SECONDS 3.0 ///< Without a block for so long, the server is taken for gone: not every one says so

static uint64_t
nanoseconds(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (uint64_t)t.tv_sec * 1000000000u + (uint64_t)t.tv_nsec;
}

/// Thread: audio
static int
process(const jack_nframes_t frames, void* const data)
{
  FhServer* const server   = (FhServer*)data;
  const uint64_t started = nanoseconds();
  const float*   ambient = (const float*)jack_port_get_buffer(server->ambient, frames);
  for (size_t i = 0; i < server->rig->count; ++i) {
    const FhStandPorts* const ports = &server->ports[i];
    const float*              in[FH_RIG_INPUTS];
    float*                    out[FH_RIG_OUTPUTS];
    for (uint32_t c = 0; c < ports->closes; ++c) {
      in[c]  = (const float*)jack_port_get_buffer(ports->in[c], frames);
      out[c] = (float*)jack_port_get_buffer(ports->out[c], frames);
    }
    in[ports->closes] = ambient;
    fh_rig_run(&server->rig->stand[i], in, out, frames);
  }
  const uint64_t took = nanoseconds() - started;
  atomic_fetch_add_explicit(&server->busy_ns, took, memory_order_relaxed);
  if (took > atomic_load_explicit(&server->most_ns, memory_order_relaxed)) {
    atomic_store_explicit(&server->most_ns, took, memory_order_relaxed);
  }
  atomic_fetch_add_explicit(&server->blocks, 1u, memory_order_relaxed);
  return 0;
}

/// Thread: one of JACK's
static int
count_xrun(void* const data)
{
  atomic_fetch_add_explicit(&((FhServer*)data)->xruns, 1u, memory_order_relaxed);
  return 0;
}

/// Thread: one of JACK's
static void
note_port(const jack_port_id_t port, const int registered, void* const data)
{
  (void)port;
  (void)registered;
  atomic_store(&((FhServer*)data)->graph_changed, true);
}

/// Thread: one of JACK's
static void
note_shutdown(const jack_status_t code, const char* const reason, void* const data)
{
  (void)code;
  (void)reason;
  atomic_store(&((FhServer*)data)->is_gone, true);
}

/// Libraries must not write into the picture: what matters is noted here
static void
say_nothing(const char* const text)
{
  (void)text;
}

FhServer*
fh_server_new(FhRig* const rig, const FhServerWish* const wish, FhNotes* const notes)
{
  FhServer* const server = (FhServer*)calloc(1, sizeof(FhServer));
  if (!server || !(server->ports = (FhStandPorts*)calloc(rig->count, sizeof(FhStandPorts)))) {
    free(server);
    fh_complain("not enough memory; close other programs");
    return NULL;
  }
  server->rig      = rig;
  server->wish     = *wish;
  server->notes    = notes;
  server->tried_at = -RETRY_SECONDS;
  jack_set_error_function(say_nothing);
  jack_set_info_function(say_nothing);
  return server;
}

static void
close_client(FhServer* const server)
{
  if (server->client) {
    jack_client_close(server->client);
  }
  server->client        = NULL;
  server->state.running = false;
}

void
fh_server_free(FhServer* const server)
{
  if (server) {
    close_client(server);
    free(server->ports);
    free(server);
  }
}

static bool
set_callbacks(FhServer* const server)
{
  jack_client_t* const client = server->client;
  jack_on_info_shutdown(client, note_shutdown, server);
  return !jack_set_process_callback(client, process, server) && !jack_set_xrun_callback(client, count_xrun, server) &&
         !jack_set_port_registration_callback(client, note_port, server);
}

/// Say why there is no sound, and that it goes on by itself
static void
wait_for(FhServer* const server, const jack_status_t status)
{
  if (status & JackNameNotUnique) {
    fh_note(server->notes, "Waiting: JACK has a client named %s already; end it, or take another name with --client",
            server->wish.client);
  } else {
    fh_note(server->notes, "Waiting for the JACK server%s; start it, and the rig sounds by itself",
            status & JackVersionError ? " (it is of another version)" : "");
  }
}

static void
open_client(FhServer* const server)
{
  jack_status_t status = (jack_status_t)0;
  server->client        = jack_client_open(server->wish.client, JackNoStartServer, &status);
  if (!server->client || status & JackNameNotUnique) { // with JackUseExactName jackd would not say that the name is taken
    wait_for(server, status);
    close_client(server);
    return;
  }
  const uint32_t rate = jack_get_sample_rate(server->client);
  if (rate != server->rig->show->rate) {
    fh_note(server->notes, "Waiting: the JACK server runs at %u Hz, the show is made for %u Hz; start one of them anew", rate,
            server->rig->show->rate);
    close_client(server);
    return;
  }
  atomic_store(&server->is_gone, false);
  atomic_store(&server->graph_changed, true);
  if (!fh_server_register(server) || !set_callbacks(server) || jack_activate(server->client)) {
    fh_note(server->notes, "Waiting: the JACK server takes no ports or client; look at its log");
    close_client(server);
    return;
  }
  server->state.running = true;
  server->state.rate    = rate;
  fh_server_connect(server);
  fh_note(server->notes, "Sounding: %zu stands at %u Hz, blocks of %u frames, %s", server->rig->count, rate,
          jack_get_buffer_size(server->client), jack_is_realtime(server->client) ? "in real time" : "without real-time priority");
}

/// Load since the last time
static void
take_figures(FhServer* const server, const double now)
{
  const uint64_t busy   = atomic_load_explicit(&server->busy_ns, memory_order_relaxed);
  const uint32_t blocks = atomic_load_explicit(&server->blocks, memory_order_relaxed);
  server->state.frames   = jack_get_buffer_size(server->client);
  server->state.xruns    = atomic_load_explicit(&server->xruns, memory_order_relaxed);
  if (now - server->figures_at < 1.0) {
    return;
  }
  struct sched_param parameters = {0};
  int                policy     = SCHED_OTHER;
  pthread_getschedparam(jack_client_thread_id(server->client), &policy, &parameters);
  server->state.real_time = policy == SCHED_FIFO || policy == SCHED_RR;
  server->state.priority  = parameters.sched_priority;
  const double block_ns  = 1e9 * server->state.frames / server->state.rate;
  const double count     = (double)(blocks - server->seen_blocks);
  server->state.load      = count > 0.0 ? (double)(busy - server->seen_ns) / (count * block_ns) : 0.0;
  server->state.load_most = (double)atomic_load_explicit(&server->most_ns, memory_order_relaxed) / block_ns;
  server->seen_ns         = busy;
  server->seen_blocks     = blocks;
  server->figures_at      = now;
}

/// Has the server gone, by its own word or by its silence?
static bool
is_gone(FhServer* const server, const double now)
{
  const uint32_t blocks = atomic_load_explicit(&server->blocks, memory_order_relaxed);
  if (blocks != server->heard_blocks) {
    server->heard_blocks = blocks;
    server->heard_at     = now;
  }
  return atomic_load(&server->is_gone) || now - server->heard_at > STILL_SECONDS;
}

void
fh_server_tick(FhServer* const server, const double now)
{
  if (server->client && is_gone(server, now)) {
    close_client(server);
    fh_note(server->notes, "The JACK server has gone; the rig is silent until it is back");
  }
  if (!server->client) {
    if (now - server->tried_at < RETRY_SECONDS) {
      return;
    }
    server->tried_at = now;
    open_client(server);
    server->heard_at = now;
  }
  if (server->client) {
    take_figures(server, now);
    if (atomic_exchange(&server->graph_changed, false)) {
      fh_server_connect(server);
    }
  }
}

FhServerState
fh_server_state(const FhServer* const server)
{
  return server->state;
}

bool
fh_server_lock_memory(void)
{
  struct rlimit limit;
  // Under a limit, locking what comes later would make later allocations fail
  const bool all = !getrlimit(RLIMIT_MEMLOCK, &limit) && limit.rlim_cur == RLIM_INFINITY;
  return (all && !mlockall(MCL_CURRENT | MCL_FUTURE)) || !mlockall(MCL_CURRENT);
}
