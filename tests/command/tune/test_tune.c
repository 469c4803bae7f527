// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_tune.c
/// Tunes takes whose phrases and delays are known, and loads what is written the way any LV2 host does: through lilv,
/// from a HOME that held nothing before.

#include "../command.h"
#include "ports.h"

#include <lilv/lilv.h>
#include <lv2/atom/atom.h>
#include <lv2/presets/presets.h>
#include <lv2/urid/urid.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double phrases[][2] = {{8, 10.5}, {12, 14}, {15.5, 18}, {20, 22}};

static char tuned[TEXT_MAX]; ///< What tuning solo.wav printed as JSON

static int
make_inputs(void** const state)
{
  if (enter_folder(state) ||
      run("set -e; for k in solo low_rate low_pair late same silent no_ambient swapped no_solo no_band field; do make_take $k.wav $k; "
          "done; make_take text.wav short; echo text >text.wav; mkdir folder; touch folder/mine")
        ->code) {
    return -1;
  }
  const Said* const said = run("fronthash tune --keep solo.wav --soloist Mira --title 'Tide Lines' --json");
  if (said->code || said->err[0]) {
    print_error("tune: exit code %d, '%s'\n", said->code, said->err);
    return -1;
  }
  snprintf(tuned, sizeof(tuned), "%s", said->out);
  return 0;
}

/// Value of a tuned port in the JSON
static double
choice_of(const char* const json, const char* const port)
{
  char key[64];
  snprintf(key, sizeof(key), "\"port\": \"%s\"", port);
  const char* const at = strstr(json, key);
  assert_non_null(at);
  return number_of(at, "value");
}

/// The soloist's stretches are the phrases, within 0.15 s; the band's do not touch them
static void
test_stretches(void** const state)
{
  (void)state;
  const char* const solo = strstr(tuned, "\"solo\"");
  const char* const end  = strstr(tuned, "\"separation_db\"");
  const char*       at   = solo;
  for (size_t i = 0; i < 4; ++i) {
    at = strstr(at, "start_s");
    assert_true(at && at < end);
    assert_true(fabs(number_of(at - 1, "start_s") - phrases[i][0]) < 0.15);
    assert_true(fabs(number_of(at - 1, "end_s") - phrases[i][1]) < 0.15);
    ++at;
  }
  for (at = strstr(tuned, "start_s"); at && at < solo; at = strstr(at + 1, "start_s")) {
    const double from = number_of(at - 1, "start_s");
    const double to   = number_of(at - 1, "end_s");
    for (size_t i = 0; i < 4; ++i) {
      assert_true(to <= phrases[i][0] || from >= phrases[i][1]);
    }
  }
}

/// Every choice is within the range of its port and comes with a figure
static void
test_choices(void** const state)
{
  (void)state;
  static const char* const ports[] = {"ambient_delay", "low_cut", "high_cut", "open_margin", "hysteresis",
                                      "attack",        "hold",    "release",  "duck_depth"};
  for (size_t i = 0; i < sizeof(ports) / sizeof(ports[0]); ++i) {
    const double value = choice_of(tuned, ports[i]);
    for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
      if (!strcmp(fh_controls[c].symbol, ports[i])) {
        assert_true(value >= (double)fh_controls[c].min && value <= (double)fh_controls[c].max);
      }
    }
  }
  assert_true(choice_of(tuned, "low_cut") < choice_of(tuned, "high_cut"));
  const char* const before = strstr(tuned, "\"before\"");
  const char* const after  = strstr(tuned, "\"after\"");
  assert_true(number_of(after, "false_open_percent") <= number_of(before, "false_open_percent"));
  assert_true(number_of(after, "false_open_percent") < 1.0);
  assert_true(number_of(after, "missed_percent") < 2.0);
}

/// Drum hits that reach the close microphone 30 ms after the ambient one are told so; a delay is set where that gains something
static void
test_delay(void** const state)
{
  (void)state;
  const Said* const said = run("fronthash tune --keep late.wav --json");
  assert_int_equal(said->code, 0);
  const char* const told = strstr(said->out, "the field's swells reach the close microphone ");
  assert_non_null(told);
  const double lag = atof(told + strlen("the field's swells reach the close microphone ")), set = choice_of(said->out, "ambient_delay");
  assert_true(fabs(lag - 30.0) <= 1.0);
  assert_true(set == 0.0 || fabs(set - lag) <= 0.1);
}

static uint32_t
map_text(void* const handle, const char* const text)
{
  static char* texts[256];
  (void)handle;
  uint32_t i = 0;
  while (i < 255 && texts[i] && strcmp(texts[i], text) != 0) {
    ++i;
  }
  texts[i] = texts[i] ? texts[i] : strdup(text);
  return i + 1;
}

typedef struct {
  int count;
  int out_of_range;
} Ports;

static void
take_port(const char* symbol, void* const handle, const void* const value, const uint32_t size, const uint32_t type)
{
  Ports* const ports = (Ports*)handle;
  assert_int_equal(type, map_text(NULL, LV2_ATOM__Float));
  assert_int_equal(size, sizeof(float));
  for (int c = 0; c < FH_CONTROL_COUNT; ++c) {
    if (!strcmp(fh_controls[c].symbol, symbol)) {
      const float v = *(const float*)value;
      ports->out_of_range += !(v >= fh_controls[c].min && v <= fh_controls[c].max);
      ++ports->count;
    }
  }
}

/// Load the preset as a host does: everything on the LV2 path, presets by their type, the state from the world
static void
test_any_host(void** const state)
{
  (void)state;
  char path[512];
  snprintf(path, sizeof(path), "%s/.lv2:%s", getenv("HOME"), getenv("FH_BUNDLES"));
  setenv("LV2_PATH", path, 1);
  LilvWorld* const world = lilv_world_new();
  lilv_world_load_all(world);
  LilvNode* const         uri    = lilv_new_uri(world, FH_URI_SOLO);
  LilvNode* const         preset = lilv_new_uri(world, LV2_PRESETS__Preset);
  const LilvPlugin* const plugin = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), uri);
  assert_non_null(plugin);

  LV2_URID_Map     map    = {NULL, map_text};
  LilvNodes* const nodes  = lilv_plugin_get_related(plugin, preset);
  int              found  = 0;
  LILV_FOREACH (nodes, i, nodes) {
    const LilvNode* const node = lilv_nodes_get(nodes, i);
    lilv_world_load_resource(world, node);
    LilvState* const loaded = lilv_state_new_from_world(world, &map, node);
    if (loaded && !strcmp(lilv_state_get_label(loaded), "Mira: Tide Lines")) {
      Ports ports = {0};
      lilv_state_emit_port_values(loaded, take_port, &ports);
      assert_true(ports.count >= 12);
      assert_int_equal(ports.out_of_range, 0);
      assert_int_equal(lilv_state_get_num_properties(loaded), 1); // what was learnt
      ++found;
    }
    lilv_state_free(loaded);
  }
  assert_int_equal(found, 1);
  lilv_nodes_free(nodes);
  lilv_node_free(preset);
  lilv_node_free(uri);
  lilv_world_free(world);

  // By name, in the command: the same sound as tune rendered, and what was learnt is in it from the first second
  assert_int_equal(run("fronthash render solo.wav --preset 'mira: tide' --output again.wav")->code, 0);
  assert_int_equal(run("cmp again.wav solo-after.wav")->code, 0);
  assert_int_not_equal(run("cmp -s solo-before.wav solo-after.wav")->code, 0);
}

static void
test_pair(void** const state)
{
  (void)state;
  const Said* const said = run("fronthash tune --keep low_pair.wav --output ./pair.preset.lv2 --json");
  assert_int_equal(said->code, 0);
  assert_int_equal(run("grep -q '<urn:fronthash:pair>' pair.preset.lv2/state.ttl")->code, 0);
  assert_int_equal(run("fronthash render low_pair.wav --preset ./pair.preset.lv2 --output pair-again.wav")->code, 0);
  assert_int_equal(run("cmp pair-again.wav low_pair-after.wav")->code, 0);
}

/// Stretches named by the user are taken as they are
static void
test_named(void** const state)
{
  (void)state;
  const Said* const said =
    run("fronthash tune --keep low_rate.wav --band 1-5 --band 6.5-7.5 --solo 8-10.5 --output ./named.preset.lv2 "
                               "--renders named --json");
  assert_int_equal(said->code, 0);
  assert_non_null(strstr(said->out, "\"end_s\": 7.5"));
  assert_int_equal(run("test -e named-after.wav -a -e named-after.png -a -e named-before.wav -a -e named-before.png")->code, 0);
}

static void
test_bad(void** const state)
{
  (void)state;
  static const char* const rows[][2] = {
    {"fronthash tune --keep no_solo.wav --output new.lv2",
     "the soloist never stands out of the field by 6 dB; record the band alone"},
    {"fronthash tune --keep no_band.wav --output new.lv2", "record the band alone for 10 s, then the soloist"},
    {"fronthash tune --keep field.wav --output new.lv2", "lasts 7.0 s, too short to tune by; record the band alone"},
    {"fronthash tune --keep silent.wav --output new.lv2", "the close microphone is silent"},
    {"fronthash tune --keep no_ambient.wav --output new.lv2", "the ambient microphone is silent"},
    {"fronthash tune --keep same.wav --output new.lv2", "both channels carry the same sound"},
    {"fronthash tune --keep swapped.wav --output new.lv2", "the microphones are swapped"},
    {"fronthash tune --keep swapped.wav --band 1-7 --solo 8-10.5 --solo 12-14 --output new.lv2",
     "the microphones are swapped"},
    {"fronthash tune --keep solo.wav --band 1-7 --solo 2-6 --output new.lv2", "stands only"},
    {"fronthash tune --keep solo.wav --band 1-2 --output new.lv2", "plays alone for only 1.0 s"},
    {"fronthash tune --keep solo.wav --solo 8-9 --output new.lv2", "the soloist plays for only 1.0 s"},
    {"fronthash tune --keep solo.wav --band 1-70 --output new.lv2", "ends after the take"},
    {"fronthash tune --keep text.wav --output new.lv2", "cannot be read as a sound file"},
    {"fronthash tune --keep solo.wav --soloist Mira --title 'Tide Lines'", "is there already"},
    {"fronthash tune --keep solo.wav --output folder", "no preset of this command"},
    {"fronthash tune --keep solo.wav --output folder --replace", "no preset of this command"},
    {"fronthash tune --keep solo.wav --output new.lv2", "solo-before.wav is there already"},
    {"fronthash tune --keep solo.wav --output new.lv2 --renders none/x", "cannot be written"},
    {"fronthash tune --keep low_rate.wav --output none/none/new.lv2 --renders x", "cannot be written"},
    {"HOME= fronthash tune --keep solo.wav --renders x", "no home folder"},
    {"(ulimit -f 100; fronthash tune --keep low_rate.wav --output new.lv2 --renders x); c=$?; rm -r new.lv2; (exit $c)",
     "x-before.png cannot be drawn"},
  };
  char before[TEXT_MAX];
  snprintf(before, sizeof(before), "%s", listing());
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    assert_complaint(run("%s", rows[i][0]), rows[i][1], rows[i][0]);
    if (strcmp(before, listing()) != 0) {
      fail_msg("%s: left something behind: %s", rows[i][0], listing());
    }
  }
}

/// What gains nothing over learning alone is not written, and that is said
static void
test_nothing(void** const state)
{
  (void)state;
  char before[TEXT_MAX];
  snprintf(before, sizeof(before), "%s", listing());
  const Said* const said = run("fronthash tune low_rate.wav --output nothing.lv2 --renders nothing");
  assert_int_equal(said->code, 0);
  assert_non_null(strstr(said->out, "So nothing was written: leave the controls as they are"));
  assert_null(strstr(said->out, "wrote"));
  assert_string_equal(before, listing());
}

static void
test_replace(void** const state)
{
  (void)state;
  assert_int_equal(run("fronthash tune --keep low_rate.wav --soloist Mira --title 'Tide Lines' --replace")->code, 0);
  assert_int_equal(run("test $(ls .home/.lv2 | wc -l) = 2")->code, 0); // this and late
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_stretches),
    cmocka_unit_test(test_choices),
    cmocka_unit_test(test_delay),
    cmocka_unit_test(test_any_host),
    cmocka_unit_test(test_pair),
    cmocka_unit_test(test_named),
    cmocka_unit_test(test_bad),
    cmocka_unit_test(test_nothing),
    cmocka_unit_test(test_replace),
  };
  return cmocka_run_group_tests_name("tune", tests, make_inputs, leave_folder);
}
