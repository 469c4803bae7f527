// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file host.h
/// A small LV2 host, offline: finds the built or installed plugin, loads presets, runs it block by block.

#ifndef FRONTHASH_COMMAND_HOST_H
#define FRONTHASH_COMMAND_HOST_H

#include "command/base/temp.h"
#include "command/show/show.h"
#include "ports.h"

#include <lilv/lilv.h>
#include <lv2/core/lv2.h>
#include <lv2/urid/urid.h>

#include <stdbool.h>
#include <stdint.h>

#define FH_URID_MAX 512

/// Texts and their numbers, as plugins and states ask for them
typedef struct {
  uint32_t count;
  char*    text[FH_URID_MAX];
} FhUrids;

/// One plugin instance with its ports
typedef struct {
  const FhVariant*  variant;
  double            rate;              ///< Hz
  char              bundle[FH_PATH_MAX]; ///< Folder the plugin was loaded from
  float             v[FH_CONTROL_COUNT]; ///< Control ports; the inputs start at their defaults
  LilvWorld*        world;
  const LilvPlugin* plugin;
  LilvInstance*     instance;
  uint32_t          audio_ports[6];    ///< Indices in the order of the variant's symbols
  float*            audio_at[6];       ///< Where these are connected
  FhUrids           urids;
  LV2_URID_Map      map;
  LV2_URID_Unmap    unmap;
  LV2_Feature       map_feature;
  LV2_Feature       unmap_feature;
  const LV2_Feature* features[3];
} FhHost;

/// Load the plugin and start it. Pair: fh_host_free.
/// @param bundle fronthash.lv2 itself or the folder it is in; NULL looks in LV2_PATH, then beside the command.
/// @return NULL, having complained.
FhHost* fh_host_new(const char* bundle, const FhVariant* variant, double rate);

void fh_host_free(FhHost* host);

/// Load a preset: by label, by a part of it that fits only one, or by the folder of a preset bundle.
/// @return false, having complained: unknown, ambiguous, broken.
bool fh_host_preset(FhHost* host, const char* name);

/// Load the preset that a show names for a soloist, if it names one. The complaint begins with verb, stand and soloist.
/// @return false, having complained: as above.
bool fh_host_come(FhHost* host, const char* verb, const FhStand* stand, const FhSoloist* soloist);

/// Set one control input from "symbol=value". @return false, having complained: unknown port, out of range.
bool fh_host_set(FhHost* host, const char* assignment);

/// Forget all running state but keep what was learnt, as a host does when it stops and starts the transport.
void fh_host_rewind(FhHost* host);

/// Ports and learnt state as a preset holds them, without what belongs to the moment (enabled, muted, learn, clear,
/// listen). Pair: lilv_state_free.
LilvState* fh_host_state(FhHost* host);

/// Learnt state alone, which may be asked for while another thread runs the plugin. Pair: lilv_state_free.
LilvState* fh_host_learnt(FhHost* host);

/// Bring back learnt state, not ports. Likewise while another thread runs the plugin.
void fh_host_restore(FhHost* host, const LilvState* state);

/// Run one block of any length; control outputs are in `v` afterwards.
/// @param in Close microphones, then the ambient. @param out As many as the variant has outputs.
void fh_host_run(FhHost* host, const float* const in[], float* const out[], uint32_t frames);

/// Control by its port symbol, -1 if there is none.
int fh_control_by_symbol(const char* symbol);

/// Find the folder of fronthash.lv2; see fh_host_new. @return false, having complained.
bool fh_find_bundle(const char* named, char found[FH_PATH_MAX]);

/// Load every bundle of the host's preset folders that belongs to Fronthash but is not the plugin itself.
void fh_load_preset_bundles(LilvWorld* world);

/// Load one folder into a world. @return false if it holds no manifest.
bool fh_load_bundle(LilvWorld* world, const char* folder);

/// Keep libraries from writing on standard error until fh_quiet_end; one complaint is one line.
int  fh_quiet_begin(void);
void fh_quiet_end(int saved);

#endif
