// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The window knows each factory preset by its values, and whether it was changed since. What a preset holds is read here
// from its own file. test_preset PRESET.ttl...

#include "desk.h"
#include "drawn.h"

#include "../dsp/check.h"

#include "ui/words.h"

#include <stdio.h>

static int    file_count;
static char** file_names;

/// Read a preset as a host sends it to the window. @return its label's first part
static const char*
load(const char* const path, bool* const pair)
{
  static char label[80];
  char        line[512], symbol[64];
  float       value;
  FILE* const file = fopen(path, "r");
  assert_non_null(file);
  while (fgets(line, sizeof(line), file)) {
    const char* const at = strstr(line, "lv2:symbol");
    if (strstr(line, "lv2:appliesTo")) {
      *pair = strstr(line, ":pair>") != NULL;
    } else if (strstr(line, "rdfs:label")) {
      assert_int_equal(sscanf(strchr(line, '"'), "\"%79[^:]:", label), 1);
    } else if (at && sscanf(at, "lv2:symbol \"%63[^\"]\" ; pset:value %f", symbol, &value) == 2) {
      int c = 0;
      while (c < FH_CONTROL_COUNT && strcmp(fh_controls[c].symbol, symbol) != 0) {
        ++c;
      }
      assert_true(c < FH_CONTROL_COUNT && fh_is_setting(c));
      fh_model_hear(&m, (FhControl)c, value);
    }
  }
  fclose(file);
  return label;
}

static const char*
said(void)
{
  static char text[128];
  fh_model_tick(&m, m.now + 0.033);
  fh_preset_text(m.preset, m.variant, m.v, text, sizeof(text));
  return text;
}

static void
each_preset_is_known(void** const state)
{
  (void)state;
  assert_true(file_count == fh_preset_count && file_count > 10);
  for (int i = 0; i < file_count; ++i) {
    start(NULL);
    bool              pair  = false;
    const char* const label = load(file_names[i], &pair);
    m.variant               = &fh_variants[1];
    if (!pair) { // Not what it is meant for: over bars may stand one microphone or two, elsewhere one
      assert_string_equal(said(), "Own values");
    }
    m.variant     = &fh_variants[pair ? 1 : i % 2 ? 0 : 2];
    m.values_come = true;
    if (!strstr(said(), label) || strstr(said(), "Changed")) {
      fail_msg("%s is called \"%s\"", label, said());
    }
    fh_model_hear(&m, FH_LEARN, 0.0f);
    fh_model_hear(&m, FH_CLOSE_LEVEL, -30.0f);
    fh_model_set(&m, FH_PICKUP_TRIM, 2.0f); // No preset sets it
    assert_null(strstr(said(), "Changed"));
    fh_model_set(&m, FH_HOLD, 777.0f);
    assert_true(strstr(said(), label) && strstr(said(), "Changed: "));
    m.focus = 0;
    assert_true(fh_model_undo(&m));
    assert_null(strstr(said(), "Changed"));
    m.v[FH_HOLD] += 0.001f; // As it may come from a host's text
    assert_null(strstr(said(), "Changed"));
  }
}

static void
defaults_and_own_values_are_told_apart(void** const state)
{
  (void)state;
  fh_model_init(&m, m.host, 0.0);
  assert_string_equal(said(), "Default values");
  fh_model_set(&m, FH_ATTACK, 7.0f);
  assert_string_equal(said(), "Own values");
}

// A step of one's own that happens to meet another preset's values makes it no other preset
static void
own_edits_make_no_other_preset(void** const state)
{
  (void)state;
  bool pair;
  for (int i = 0; i < file_count; ++i) {
    if (strstr(file_names[i], "trumpet")) {
      load(file_names[i], &pair);
    }
  }
  m.variant = &fh_variants[0];
  assert_non_null(strstr(said(), "Trumpet"));
  fh_model_set(&m, FH_ATTACK, 2.0f); // Now as for a voice
  assert_true(fh_preset_find(m.variant, m.v) != FH_NO_PRESET);
  assert_true(strstr(said(), "Changed") && strstr(said(), "Trumpet"));
}

static void
name_track_and_preset_are_shown(void** const state)
{
  (void)state;
  m.variant = &fh_variants[2];
  Drawn* d  = draw_window(960, 640, &m);
  assert_non_null(find_text(d, "Fronthash Track"));
  assert_non_null(find_text(d, "Own values"));
  drawn_free(d);
  fh_clean_text("Cadence solo\n\xff\xfe", m.title, sizeof(m.title));
  d = draw_window(960, 640, &m);
  assert_non_null(find_text(d, "Track: Cadence solo"));
  assert_int_equal(cairo_surface_status(d->surface), CAIRO_STATUS_SUCCESS);
  drawn_free(d);
}

// A host may call the window anything: what is kept is UTF-8 without control characters, cut at a character's end
static void
titles_are_made_clean(void** const state)
{
  (void)state;
  static const char* const cases[][2] = {
    {"Solo \u00e9\u2212\U0001f3ba", "Solo \u00e9\u2212\U0001f3ba"}, {"a\tb\x7f" "c", "a b c"}, {"\xc3", ""}, {"x\xc0\x80y", "x"},
    {"\xed\xa0\x80", ""}, {"\xf5\x80\x80\x80", ""}, {"ok\xe2\x82", "ok"}, {"", ""}};
  char text[24];
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    fh_clean_text(cases[i][0], text, sizeof(text));
    assert_string_equal(text, cases[i][1]);
  }
  fh_clean_text("1234567890123456789012\u00e9", text, sizeof(text));
  assert_string_equal(text, "1234567890123456789012");
}

static void
tracks_are_found_in_titles(void** const state)
{
  (void)state;
  static const char* const cases[][2] = {{"Mello solo: Fronthash Solo (by The Fronthash contributors) [LV2]", "Mello solo"},
                                         {"Fronthash Solo", ""}, {"Tuba - Fronthash Track", "Tuba"}, {"Left corner", "Left corner"},
                                         {"", ""}, {" : ", ""}};
  char text[96];
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    fh_track_name(cases[i][0], text, sizeof(text));
    assert_string_equal(text, cases[i][1]);
  }
}

int
main(const int argc, char** const argv)
{
  file_count = argc - 1;
  file_names = argv + 1;
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup(each_preset_is_known, start),
    cmocka_unit_test_setup(defaults_and_own_values_are_told_apart, start),
    cmocka_unit_test_setup(own_edits_make_no_other_preset, start),
    cmocka_unit_test_setup(name_track_and_preset_are_shown, start),
    cmocka_unit_test(tracks_are_found_in_titles),
    cmocka_unit_test_setup(titles_are_made_clean, start),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
