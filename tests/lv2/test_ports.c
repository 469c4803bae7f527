// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Holds plugin/ports.h against the descriptions of the bundle, both ways: every port of the table is declared as
// the table says, and nothing else is declared.

#include "host.h"

#include <lv2/core/lv2.h>
#include <lv2/port-groups/port-groups.h>
#include <lv2/port-props/port-props.h>
#include <lv2/units/units.h>

#include <ctype.h>
#include <string.h>

// Newer than the oldest LV2 headers we build with
#define SHORT_NAME LV2_CORE_PREFIX "shortName"
#define IS_SIDE_CHAIN LV2_CORE_PREFIX "isSideChain"

#define MAX_SHORT_NAME 16 // lv2core: "should not be longer than 16 characters"

static bool
port_has(const LilvPlugin* const plugin, const LilvPort* const port, const char* const property)
{
  LilvNode* const node = lilv_new_uri(fh_bundle_world(), property);
  const bool      has = lilv_port_has_property(plugin, port, node);
  lilv_node_free(node);
  return has;
}

static bool
port_is(const LilvPlugin* const plugin, const LilvPort* const port, const char* const class)
{
  LilvNode* const node = lilv_new_uri(fh_bundle_world(), class);
  const bool      is = lilv_port_is_a(plugin, port, node);
  lilv_node_free(node);
  return is;
}

static LilvNode*
port_get(const LilvPlugin* const plugin, const LilvPort* const port, const char* const property)
{
  LilvNode* const predicate = lilv_new_uri(fh_bundle_world(), property);
  LilvNode* const value = lilv_port_get(plugin, port, predicate);
  lilv_node_free(predicate);
  return value;
}

static void
assert_text(const LilvPlugin* const plugin,
            const LilvPort* const   port,
            const char* const       property,
            const size_t            min,
            const size_t            max)
{
  LilvNode* const text = port_get(plugin, port, property);
  assert_non_null(text);
  assert_in_range(strlen(lilv_node_as_string(text)), min, max);
  lilv_node_free(text);
}

/// Standard units of the LV2 units vocabulary, and our own
static void
assert_unit(const LilvPlugin* const plugin, const LilvPort* const port, const char* const unit)
{
  static const struct {
    const char* symbol;
    const char* uri;
  } units[] = {
    {"dB", LV2_UNITS__db},
    {"ms", LV2_UNITS__ms},
    {"s", LV2_UNITS__s},
    {"Hz", LV2_UNITS__hz},
    {"%", LV2_UNITS__pc},
    {"frames", LV2_UNITS__frame},
    {"dBFS", "urn:fronthash:dbfs"},
  };

  LilvNode* const declared = port_get(plugin, port, LV2_UNITS__unit);
  if (!*unit) {
    assert_null(declared);
    return;
  }
  assert_non_null(declared);
  bool is_known = false;
  for (size_t i = 0; i < sizeof(units) / sizeof(units[0]); ++i) {
    if (!strcmp(units[i].symbol, unit)) {
      is_known = true;
      assert_string_equal(lilv_node_as_uri(declared), units[i].uri);
    }
  }
  assert_true(is_known);
  lilv_node_free(declared);
}

static void
assert_range(const LilvPlugin* const plugin, const LilvPort* const port, const FhPortInfo* const info)
{
  LilvNode* def = NULL;
  LilvNode* min = NULL;
  LilvNode* max = NULL;
  lilv_port_get_range(plugin, port, &def, &min, &max);
  assert_non_null(def);
  assert_non_null(min);
  assert_non_null(max);
  assert_true(lilv_node_as_float(def) == info->def);
  assert_true(lilv_node_as_float(min) == info->min);
  assert_true(lilv_node_as_float(max) == info->max);
  assert_true(info->min <= info->def && info->def <= info->max && info->min < info->max);
  lilv_node_free(def);
  lilv_node_free(min);
  lilv_node_free(max);
}

/// A choice has a named point for every whole number of its range; other ports have none
static void
assert_points(const LilvPlugin* const plugin, const LilvPort* const port, const FhPortInfo* const info)
{
  LilvScalePoints* const points = lilv_port_get_scale_points(plugin, port);
  const bool             is_choice = info->kind == FH_KIND_CHOICE;
  assert_int_equal(port_has(plugin, port, LV2_CORE__enumeration), is_choice);
  if (!is_choice) {
    assert_null(points);
    return;
  }

  assert_non_null(points);
  assert_true(port_has(plugin, port, LV2_CORE__integer));
  const int count = (int)(info->max - info->min) + 1;
  assert_int_equal(lilv_scale_points_size(points), count);
  unsigned seen = 0;
  LILV_FOREACH (scale_points, i, points) {
    const LilvScalePoint* const point = lilv_scale_points_get(points, i);
    const float                 value = lilv_node_as_float(lilv_scale_point_get_value(point));
    assert_true(value >= info->min && value <= info->max && value == (float)(int)value);
    assert_true(strlen(lilv_node_as_string(lilv_scale_point_get_label(point))) > 0);
    seen |= 1u << (unsigned)(value - info->min);
  }
  assert_int_equal(seen, (1u << count) - 1u);
  lilv_scale_points_free(points);
}

static void
assert_control(const LilvPlugin* const plugin, const LilvPort* const port, const FhPortInfo* const info)
{
  assert_true(port_is(plugin, port, LV2_CORE__ControlPort));
  assert_int_equal(port_is(plugin, port, LV2_CORE__InputPort), info->flow == FH_INPUT);
  assert_int_equal(port_is(plugin, port, LV2_CORE__OutputPort), info->flow != FH_INPUT);
  assert_int_equal(port_has(plugin, port, LV2_CORE__reportsLatency), info->flow == FH_OUTPUT);
  LilvNode* const name = lilv_port_get_name(plugin, port);
  assert_string_equal(lilv_node_as_string(name), info->name);
  lilv_node_free(name);
  assert_range(plugin, port, info);
  assert_unit(plugin, port, info->unit);
  assert_points(plugin, port, info);
  assert_int_equal(port_has(plugin, port, LV2_CORE__toggled), info->kind == FH_KIND_TOGGLE);
  assert_int_equal(port_has(plugin, port, LV2_PORT_PROPS__logarithmic), info->kind == FH_KIND_LOG);
  if (info->kind == FH_KIND_LOG) {
    assert_true(info->min > 0.0f);
  }
}

static void
assert_symbol(const char* const symbol)
{
  assert_true(isalpha((unsigned char)symbol[0]) || symbol[0] == '_');
  for (const char* c = symbol; *c; ++c) {
    assert_true(isalnum((unsigned char)*c) || *c == '_');
  }
}

/// Every port the table has, in the same place; and no port more
static void
test_declared(void** const state)
{
  (void)state;
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const FhVariant* const  variant = &fh_variants[v];
    const LilvPlugin* const plugin = fh_bundle_plugin(variant);
    const uint32_t          audio = fh_first_control(variant);
    assert_int_equal(lilv_plugin_get_num_ports(plugin), audio + FH_CONTROL_COUNT);

    for (uint32_t i = 0; i < audio + FH_CONTROL_COUNT; ++i) {
      const LilvPort* const port = lilv_plugin_get_port_by_index(plugin, i);
      const char* const     expected = i < audio ? variant->symbols[i] : fh_controls[i - audio].symbol;
      const char* const     symbol = lilv_node_as_string(lilv_port_get_symbol(plugin, port));
      assert_string_equal(symbol, expected);
      assert_symbol(symbol);
      assert_text(plugin, port, SHORT_NAME, 1, MAX_SHORT_NAME);
      assert_text(plugin, port, "http://www.w3.org/2000/01/rdf-schema#comment", 15, 300);
      if (i < audio) {
        assert_true(port_is(plugin, port, LV2_CORE__AudioPort));
        assert_int_equal(port_is(plugin, port, LV2_CORE__InputPort), i <= variant->closes);
        assert_int_equal(port_is(plugin, port, LV2_CORE__OutputPort), i > variant->closes);
      } else {
        assert_control(plugin, port, &fh_controls[i - audio]);
      }
    }
  }
}

/// No index or symbol twice. Read from the RDF itself, as lilv hides duplicates.
static void
test_unique(void** const state)
{
  (void)state;
  LilvWorld* const world = fh_bundle_world();
  LilvNode* const  has_port = lilv_new_uri(world, LV2_CORE__port);
  LilvNode* const  has_index = lilv_new_uri(world, LV2_CORE__index);
  LilvNode* const  has_symbol = lilv_new_uri(world, LV2_CORE__symbol);

  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const LilvPlugin* const plugin = fh_bundle_plugin(&fh_variants[v]);
    const unsigned          count = lilv_plugin_get_num_ports(plugin);
    const char*             symbols[128] = {NULL};
    unsigned                ports = 0;
    LilvNodes* const        nodes = lilv_world_find_nodes(world, lilv_plugin_get_uri(plugin), has_port, NULL);
    LilvNode*               kept[128] = {NULL};
    LILV_FOREACH (nodes, i, nodes) {
      const LilvNode* const node = lilv_nodes_get(nodes, i);
      LilvNode* const       index = lilv_world_get(world, node, has_index, NULL);
      const int             at = lilv_node_as_int(index);
      assert_in_range(at, 0, count - 1);
      assert_null(symbols[at]);
      kept[at] = lilv_world_get(world, node, has_symbol, NULL);
      symbols[at] = lilv_node_as_string(kept[at]);
      ++ports;
      lilv_node_free(index);
    }
    assert_int_equal(ports, count);
    for (unsigned i = 0; i < count; ++i) {
      for (unsigned k = 0; k < i; ++k) {
        assert_string_not_equal(symbols[i], symbols[k]);
      }
    }
    for (unsigned i = 0; i < count; ++i) {
      lilv_node_free(kept[i]);
    }
    lilv_nodes_free(nodes);
  }

  lilv_node_free(has_symbol);
  lilv_node_free(has_index);
  lilv_node_free(has_port);
}

static const LilvPort*
find_port(const LilvPlugin* const plugin, const char* const symbol)
{
  LilvNode* const       node = lilv_new_string(fh_bundle_world(), symbol);
  const LilvPort* const port = lilv_plugin_get_port_by_symbol(plugin, node);
  lilv_node_free(node);
  assert_non_null(port);
  return port;
}

static void
assert_designated(const LilvPlugin* const plugin, const char* const symbol, const char* const designation)
{
  LilvNode* const       uri = lilv_new_uri(fh_bundle_world(), designation);
  const LilvPort* const port = lilv_plugin_get_port_by_designation(plugin, NULL, uri);
  assert_ptr_equal(port, find_port(plugin, symbol));
  lilv_node_free(uri);
}

/// What hosts act on: bypass, latency, side chain, what not to automate
static void
test_roles(void** const state)
{
  (void)state;
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const FhVariant* const  variant = &fh_variants[v];
    const LilvPlugin* const plugin = fh_bundle_plugin(variant);
    const bool              is_track = !strcmp(variant->uri, FH_URI_TRACK);
    assert_designated(plugin, "enabled", LV2_CORE__enabled);
    assert_designated(plugin, "latency", LV2_CORE__latency);
    assert_true(lilv_plugin_has_latency(plugin));
    assert_int_equal(lilv_plugin_get_latency_port_index(plugin), fh_first_control(variant) + FH_LATENCY);

    const LilvPort* const ambient = find_port(plugin, "ambient");
    assert_int_equal(port_has(plugin, ambient, IS_SIDE_CHAIN), !is_track);
    assert_int_equal(port_has(plugin, ambient, LV2_CORE__connectionOptional), !is_track);

    static const char* const fixed[] = {"learn", "clear", "lookahead", "ambient_delay"};
    for (size_t i = 0; i < sizeof(fixed) / sizeof(fixed[0]); ++i) {
      assert_true(port_has(plugin, find_port(plugin, fixed[i]), LV2_PORT_PROPS__notAutomatic));
    }
    for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
      const LilvPort* const port = find_port(plugin, fh_controls[i].symbol);
      const bool            is_hidden = i == FH_ENABLED || (i >= FH_LATENCY && i < FH_KNOWLEDGE) || i > FH_LEARN_RESULT;
      assert_int_equal(port_has(plugin, port, LV2_PORT_PROPS__notOnGUI), is_hidden);
      // Some hosts send 0 to every toggle they do not show
      if (fh_controls[i].kind == FH_KIND_TOGGLE) {
        assert_true(fh_controls[i].def == (i == FH_ENABLED ? 1.0f : 0.0f));
      }
      // Some hosts count each grouped port as an audio channel
      LilvNode* const group = port_get(plugin, port, LV2_PORT_GROUPS__group);
      assert_int_equal(group != NULL, !is_track && i != FH_ENABLED && i != FH_LATENCY);
      lilv_node_free(group);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_declared),
    cmocka_unit_test(test_unique),
    cmocka_unit_test(test_roles),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
