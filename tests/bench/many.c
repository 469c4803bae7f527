// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// fh-bench-many [CHART.png]: cost of 1 to 200 instances in one process, run in turn as a host's mixer does, and how long
// it takes to find the bundle and to make an instance.

#include "chart.h"
#include "signals.h"
#include "subject.h"

#include "ports.h"

#include <lilv/lilv.h>

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { MOST = 200, BLOCK = 64, ROUNDS = 300, SWEEPS = 6 };

static double
now(void)
{
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return 1e9 * (double)t.tv_sec + (double)t.tv_nsec;
}

/// Time for one block of each of `n` instances, ns: what the quickest tenth of the rounds keeps to
static double
round_of(void* const instances[], const uint32_t n, const FhBenchAudio* const audio)
{
  static float  out[2][BLOCK];
  static double times[ROUNDS];
  float* const  outs[2] = {out[0], out[1]};
  for (uint32_t r = 0; r < ROUNDS; ++r) {
    const uint32_t     at       = r * BLOCK;
    const float* const close[2] = {audio->close[0] + at, audio->close[1] + at};
    const double       begin    = now();
    for (uint32_t i = 0; i < n; ++i) {
      fh_plugin_run(instances[i], close, audio->ambient + at, outs, BLOCK);
    }
    const double time = now() - begin;
    uint32_t     j    = r;
    for (; j > 0 && times[j - 1] > time; --j) {
      times[j] = times[j - 1];
    }
    times[j] = time;
  }
  return times[ROUNDS / 10];
}

/// Time to find the bundle and to make one instance, the best of some tries
static void
time_start(void)
{
  const char* const bundle = getenv("FH_BUNDLE");
  char              uri[4096];
  (void)snprintf(uri, sizeof(uri), "file://%s/", bundle ? bundle : "");
  double discovery = 1e12, instance = 1e12;
  for (int i = 0; i < 50; ++i) {
    LilvWorld* const world = lilv_world_new();
    LilvNode* const  node  = lilv_new_uri(world, uri);
    double           begin = now();
    lilv_world_load_bundle(world, node);
    discovery = now() - begin < discovery ? now() - begin : discovery;

    LilvNode* const         solo   = lilv_new_uri(world, FH_URI_SOLO);
    const LilvPlugin* const plugin = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), solo);
    if (!plugin) {
      (void)fprintf(stderr, "no plugin in %s: build first, and let FH_BUNDLE name the bundle by its whole path\n", uri);
      exit(1);
    }
    (void)lilv_plugin_get_num_ports(plugin); // reads the description
    begin                    = now();
    LilvInstance* const made = lilv_plugin_instantiate(plugin, FH_BENCH_RATE, NULL);
    instance                 = now() - begin < instance ? now() - begin : instance;
    lilv_instance_free(made);
    lilv_node_free(solo);
    lilv_node_free(node);
    lilv_world_free(world);
  }
  printf("finding the bundle (its manifest): %.3f ms; making an instance, with loading the library: %.3f ms\n",
         1e-6 * discovery,
         1e-6 * instance);
}

int
main(const int argc, char** const argv)
{
  static const uint32_t counts[] = {1, 2, 5, 10, 20, 40, 60, 80, 100, 120, 140, 160, 180, 200};
  enum { POINTS = sizeof(counts) / sizeof(counts[0]) };

  time_start();
  void* instances[MOST];
  for (int i = 0; i < MOST; ++i) {
    instances[i] = fh_plugin_open(1, 0);
    if (!instances[i]) {
      return 1;
    }
  }
  FhBenchAudio audio = fh_bench_audio(FH_SIGNAL_LOUD);
  double       x[POINTS], y[POINTS];
  for (int sweep = 0; sweep < SWEEPS; ++sweep) { // of each count the quickest: another program's turn does not count
    for (int i = 0; i < POINTS; ++i) {
      const double us = 1e-3 * round_of(instances, counts[i], &audio);
      x[i]            = counts[i];
      y[i]            = sweep && y[i] < us ? y[i] : us;
    }
  }
  printf("%9s %12s %12s %12s\n", "instances", "us a block", "us each", "of one core");
  for (int i = 0; i < POINTS; ++i) {
    printf("%9.0f %12.1f %12.3f %11.1f%%\n", x[i], y[i], y[i] / x[i], 100.0 * y[i] / (1e6 * BLOCK / FH_BENCH_RATE));
  }
  for (int i = 0; i < MOST; ++i) {
    fh_plugin_close(instances[i]);
  }
  fh_bench_audio_free(&audio);
  return argc > 1 ? fh_chart_write(argv[1], x, y, POINTS, 1e6 * BLOCK / FH_BENCH_RATE) : 0;
}
