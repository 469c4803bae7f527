// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file ui.c
/// The window as an LV2 UI: features in, port values both ways. Thread: UI.

#include "ui/words.h"
#include "ui/x11.h"

#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/options/options.h>
#include <lv2/ui/ui.h>
#include <lv2/urid/urid.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  FhX11                x;
  LV2UI_Write_Function write;
  LV2UI_Controller     controller;
  const LV2UI_Touch*   touch; ///< May be NULL
  uint32_t             first; ///< Port index of the first control
} Ui;

/// What the host offers; any of them may be NULL
typedef struct {
  const void*               parent;
  const LV2UI_Touch*        touch;
  const LV2UI_Resize*       resize;
  const LV2_URID_Map*       map;
  const LV2_Options_Option* options;
} Features;

static Features
read_features(const LV2_Feature* const* const features)
{
  Features found = {0};
  for (int i = 0; features && features[i]; ++i) {
    const char* const uri  = features[i]->URI;
    const void* const data = features[i]->data;
    if (!strcmp(uri, LV2_UI__parent)) {
      found.parent = data;
    } else if (!strcmp(uri, LV2_UI__touch)) {
      found.touch = (const LV2UI_Touch*)data;
    } else if (!strcmp(uri, LV2_UI__resize)) {
      found.resize = (const LV2UI_Resize*)data;
    } else if (!strcmp(uri, LV2_URID__map)) {
      found.map = (const LV2_URID_Map*)data;
    } else if (!strcmp(uri, LV2_OPTIONS__options)) {
      found.options = (const LV2_Options_Option*)data;
    }
  }
  return found;
}

/// The scale the host asks for, or 0
static double
read_scale(const Features* const f)
{
  if (!f->map || !f->options) {
    return 0.0;
  }
  const LV2_URID scale = f->map->map(f->map->handle, LV2_UI__scaleFactor);
  const LV2_URID real  = f->map->map(f->map->handle, LV2_ATOM__Float);
  for (const LV2_Options_Option* o = f->options; o->key; ++o) {
    if (o->key == scale && o->type == real && o->size == sizeof(float) && o->value) {
      return (double)*(const float*)o->value;
    }
  }
  return 0.0;
}

/// What the host calls the window, or NULL
static const char*
read_title(const Features* const f)
{
  const LV2_URID title = f->map ? f->map->map(f->map->handle, LV2_UI__windowTitle) : 0;
  const LV2_URID text  = f->map ? f->map->map(f->map->handle, LV2_ATOM__String) : 0;
  for (const LV2_Options_Option* o = f->map ? f->options : NULL; o && o->key; ++o) {
    if (o->key == title && o->type == text && o->value) {
      return (const char*)o->value;
    }
  }
  return NULL;
}

static void
host_write(void* const data, const FhControl control, const float value)
{
  Ui* const ui = (Ui*)data;
  ui->write(ui->controller, ui->first + (uint32_t)control, sizeof(float), 0, &value);
}

static void
host_touch(void* const data, const FhControl control, const bool grabbed)
{
  Ui* const ui = (Ui*)data;
  if (ui->touch) {
    ui->touch->touch(ui->touch->handle, ui->first + (uint32_t)control, grabbed);
  }
}

static LV2UI_Handle
instantiate(const LV2UI_Descriptor* const   descriptor,
            const char* const               plugin_uri,
            const char* const               bundle_path,
            const LV2UI_Write_Function      write,
            const LV2UI_Controller          controller,
            LV2UI_Widget* const             widget,
            const LV2_Feature* const* const features)
{
  (void)descriptor;
  (void)bundle_path;
  const Features   f       = read_features(features);
  const FhVariant* variant = NULL;
  for (size_t i = 0; i < FH_VARIANT_COUNT; ++i) {
    variant = strcmp(plugin_uri, fh_variants[i].uri) ? variant : &fh_variants[i];
  }
  Ui* const ui = variant && f.parent ? (Ui*)calloc(1, sizeof(Ui)) : NULL;
  if (!ui) {
    fprintf(stderr, "fronthash: no window: the host gave %s\n", variant ? "no ui:parent" : "an unknown plugin");
    return NULL;
  }
  ui->write      = write;
  ui->controller = controller;
  ui->touch      = f.touch;
  ui->first      = fh_first_control(variant);
  if (!fh_x11_open(&ui->x, (Window)(uintptr_t)f.parent, (FhHost){host_write, host_touch, ui}, read_scale(&f))) {
    fprintf(stderr, "fronthash: no window: cannot reach the X display or the host's window\n");
    free(ui);
    return NULL;
  }
  const char* const title = read_title(&f);
  ui->x.model.variant     = variant;
  ui->x.titled            = title != NULL;
  fh_track_name(title ? title : "", ui->x.model.title, sizeof(ui->x.model.title));
  if (f.resize) {
    f.resize->ui_resize(f.resize->handle, ui->x.layout.pixel_width, ui->x.layout.pixel_height);
  }
  *widget = (LV2UI_Widget)(uintptr_t)ui->x.window;
  return ui;
}

static void
cleanup(const LV2UI_Handle handle)
{
  Ui* const ui = (Ui*)handle;
  fh_x11_close(&ui->x);
  free(ui);
}

static void
port_event(const LV2UI_Handle handle,
           const uint32_t     port,
           const uint32_t     size,
           const uint32_t     format,
           const void* const  buffer)
{
  Ui* const ui = (Ui*)handle;
  if (!format && size == sizeof(float) && port >= ui->first && port - ui->first < FH_CONTROL_COUNT) {
    fh_model_hear(&ui->x.model, (FhControl)(port - ui->first), *(const float*)buffer);
  }
}

static int
idle(const LV2UI_Handle handle)
{
  return !fh_x11_idle(&((Ui*)handle)->x);
}

static const void*
extension_data(const char* const uri)
{
  static const LV2UI_Idle_Interface idle_interface = {idle};
  return strcmp(uri, LV2_UI__idleInterface) ? NULL : &idle_interface;
}

LV2_SYMBOL_EXPORT const LV2UI_Descriptor*
lv2ui_descriptor(const uint32_t index)
{
  static const LV2UI_Descriptor descriptor = {FH_URI_UI, instantiate, cleanup, port_event, extension_data};
  return index ? NULL : &descriptor;
}
