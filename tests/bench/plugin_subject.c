// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The plugin as a host runs it: loaded, connected, one run() a block, everything of it counted

#include "subject.h"

#include "ports.h"
#include "signals.h"

#include <lv2/core/lv2.h>

#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  void*                 library;
  const LV2_Descriptor* descriptor;
  const FhVariant*      variant;
  LV2_Handle            handle;
  float                 controls[FH_CONTROL_COUNT];
} Plugin;

static const LV2_Descriptor*
find(void* const library, const char* const uri)
{
  // ISO C knows no conversion from an object to a function pointer
  const LV2_Descriptor* (*descriptor)(uint32_t) = NULL;
  void* const symbol                             = dlsym(library, "lv2_descriptor");
  memcpy(&descriptor, &symbol, sizeof(symbol));
  for (uint32_t i = 0; descriptor && descriptor(i); ++i) {
    if (!strcmp(descriptor(i)->URI, uri)) {
      return descriptor(i);
    }
  }
  return NULL;
}

void*
fh_plugin_open(const uint32_t closes, const int size)
{
  (void)size;
  const char* const bundle = getenv("FH_BUNDLE");
  char              path[4096];
  (void)snprintf(path, sizeof(path), "%s/fronthash.so", bundle ? bundle : "build/fronthash.lv2");

  Plugin* const self = (Plugin*)calloc(1, sizeof(Plugin));
  self->library      = dlopen(path, RTLD_NOW | RTLD_LOCAL);
  self->variant      = &fh_variants[closes > 1u ? 1 : 0];
  self->descriptor   = self->library ? find(self->library, self->variant->uri) : NULL;
  if (!self->descriptor) {
    (void)fprintf(stderr, "no plugin in %s: build first, and let FH_BUNDLE name the bundle\n", path);
    fh_plugin_close(self);
    return NULL;
  }
  const LV2_Feature* const none[] = {NULL};
  self->handle                    = self->descriptor->instantiate(self->descriptor, FH_BENCH_RATE, "", none);
  for (uint32_t i = 0; i < FH_CONTROL_COUNT; ++i) {
    self->controls[i] = fh_controls[i].def;
    self->descriptor->connect_port(self->handle, fh_first_control(self->variant) + i, &self->controls[i]);
  }
  self->controls[FH_HOLD]    = 0.0f; // so that the gate may chatter
  self->controls[FH_RELEASE] = 5.0f;
  self->descriptor->activate(self->handle);
  return self;
}

void
fh_plugin_run(void* const              self_,
              const float* const       close[2],
              const float* const       ambient,
              float* const             out[2],
              const uint32_t           frames)
{
  Plugin* const  self   = (Plugin*)self_;
  const uint32_t closes = self->variant->closes;
  for (uint32_t c = 0; c < closes; ++c) {
    self->descriptor->connect_port(self->handle, c, (void*)close[c]);
    self->descriptor->connect_port(self->handle, closes + 1u + c, out[c]);
  }
  self->descriptor->connect_port(self->handle, closes, (void*)ambient);
  self->descriptor->run(self->handle, frames);
}

void
fh_plugin_close(void* const self_)
{
  Plugin* const self = (Plugin*)self_;
  if (self->handle) {
    self->descriptor->deactivate ? self->descriptor->deactivate(self->handle) : (void)0;
    self->descriptor->cleanup(self->handle);
  }
  if (self->library) {
    (void)dlclose(self->library);
  }
  free(self);
}
