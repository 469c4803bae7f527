// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#define _POSIX_C_SOURCE 200809L // strdup

#include "host.h"
#include "take.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static LilvWorld* world;

int
fh_bundle_open(void** const state)
{
  const char* const folder = getenv("FH_BUNDLE");
  if (!folder) {
    fprintf(stderr, "FH_BUNDLE is not set: run this through `meson test`\n");
    return 1;
  }

  char path[4096];
  snprintf(path, sizeof(path), "%s/", folder);
  world = lilv_world_new();
  LilvNode* const uri = lilv_new_file_uri(world, NULL, path);
  lilv_world_load_bundle(world, uri);
  lilv_node_free(uri);
  *state = world;
  return lilv_plugins_size(lilv_world_get_all_plugins(world)) == FH_VARIANT_COUNT ? 0 : 1;
}

int
fh_bundle_close(void** const state)
{
  (void)state;
  lilv_world_free(world);
  world = NULL;
  return 0;
}

LilvWorld*
fh_bundle_world(void)
{
  return world;
}

const LilvPlugin*
fh_bundle_plugin(const FhVariant* const variant)
{
  LilvNode* const         uri = lilv_new_uri(world, variant->uri);
  const LilvPlugin* const plugin = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), uri);
  lilv_node_free(uri);
  assert_non_null(plugin);
  return plugin;
}

#define MAX_URIDS 256
static char*           uris[MAX_URIDS];
static LV2_URID        uri_count;
static pthread_mutex_t uri_lock = PTHREAD_MUTEX_INITIALIZER;

static LV2_URID
map_uri(const LV2_URID_Map_Handle handle, const char* const uri)
{
  (void)handle;
  pthread_mutex_lock(&uri_lock);
  LV2_URID id = 1;
  while (id <= uri_count && strcmp(uris[id - 1], uri) != 0) {
    ++id;
  }
  if (id > uri_count && uri_count < MAX_URIDS) {
    uris[uri_count++] = strdup(uri);
  }
  pthread_mutex_unlock(&uri_lock);
  return id;
}

static const char*
unmap_uri(const LV2_URID_Unmap_Handle handle, const LV2_URID id)
{
  (void)handle;
  pthread_mutex_lock(&uri_lock);
  const char* const uri = id > 0 && id <= uri_count ? uris[id - 1] : NULL;
  pthread_mutex_unlock(&uri_lock);
  return uri;
}

LV2_URID_Map*
fh_map(void)
{
  static LV2_URID_Map map = {NULL, map_uri};
  return &map;
}

LV2_URID_Unmap*
fh_unmap(void)
{
  static LV2_URID_Unmap unmap = {NULL, unmap_uri};
  return &unmap;
}

void
fh_host_open(FhHost* const host, const FhVariant* const variant, const double rate)
{
  const LV2_Feature        map = {LV2_URID__map, fh_map()};
  const LV2_Feature* const features[] = {&map, NULL};
  fh_host_open_with(host, variant, rate, features);
}

void
fh_host_open_with(FhHost* const                   host,
                  const FhVariant* const          variant,
                  const double                    rate,
                  const LV2_Feature* const* const features)
{
  host->variant = variant;
  host->plugin = fh_bundle_plugin(variant);
  host->rate = rate;
  host->instance = lilv_plugin_instantiate(host->plugin, rate, features);
  assert_non_null(host->instance);
  for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
    host->controls[i] = fh_controls[i].def;
    fh_host_connect_control(host, (FhControl)i, &host->controls[i]);
  }
  lilv_instance_activate(host->instance);
}

void
fh_host_close(FhHost* const host)
{
  lilv_instance_deactivate(host->instance);
  lilv_instance_free(host->instance);
  host->instance = NULL;
}

uint32_t
fh_host_audio(const FhHost* const host)
{
  return fh_first_control(host->variant);
}

void
fh_host_connect(const FhHost* const host, const uint32_t index, float* const buffer)
{
  lilv_instance_connect_port(host->instance, index, buffer);
}

void
fh_host_connect_control(const FhHost* const host, const FhControl control, float* const value)
{
  lilv_instance_connect_port(host->instance, fh_first_control(host->variant) + (uint32_t)control, value);
}

void
fh_host_run(const FhHost* const host, const uint32_t frames)
{
  lilv_instance_run(host->instance, frames);
}

void
fh_host_render(const FhHost* const host,
               const float* const  ins[],
               float* const        outs[],
               const uint32_t      frames,
               const uint32_t      block)
{
  const uint32_t in_count = host->variant->closes + 1u;
  uint32_t       seed = 20260801u;
  for (uint32_t done = 0; done < frames;) {
    const uint32_t wanted = block ? block : fh_random(&seed) % 1000u;
    const uint32_t n = frames - done < wanted ? frames - done : wanted;
    for (uint32_t i = 0; i < fh_host_audio(host); ++i) {
      float* const base = i < in_count ? (float*)ins[i] : outs[i - in_count]; // Inputs are const to a plugin
      fh_host_connect(host, i, base ? base + done : NULL);
    }
    fh_host_run(host, n);
    done += n;
  }
}
