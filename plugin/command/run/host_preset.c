// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/measure/family.h"
#include "command/run/host.h"

#include <lv2/atom/atom.h>
#include <lv2/presets/presets.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define PRESET_MAX 256
#define RDFS "http://www.w3.org/2000/01/rdf-schema#"

/// Presets of one plugin
typedef struct {
  size_t      count;
  LilvNode*   node[PRESET_MAX];
  char        label[PRESET_MAX][128];
} Presets;

/// What a preset's ports came to
typedef struct {
  FhHost*     host;
  const char* name;   ///< As the user called it
  size_t      count;  ///< Ports set
  bool        ok;     ///< Nothing complained about yet
} Loading;

static void
add_preset(const FhHost* const host, Presets* const presets, const LilvNode* const node)
{
  if (presets->count == PRESET_MAX) {
    return;
  }
  lilv_world_load_resource(host->world, node);
  LilvNode* const key   = lilv_new_uri(host->world, RDFS "label");
  LilvNode* const label = lilv_world_get(host->world, node, key, NULL);
  // A preset that cannot be read has no label: its file name keeps it nameable
  const char* const uri  = lilv_node_as_uri(node);
  const char* const tail = strrchr(uri, '/');
  snprintf(presets->label[presets->count], sizeof(presets->label[0]), "%s",
           label ? lilv_node_as_string(label) : tail ? tail + 1 : uri);
  presets->node[presets->count++] = lilv_node_duplicate(node);
  lilv_node_free(label);
  lilv_node_free(key);
}

/// All presets of the plugin, or only those whose file is within `folder`
static void
list_presets(const FhHost* const host, const char* const folder, Presets* const presets)
{
  presets->count         = 0;
  LilvNode* const  type  = lilv_new_uri(host->world, LV2_PRESETS__Preset);
  LilvNode* const  see   = lilv_new_uri(host->world, RDFS "seeAlso");
  LilvNodes* const nodes = lilv_plugin_get_related(host->plugin, type);
  LILV_FOREACH (nodes, i, nodes) {
    const LilvNode* const node  = lilv_nodes_get(nodes, i);
    LilvNode* const       where = folder ? lilv_world_get(host->world, node, see, NULL) : NULL;
    char* const           path  = where ? lilv_node_get_path(where, NULL) : NULL;
    if (!folder || (path && !strncmp(path, folder, strlen(folder)))) {
      add_preset(host, presets, node);
    }
    lilv_free(path);
    lilv_node_free(where);
  }
  lilv_nodes_free(nodes);
  lilv_node_free(see);
  lilv_node_free(type);
}

static void
free_presets(Presets* const presets)
{
  for (size_t i = 0; i < presets->count; ++i) {
    lilv_node_free(presets->node[i]);
  }
}

/// Labels in one line; those containing `part`, or all if it is empty
static const char*
join_labels(const Presets* const presets, const char* const part, char text[1024])
{
  size_t at = 0;
  text[0]   = '\0';
  for (size_t i = 0; i < presets->count && at < 1023; ++i) {
    if (strcasestr(presets->label[i], part)) {
      const int n = snprintf(text + at, 1024 - at, "%s'%s'", at ? ", " : "", presets->label[i]);
      at += (size_t)n;
    }
  }
  return at ? text : "none";
}

/// Whether this is the factory preset of that name, which its file has and its URI ends in
static bool
is_factory(const LilvNode* const node, const char* const name)
{
  const char* const part = strchr(lilv_node_as_uri(node), '#');
  return part && fh_is_named(part + 1, name);
}

/// Index of the one preset meant, or -1 having complained
/// @param of_show Named in a show, which may come from another machine
static int
choose_preset(const Presets* const presets, const char* const name, const bool of_show)
{
  int    partly = -1;
  size_t parts  = 0;
  for (size_t i = 0; i < presets->count; ++i) {
    if (!strcasecmp(presets->label[i], name)) {
      return (int)i;
    }
  }
  for (size_t i = 0; i < presets->count; ++i) {
    if (is_factory(presets->node[i], name)) {
      return (int)i;
    }
    if (strcasestr(presets->label[i], name)) {
      partly = (int)i;
      ++parts;
    }
  }
  char text[1024];
  if (parts > 1) {
    fh_complain("'%s' fits more than one preset; say more: %s", name, join_labels(presets, name, text));
  } else if (!parts && of_show) {
    fh_complain("there is no preset '%s'; copy its folder from where it was made to %s, or correct the name", name,
                getenv("LV2_PATH") ? "one of LV2_PATH" : "~/.lv2");
  } else if (!parts) {
    fh_complain("there is no preset '%s'; there are: %s", name, join_labels(presets, "", text));
  }
  return parts == 1 ? partly : -1;
}

static void
take_port(const char* const symbol,
          void* const       handle,
          const void* const value,
          const uint32_t    size,
          const uint32_t    type)
{
  Loading* const loading = (Loading*)handle;
  FhHost* const  host    = loading->host;
  const int      control = fh_control_by_symbol(symbol);
  double         number  = (double)NAN;
  if (type == host->map.map(host->map.handle, LV2_ATOM__Float) && size == sizeof(float)) {
    number = (double)*(const float*)value;
  } else if (type == host->map.map(host->map.handle, LV2_ATOM__Double) && size == sizeof(double)) {
    number = *(const double*)value;
  } else if (size == sizeof(int32_t) && (type == host->map.map(host->map.handle, LV2_ATOM__Int) ||
                                         type == host->map.map(host->map.handle, LV2_ATOM__Bool))) {
    number = *(const int32_t*)value;
  }
  if (!loading->ok) {
    return;
  }
  if (control < 0 || fh_controls[control].flow != FH_INPUT) {
    loading->ok = fh_complain("preset '%s' sets an unknown port '%s'; save it again", loading->name, symbol);
  } else if (!(number >= (double)fh_controls[control].min && number <= (double)fh_controls[control].max)) {
    loading->ok = fh_complain("preset '%s' sets %s out of its range, %g to %g; save it again", loading->name, symbol,
                              (double)fh_controls[control].min, (double)fh_controls[control].max);
  } else if (control != FH_LEARN && control != FH_CLEAR) { // those are acts, not settings
    host->v[control] = (float)number;
    ++loading->count;
  }
}

/// Take the ports and the learnt state of one preset
static bool
load_preset(FhHost* const host, const LilvNode* const node, const char* const label)
{
  const int        quiet = fh_quiet_begin();
  // Of a file that breaks off, lilv keeps what came before: loading it anew says whether there was an end
  lilv_world_unload_resource(host->world, node);
  const bool       whole = lilv_world_load_resource(host->world, node) > 0;
  LilvState* const state = whole ? lilv_state_new_from_world(host->world, &host->map, node) : NULL;
  fh_quiet_end(quiet);
  Loading loading = {.host = host, .name = label, .ok = true};
  if (state) {
    lilv_state_emit_port_values(state, take_port, &loading);
  }
  if (loading.ok && !loading.count) {
    loading.ok = fh_complain("preset '%s' cannot be read; save it again", label);
  }
  if (loading.ok) {
    fh_host_restore(host, state);
  }
  lilv_state_free(state);
  return loading.ok;
}

static bool
take_preset(FhHost* const host, const char* const name, const bool of_show)
{
  Presets   presets;
  char      folder[FH_PATH_MAX];
  const int quiet = fh_quiet_begin();
  const bool named_folder =
    strchr(name, '/') && realpath(name, folder) && fh_load_bundle(host->world, folder);
  list_presets(host, named_folder ? folder : NULL, &presets);
  fh_quiet_end(quiet);

  const int chosen = !named_folder         ? choose_preset(&presets, name, of_show)
                     : presets.count == 1u ? 0
                     : presets.count       ? choose_preset(&presets, "", of_show)
                                           : -1;
  if (named_folder && !presets.count) {
    fh_complain("%s holds no preset for %s; name a preset bundle of this plugin", name, host->variant->uri);
  }
  const bool ok = chosen >= 0 && load_preset(host, presets.node[chosen], presets.label[chosen]);
  free_presets(&presets);
  return ok;
}

bool
fh_host_preset(FhHost* const host, const char* const name)
{
  return take_preset(host, name, false);
}

bool
fh_host_come(FhHost* const host, const char* const verb, const FhStand* const stand, const FhSoloist* const soloist)
{
  char who[2 * FH_SHOW_NAME + 16];
  snprintf(who, sizeof(who), "%s: %s: %s", verb, stand->name, soloist->name);
  fh_complain_as(who);
  const bool ok = !*soloist->preset || take_preset(host, soloist->preset, true);
  fh_complain_as(verb);
  return ok;
}
