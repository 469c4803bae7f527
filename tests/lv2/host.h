// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file host.h
/// A small LV2 host for the tests: loads the built bundle through lilv and runs one plugin of it.
///
/// The bundle's folder comes from the environment variable FH_BUNDLE (`meson test` sets it).

#ifndef FRONTHASH_TESTS_HOST_H
#define FRONTHASH_TESTS_HOST_H

#include "ports.h"

#include <lilv/lilv.h>
#include <lv2/core/lv2.h>
#include <lv2/urid/urid.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define FH_MAX_AUDIO 6

/// One running plugin and its ports
typedef struct {
  const FhVariant*  variant;
  const LilvPlugin* plugin;
  LilvInstance*     instance;
  double            rate;
  float             controls[FH_CONTROL_COUNT]; ///< All control ports are connected to these
} FhHost;

/// Open and close the bundle, as cmocka group fixtures. `*state` becomes the LilvWorld.
int fh_bundle_open(void** state);
int fh_bundle_close(void** state);

/// The plugin of a variant, never NULL
const LilvPlugin* fh_bundle_plugin(const FhVariant* variant);

/// The opened bundle
LilvWorld* fh_bundle_world(void);

/// A URID map for tests that need one, safe for several threads
LV2_URID_Map*   fh_map(void);
LV2_URID_Unmap* fh_unmap(void);

/// Instantiate with a URID map, all controls connected and at their defaults, audio at NULL, and activate
void fh_host_open(FhHost* host, const FhVariant* variant, double rate);

/// The same with the features given; `features` may be NULL
void
fh_host_open_with(FhHost* host, const FhVariant* variant, double rate, const LV2_Feature* const* features);

void fh_host_close(FhHost* host);

/// Number of audio ports
uint32_t fh_host_audio(const FhHost* host);

/// Connect audio port `index` (in index order; NULL is fine)
void fh_host_connect(const FhHost* host, uint32_t index, float* buffer);

/// Connect a control port elsewhere (NULL is fine)
void fh_host_connect_control(const FhHost* host, FhControl control, float* value);

/// Run `frames` frames on what is connected
void fh_host_run(const FhHost* host, uint32_t frames);

/// Process a take from `in` to `out`, both arrays of pointers per port, in blocks of `block` frames, or
/// of random length from 0 to 999 if that is 0
/// @param ins Close inputs, then ambient; entries may be NULL
/// @param outs Outputs; entries may be NULL
void fh_host_render(const FhHost* host, const float* const ins[], float* const outs[], uint32_t frames, uint32_t block);

#endif
