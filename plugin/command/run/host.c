// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/host.h"

#include "command/base/complain.h"
#include "command/base/options.h"

#include <lv2/atom/atom.h>
#include <lv2/state/state.h>

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int
fh_quiet_begin(void)
{
  fflush(stderr);
  const int saved = dup(STDERR_FILENO);
  const int null  = open("/dev/null", O_WRONLY | O_CLOEXEC);
  if (null >= 0) {
    dup2(null, STDERR_FILENO);
    close(null);
  }
  return saved;
}

void
fh_quiet_end(const int saved)
{
  fflush(stderr);
  if (saved >= 0) {
    dup2(saved, STDERR_FILENO);
    close(saved);
  }
}

static LV2_URID
map_text(const LV2_URID_Map_Handle handle, const char* const text)
{
  FhUrids* const urids = (FhUrids*)handle;
  for (uint32_t i = 0; i < urids->count; ++i) {
    if (!strcmp(urids->text[i], text)) {
      return i + 1;
    }
  }
  if (urids->count == FH_URID_MAX || !(urids->text[urids->count] = strdup(text))) {
    return 0;
  }
  return ++urids->count;
}

static const char*
unmap_number(const LV2_URID_Unmap_Handle handle, const LV2_URID urid)
{
  const FhUrids* const urids = (const FhUrids*)handle;
  return urid && urid <= urids->count ? urids->text[urid - 1] : NULL;
}

static void
set_features(FhHost* const host)
{
  host->map           = (LV2_URID_Map){&host->urids, map_text};
  host->unmap         = (LV2_URID_Unmap){&host->urids, unmap_number};
  host->map_feature   = (LV2_Feature){LV2_URID__map, &host->map};
  host->unmap_feature = (LV2_Feature){LV2_URID__unmap, &host->unmap};
  host->features[0]   = &host->map_feature;
  host->features[1]   = &host->unmap_feature;
}

int
fh_control_by_symbol(const char* const symbol)
{
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    if (!strcmp(fh_controls[i].symbol, symbol)) {
      return i;
    }
  }
  return -1;
}

static const LilvPort*
find_port(const FhHost* const host, const char* const symbol)
{
  LilvNode* const       node = lilv_new_string(host->world, symbol);
  const LilvPort* const port = lilv_plugin_get_port_by_symbol(host->plugin, node);
  lilv_node_free(node);
  return port;
}

static bool
connect_ports(FhHost* const host)
{
  for (uint32_t i = 0; i < lilv_plugin_get_num_ports(host->plugin); ++i) {
    lilv_instance_connect_port(host->instance, i, NULL);
  }
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    const LilvPort* const port = find_port(host, fh_controls[i].symbol);
    if (!port) {
      return fh_complain("%s has no port '%s': it is of another version; install both from one build", host->bundle,
                         fh_controls[i].symbol);
    }
    host->v[i] = fh_controls[i].def;
    lilv_instance_connect_port(host->instance, lilv_port_get_index(host->plugin, port), &host->v[i]);
  }
  for (uint32_t i = 0; i < fh_first_control(host->variant); ++i) {
    const LilvPort* const port = find_port(host, host->variant->symbols[i]);
    if (!port) {
      return fh_complain("%s has no port '%s': it is of another version; install both from one build", host->bundle,
                         host->variant->symbols[i]);
    }
    host->audio_ports[i] = lilv_port_get_index(host->plugin, port);
  }
  return true;
}

static bool
load_plugin(FhHost* const host, const char* const bundle)
{
  if (!fh_find_bundle(bundle, host->bundle)) {
    return false;
  }
  const int quiet = fh_quiet_begin();
  host->world     = lilv_world_new();
  fh_load_bundle(host->world, host->bundle);
  fh_load_preset_bundles(host->world);
  LilvNode* const uri = lilv_new_uri(host->world, host->variant->uri);
  host->plugin        = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(host->world), uri);
  lilv_node_free(uri);
  if (host->plugin) {
    host->instance = lilv_plugin_instantiate(host->plugin, host->rate, host->features);
  }
  fh_quiet_end(quiet);
  if (!host->plugin) {
    return fh_complain("%s does not hold the plugin %s; build or install it again", host->bundle, host->variant->uri);
  }
  if (!host->instance) {
    return fh_complain("the plugin in %s does not start at %.0f Hz; build or install it again", host->bundle,
                       host->rate);
  }
  return true;
}

FhHost*
fh_host_new(const char* const bundle, const FhVariant* const variant, const double rate)
{
  FhHost* const host = (FhHost*)calloc(1, sizeof(FhHost));
  if (!host) {
    fh_complain("not enough memory; close other programs");
    return NULL;
  }
  host->variant = variant;
  host->rate    = rate;
  set_features(host);
  if (!load_plugin(host, bundle) || !connect_ports(host)) {
    fh_host_free(host);
    return NULL;
  }
  lilv_instance_activate(host->instance);
  return host;
}

void
fh_host_free(FhHost* const host)
{
  if (!host) {
    return;
  }
  if (host->instance) {
    lilv_instance_deactivate(host->instance);
    lilv_instance_free(host->instance);
  }
  lilv_world_free(host->world);
  for (uint32_t i = 0; i < host->urids.count; ++i) {
    free(host->urids.text[i]);
  }
  free(host);
}

bool
fh_host_set(FhHost* const host, const char* const assignment)
{
  char              symbol[64];
  const char* const equals = strchr(assignment, '=');
  if (!equals || equals == assignment || (size_t)(equals - assignment) >= sizeof(symbol)) {
    return fh_complain("--set takes port=value, as in open_margin=6, not '%s'", assignment);
  }
  snprintf(symbol, sizeof(symbol), "%.*s", (int)(equals - assignment), assignment);
  const int control = fh_control_by_symbol(symbol);
  if (control < 0 || fh_controls[control].flow != FH_INPUT) {
    char   list[512] = "";
    size_t at        = 0;
    for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
      if (fh_controls[i].flow == FH_INPUT) {
        at += (size_t)snprintf(list + at, sizeof(list) - at, "%s%s", at ? ", " : "", fh_controls[i].symbol);
      }
    }
    return fh_complain("there is no port '%s' to set; there are %s", symbol, list);
  }
  const FhPortInfo* const info  = &fh_controls[control];
  double                  value = 0.0;
  const bool              whole = info->kind == FH_KIND_TOGGLE || info->kind == FH_KIND_CHOICE;
  if (!fh_parse_number(equals + 1, &value) || value < (double)info->min || value > (double)info->max ||
      (whole && value != floor(value))) {
    return fh_complain("%s (%s) takes a %snumber from %g to %g%s%s, not '%s'", symbol, info->name,
                       whole ? "whole " : "", (double)info->min, (double)info->max, *info->unit ? " " : "",
                       info->unit, equals + 1);
  }
  host->v[control] = (float)value;
  return true;
}

void
fh_host_rewind(FhHost* const host)
{
  lilv_instance_deactivate(host->instance);
  lilv_instance_activate(host->instance);
}

static const void*
port_value(const char* const symbol, void* const handle, uint32_t* const size, uint32_t* const type)
{
  FhHost* const host    = (FhHost*)handle;
  const int     control = fh_control_by_symbol(symbol);
  *size                 = 0;
  *type                 = 0;
  switch (control) {
  case -1:
  case FH_ENABLED:
  case FH_MUTED:
  case FH_LEARN:
  case FH_CLEAR:
  case FH_LISTEN:
    return NULL;
  default:
    *size = sizeof(float);
    *type = host->map.map(host->map.handle, LV2_ATOM__Float);
    return &host->v[control];
  }
}

LilvState*
fh_host_state(FhHost* const host)
{
  return lilv_state_new_from_instance(host->plugin, host->instance, &host->map, NULL, NULL, NULL, NULL, port_value,
                                      host,
                                      LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE, host->features);
}

LilvState*
fh_host_learnt(FhHost* const host)
{
  return lilv_state_new_from_instance(host->plugin, host->instance, &host->map, NULL, NULL, NULL, NULL, NULL, NULL,
                                      LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE, host->features);
}

void
fh_host_restore(FhHost* const host, const LilvState* const state)
{
  lilv_state_restore(state, host->instance, NULL, NULL, 0, host->features);
}

void
fh_host_run(FhHost* const host, const float* const in[], float* const out[], const uint32_t frames)
{
  const FhVariant* const variant = host->variant;
  for (uint32_t i = 0; i < fh_first_control(variant); ++i) {
    // LV2 has one kind of pointer for both directions; the plugin only reads its inputs
    float* const buffer = i <= variant->closes ? (float*)(uintptr_t)in[i] : out[i - variant->closes - 1];
    if (buffer != host->audio_at[i]) { // a sound server brings the same ones again and again
      host->audio_at[i] = buffer;
      lilv_instance_connect_port(host->instance, host->audio_ports[i], buffer);
    }
  }
  lilv_instance_run(host->instance, frames);
}
