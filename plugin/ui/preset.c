// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/preset.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/// A value that went through a host's text may have lost its last digits
static bool
same(const float a, const float b)
{
  return fabsf(a - b) <= 1e-4f * fmaxf(fabsf(a), fabsf(b));
}

bool
fh_preset_is(const int preset, const FhVariant* const variant, const float v[FH_CONTROL_COUNT])
{
  const FhPreset* const p     = &fh_presets[preset];
  const char* const     uri   = variant ? variant->uri : FH_URI_SOLO;
  bool                  meant = false;
  for (int i = 0; i < 3; ++i) {
    meant = meant || (p->plugins[i] && !strcmp(p->plugins[i], uri));
  }
  for (int i = 0; meant && i < p->count; ++i) {
    meant = same(v[p->values[i].control], p->values[i].value);
  }
  return meant;
}

int
fh_preset_find(const FhVariant* const variant, const float v[FH_CONTROL_COUNT])
{
  for (int i = 0; i < fh_preset_count; ++i) {
    if (fh_preset_is(i, variant, v)) {
      return i;
    }
  }
  return FH_NO_PRESET;
}

/// Values of a preset where it sets them
static void
put(const FhPreset* const preset, float v[FH_CONTROL_COUNT])
{
  for (int i = 0; i < preset->count; ++i) {
    v[preset->values[i].control] = preset->values[i].value;
  }
}

static bool
is_default(const float v[FH_CONTROL_COUNT])
{
  bool is = true;
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    is = is && (!fh_is_setting(c) || same(v[c], fh_controls[c].def));
  }
  return is;
}

void
fh_preset_text(const int              preset,
               const FhVariant* const variant,
               const float            v[FH_CONTROL_COUNT],
               char* const            text,
               const size_t           size)
{
  if (preset == FH_NO_PRESET) {
    snprintf(text, size, is_default(v) ? "Default values" : "Own values");
    return;
  }
  float own[FH_CONTROL_COUNT];
  memcpy(own, v, sizeof(own));
  put(&fh_presets[preset], own);
  const bool   changed = !fh_preset_is(preset, variant, v);
  size_t       length  = (size_t)snprintf(text, size, "%s", changed ? "Changed: " : "");
  const size_t start   = length;
  for (int i = 0; i < fh_preset_count && length < size; ++i) {
    if (fh_preset_is(i, variant, own)) {
      const char* const label = fh_presets[i].label;
      length += (size_t)snprintf(text + length, size - length, "%s%.*s", length > start ? " or " : "", (int)strcspn(label, ":"), label);
    }
  }
}
