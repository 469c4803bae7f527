// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What a host finds before it runs anything: three plugins, what they need and offer, and the factory presets.
// Held against LV2's core and presets as lilv reads them.

#include "host.h"

#include <lv2/log/log.h>
#include <lv2/presets/presets.h>
#include <lv2/state/state.h>
#include <lv2/urid/urid.h>

#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RDFS "http://www.w3.org/2000/01/rdf-schema#"

/// Whether a plugin lists `uri` under `predicate`
static bool
lists(const LilvPlugin* const plugin, const char* const predicate, const char* const uri)
{
  LilvNode* const  node = lilv_new_uri(fh_bundle_world(), predicate);
  LilvNode* const  wanted = lilv_new_uri(fh_bundle_world(), uri);
  LilvNodes* const values = lilv_plugin_get_value(plugin, node);
  const bool       has = lilv_nodes_contains(values, wanted);
  lilv_nodes_free(values);
  lilv_node_free(wanted);
  lilv_node_free(node);
  return has;
}

static void
test_needs_and_offers(void** const state)
{
  (void)state;
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const LilvPlugin* const plugin = fh_bundle_plugin(&fh_variants[v]);
    assert_true(lilv_plugin_verify(plugin));

    LilvNodes* const needed = lilv_plugin_get_required_features(plugin);
    assert_int_equal(lilv_nodes_size(needed), 0);
    lilv_nodes_free(needed);
    assert_true(lists(plugin, LV2_CORE__optionalFeature, LV2_CORE__hardRTCapable));
    assert_true(lists(plugin, LV2_CORE__optionalFeature, LV2_URID__map));
    assert_true(lists(plugin, LV2_CORE__optionalFeature, LV2_LOG__log));
    assert_true(lists(plugin, LV2_CORE__optionalFeature, LV2_STATE__threadSafeRestore));
    assert_true(lists(plugin, LV2_CORE__extensionData, LV2_STATE__interface));
    assert_true(lists(plugin, "http://usefulinc.com/ns/doap#license", "http://opensource.org/licenses/isc"));
    LilvNode* const project = lilv_plugin_get_project(plugin);
    assert_non_null(project);
    lilv_node_free(project);

    // Hosts call a version of 0 or odd numbers unstable
    static const char* const versions[] = {LV2_CORE__minorVersion, LV2_CORE__microVersion};
    for (int i = 0; i < 2; ++i) {
      LilvNode* const  predicate = lilv_new_uri(fh_bundle_world(), versions[i]);
      LilvNodes* const values = lilv_plugin_get_value(plugin, predicate);
      assert_int_equal(lilv_nodes_size(values), 1);
      const int number = lilv_node_as_int(lilv_nodes_get_first(values));
      assert_true(number % 2 == 0 && (i == 1 || number > 0));
      lilv_nodes_free(values);
      lilv_node_free(predicate);
    }
  }
}

/// Only what is declared, and it is there without features, too
static void
test_no_features(void** const state)
{
  (void)state;
  const LV2_Feature* const none[] = {NULL};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (int is_empty = 0; is_empty < 2; ++is_empty) {
      FhHost host;
      fh_host_open_with(&host, &fh_variants[v], 48000.0, is_empty ? none : NULL);
      float sound[64] = {0.0f};
      for (uint32_t i = 0; i < fh_host_audio(&host); ++i) {
        fh_host_connect(&host, i, sound);
      }
      fh_host_run(&host, 64);
      assert_non_null(lilv_instance_get_extension_data(host.instance, LV2_STATE__interface));
      assert_null(lilv_instance_get_extension_data(host.instance, "http://lv2plug.in/ns/ext/worker#interface"));
      fh_host_close(&host);
    }
  }
}

/// Straight from the binary, as lilv calls instantiate() with a features array even when given none
static void
test_null_features(void** const state)
{
  (void)state;
  char path[4096];
  snprintf(path, sizeof(path), "%s/fronthash.so", getenv("FH_BUNDLE"));
  void* const binary = dlopen(path, RTLD_NOW | RTLD_LOCAL);
  assert_non_null(binary);
  LV2_Descriptor_Function find = NULL;
  void* const             symbol = dlsym(binary, "lv2_descriptor");
  memcpy(&find, &symbol, sizeof(symbol)); // ISO C has no cast from object to function
  for (uint32_t i = 0; i < FH_VARIANT_COUNT; ++i) {
    const LV2_Descriptor* const descriptor = find(i);
    assert_string_equal(descriptor->URI, fh_variants[i].uri);
    const LV2_Handle instance = descriptor->instantiate(descriptor, 48000.0, path, NULL);
    assert_non_null(instance);
    descriptor->activate(instance);
    descriptor->run(instance, 0);
    descriptor->cleanup(instance);
  }
  assert_null(find(FH_VARIANT_COUNT));
  assert_null(find(UINT32_MAX));
  assert_null(dlsym(binary, "fh_engine_run")); // Nothing else is exported
  dlclose(binary);
}

static LilvNode*
value_of(const LilvNode* const subject, const char* const predicate)
{
  LilvNode* const node = lilv_new_uri(fh_bundle_world(), predicate);
  LilvNode* const value = lilv_world_get(fh_bundle_world(), subject, node, NULL);
  lilv_node_free(node);
  return value;
}

/// Ports a preset must leave as they are
static bool
is_personal(const char* const symbol)
{
  static const char* const personal[] = {"enabled", "muted", "learn", "clear", "listen"};
  for (size_t i = 0; i < sizeof(personal) / sizeof(personal[0]); ++i) {
    if (!strcmp(personal[i], symbol)) {
      return true;
    }
  }
  return false;
}

/// One port of a preset: known, an input, within its range, and not one that is the engineer's own
static void
check_value(const LilvNode* const port)
{
  LilvNode* const symbol = value_of(port, LV2_CORE__symbol);
  LilvNode* const value = value_of(port, LV2_PRESETS__value);
  assert_non_null(symbol);
  assert_non_null(value);
  const char* const name = lilv_node_as_string(symbol);
  unsigned          control = 0;
  while (control < FH_CONTROL_COUNT && strcmp(fh_controls[control].symbol, name) != 0) {
    ++control;
  }
  assert_in_range(control, 0, FH_CONTROL_COUNT - 1);
  assert_int_equal(fh_controls[control].flow, FH_INPUT);
  assert_false(is_personal(name));
  const float number = lilv_node_as_float(value);
  assert_true(number >= fh_controls[control].min && number <= fh_controls[control].max);
  lilv_node_free(value);
  lilv_node_free(symbol);
}

static void
check_preset(const LilvNode* const preset)
{
  lilv_world_load_resource(fh_bundle_world(), preset);
  LilvNode* const label = value_of(preset, RDFS "label");
  LilvNode* const comment = value_of(preset, RDFS "comment");
  assert_non_null(label);
  assert_non_null(comment);
  assert_non_null(strstr(lilv_node_as_string(label), ": ")); // "Family: technique"
  lilv_node_free(comment);
  lilv_node_free(label);

  LilvNode* const  has_port = lilv_new_uri(fh_bundle_world(), LV2_CORE__port);
  LilvNodes* const ports = lilv_world_find_nodes(fh_bundle_world(), preset, has_port, NULL);
  assert_true(lilv_nodes_size(ports) >= 5);
  LILV_FOREACH (nodes, i, ports) {
    check_value(lilv_nodes_get(ports, i));
  }
  lilv_nodes_free(ports);
  lilv_node_free(has_port);
}

/// Factory presets of solo and track: complete, in range, with labels of their own
static void
test_presets(void** const state)
{
  (void)state;
  LilvNode* const class = lilv_new_uri(fh_bundle_world(), LV2_PRESETS__Preset);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    LilvNodes* const presets = lilv_plugin_get_related(fh_bundle_plugin(&fh_variants[v]), class);
    if (strcmp(fh_variants[v].uri, FH_URI_PAIR) != 0) {
      assert_true(lilv_nodes_size(presets) >= 4);
    }
    LILV_FOREACH (nodes, i, presets) {
      check_preset(lilv_nodes_get(presets, i));
      LILV_FOREACH (nodes, k, presets) {
        LilvNode* const a = value_of(lilv_nodes_get(presets, i), RDFS "label");
        LilvNode* const b = value_of(lilv_nodes_get(presets, k), RDFS "label");
        // Some hosts know a preset by its label only
        const bool is_same_node = lilv_node_equals(lilv_nodes_get(presets, i), lilv_nodes_get(presets, k));
        assert_true(!a || !b || lilv_node_equals(a, b) == is_same_node);
        lilv_node_free(a);
        lilv_node_free(b);
      }
    }
    lilv_nodes_free(presets);
  }
  lilv_node_free(class);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_needs_and_offers),
    cmocka_unit_test(test_no_features),
    cmocka_unit_test(test_null_features),
    cmocka_unit_test(test_presets),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
