// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_show.c
/// Show files against docs/show.md: what it allows is read, what it forbids gets one line with the right place, and what is written
/// again differs in nothing but what was changed. Lines and columns are counted by hand, as an editor shows them.

#undef NDEBUG

#include "../command.h"
#include "command/show/show.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SMALL "fronthash-show 1\nambient 9\nstand A\ninput 1\nfamily flute\n"

typedef struct {
  const char* text;
  const char* phrase; ///< Of the complaint
} Bad;

static const Bad bad_files[] = {
  {"", "x.show is empty"},
  {"# only this\n\n", "x.show is empty"},
  {"title Tides\n", "x.show:1:1: no show file"},
  {"fronthash-show\n", "x.show:1:15: after fronthash-show comes the version"},
  {"\n fronthash-show 2\n", "x.show:2:17: version 2 is newer"},
  {"fronthash-show 1\n", "x.show has no stand"},
  {"fronthash-show 1\nstand A\ninput 1\nfamily flute\n", "x.show names no ambient microphone"},
  {"fronthash-show 1\nambient 9\nstand A\nfamily flute\n", "x.show:3:1: stand A has no input"},
  {"fronthash-show 1\nambient 9\nstand A\ninput 1\n", "x.show:3:1: stand A has no family"},
  {"fronthash-show 1\nambient 9\ninput 1\n", "x.show:3:1: input belongs to a stand"},
  {"fronthash-show 1\nambient 65\n", "x.show:2:9: a channel is a whole number from 1 to 64, not '65'"},
  {"fronthash-show 1\nambient 1.5\n", "x.show:2:9: a channel"},
  {"fronthash-show 1\nambient\t\tnan\n", "x.show:2:10: a channel"},
  {"fronthash-show 1\nrate 4000\n", "x.show:2:6: the rate"},
  {"fronthash-show 1\nambient\n", "x.show:2:8: something is missing here; write: ambient CHANNEL"},
  {"fronthash-show 1\nambient 9 10 # two\n", "x.show:2:11: too much here; write: ambient CHANNEL"},
  {"fronthash-show 1\nambient 9\nambient 8\n", "x.show:3:1: ambient is given twice"},
  {"fronthash-show 1\n  colour red\n", "x.show:2:3: there is no key 'colour'"},
  {"fronthash-show 1\n\"title\" red\n", "x.show:2:1: there is no key 'title'"},
  {"fronthash-show 1\ntitle \"Tide Lines\n", "x.show:2:7: this quotation mark is not closed"},
  {"fronthash-show 1\ntitle \"a\\n\"\n", "x.show:2:9: a backslash"},
  {"fronthash-show 1\ntitle \"a\"b\n", "x.show:2:10: put a space between words"},
  {"fronthash-show 1\ntitle \"\"\n", "x.show:2:7: this name is empty"},
  {"fronthash-show 1\ntitle \303\251\303\251 \303\n", "x.show:2:10: this byte is no UTF-8"}, // two accents count as two
  {"fronthash-show 1\ntitle \355\240\200\n", "x.show:2:7: this byte is no UTF-8"}, // half of a surrogate pair: RFC 3629
  {"fronthash-show 1\ntitle a\001\n", "x.show:2:8: a control character"},
  {"fronthash-show 1\nambient-at 3 4\n", "x.show:2:12: a length carries its unit"},
  {"fronthash-show 1\nambient-at 3m x\n", "x.show:2:15: a length carries its unit"},
  {"fronthash-show 1\nband-size -3m 2m\n", "x.show:2:11: a length"},
  {SMALL "input 2\n", "x.show:6:1: input is given twice"},
  {SMALL "rate 44100\n", "x.show:6:1: rate belongs before the first stand"},
  {SMALL "stand A\n", "x.show:6:7: stand A is there already, in line 3"},
  {SMALL "stand B\ninput 1\n", "x.show:7:7: channel 1 is taken in line 4 already"},
  {SMALL "stand B\ninput 9\n", "x.show:7:7: channel 9 is taken in line 2 already"},
  {SMALL "stand B\ninput 2\noutput 1\n", "x.show:8:8: channel 1 is taken in line 3 already"},
  {SMALL "output 2\nstand B\nfamily flute\ninput 2\n", "x.show:7:1: stand B goes out where it comes in"},
  {SMALL "family kazoo\n", "x.show:6:1: family is given twice"},
  {SMALL "stand B\nfamily kazoo\n", "x.show:7:8: there is no family 'kazoo'"},
  {SMALL "microphone pair\n", "x.show:3:1: stand A needs two inputs"},
  {SMALL "microphone wire\n", "x.show:6:12: a microphone is stand, clip"},
  {SMALL "output 1 2\n", "x.show:3:1: stand A needs as many outputs as inputs"},
  {SMALL "players 3\n", "x.show:3:1: stand A has several players"},
  {SMALL "players 0\n", "x.show:6:9: players"},
  {SMALL "pattern round\n", "x.show:6:9: there is no pattern 'round'"},
  {SMALL "soloist Mira\nsoloist Mira\n", "x.show:7:9: Mira comes to this stand already"},
  {SMALL "soloist Mira preset\n", "x.show:6:20: a name is missing after preset"},
  {SMALL "soloist Mira colour red\n", "x.show:6:14: after a soloist's name"},
  {SMALL "soloist Mira preset a preset b\n", "x.show:6:23: after a soloist's name"},
  {SMALL "soloist Mira preset a family flute now\n", "x.show:6:36: too much here"},
  {SMALL "title a b c d e f g h i\n", "x.show:6:21: more words than any line takes"},
};

static void
test_bad_files(void** const state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_files) / sizeof(bad_files[0]); ++i) {
    write_text("x.show", bad_files[i].text);
    assert_complaint(run("fronthash show x.show"), bad_files[i].phrase, bad_files[i].text);
  }
  assert_complaint(run("fronthash show none.show"), "none.show cannot be found", "missing");
  assert_complaint(run("mkdir -p folder && fronthash show folder"), "folder is not a file", "folder");
  assert_complaint(run("head -c 300000 /dev/zero > big.show && fronthash show big.show"), "is too long for a show file", "big");
  assert_complaint(run("printf 'fronthash-show 1\\n\\000' > x.show && fronthash show x.show"), "x.show:2:1: a control", "zero byte");
}

/// Every form that the grammar allows, in one text
static const char every_form[] =
  "\xEF\xBB\xBF# first\r\n"
  "\tfronthash-show\t1 # \xE2\x99\xAA\r\n"
  "title \"A \\\"B\\\" \\\\ #1\"#tight\n"
  "rate 44100\nambient 64\nambient-at -2m 6ft6in\nband-at 0m 10m\nband-size 30m 12m\nspeaker-at -8m -6m\nspeaker-at 8m -6m\n"
  "stand \"Left corner\"\n"
  "  family trumpet # as usual\n"
  "  input 7\n"
  "  soloist Mira preset \"Old one\"   # keep this\n"
  "  soloist J\xC3\xB6rg family flute\n"
  "  soloist Last\n"
  "stand Bars\n"
  " input 1 2\n output 3 4\n family marimba\n microphone pair\n at 1m -50cm\n pattern omni\n distance 40cm\n note \"line 7, #2\"\n"
  "stand Trio\ninput 9\nfamily Brass_group\nmicrophone group\nplayers 3";

static void
test_every_form(void** const state)
{
  (void)state;
  FhShow* const show = fh_show_parse("every.show", every_form, sizeof(every_form) - 1);
  assert_non_null(show);
  assert_string_equal(show->title, "A \"B\" \\ #1");
  assert_int_equal(show->rate, 44100);
  assert_int_equal(show->ambient, 64);
  assert_true(show->ambient_at.known && show->ambient_at.x == -2.0);
  assert_true(show->ambient_at.y > 1.9811 && show->ambient_at.y < 1.9813); // 78 in of 2.54 cm
  assert_int_equal(show->speaker_count, 2);
  assert_int_equal(show->stand_count, 3);
  const FhStand* const left = &show->stand[0];
  assert_string_equal(left->name, "Left corner");
  assert_int_equal(left->input[0], 7);
  assert_int_equal(left->output[0], 7); // not given: that of the input
  assert_int_equal(left->input[1], 0);
  assert_int_equal(left->soloist_count, 3);
  assert_string_equal(left->soloist[0].preset, "Old one");
  assert_string_equal(left->soloist[1].name, "J\xC3\xB6rg");
  assert_string_equal(left->soloist[1].family->name, "flute");
  assert_string_equal(left->soloist[2].family->name, "trumpet"); // the stand's
  const FhStand* const bars = &show->stand[1];
  assert_int_equal(bars->mic, FH_MIC_PAIR);
  assert_int_equal(bars->output[1], 4);
  assert_true(bars->at.y == -0.5 && bars->distance == 0.4);
  assert_string_equal(bars->pattern->name, "omni");
  assert_string_equal(bars->note, "line 7, #2");
  assert_int_equal(show->stand[2].players, 3);
  assert_string_equal(show->stand[2].family->name, "brass-group"); // as underscores spelled it once
  fh_show_free(show);
}

/// Put `with` where `what` stands
static void
replace(char* const text, const size_t size, const char* const what, const char* const with)
{
  char* const at = strstr(text, what);
  char        rest[4096];
  assert_non_null(at);
  snprintf(rest, sizeof(rest), "%s", at + strlen(what));
  snprintf(at, size - (size_t)(at - text), "%s%s", with, rest);
}

static void
test_comments_kept(void** const state)
{
  (void)state;
  write_text("every.show", every_form);
  FhShow* const show = fh_show_read("every.show");
  assert_non_null(show);
  assert_true(fh_show_set_preset(show, 0, 1, "Plain"));
  assert_true(fh_show_set_preset(show, 0, 0, "Mira: \"Tides\" #2"));
  assert_true(fh_show_set_preset(show, 0, 2, "A \\"));
  assert_string_equal(show->stand[0].soloist[0].preset, "Mira: \"Tides\" #2");
  assert_true(fh_show_write(show));
  fh_show_free(show);
  char wanted[4096];
  snprintf(wanted, sizeof(wanted), "%s", every_form);
  replace(wanted, sizeof(wanted), "\"Old one\"", "\"Mira: \\\"Tides\\\" #2\"");
  replace(wanted, sizeof(wanted), "J\xC3\xB6rg family", "J\xC3\xB6rg preset Plain family");
  replace(wanted, sizeof(wanted), "soloist Last", "soloist Last preset \"A \\\\\"");
  char        found[4096] = {0};
  FILE* const file        = fopen("every.show", "rb");
  assert_non_null(file);
  assert_true(fread(found, 1, sizeof(found) - 1, file) > 0);
  fclose(file);
  assert_string_equal(found, wanted);
}

static void
test_printed(void** const state)
{
  (void)state;
  write_text("every.show", every_form);
  const Said* said = run("fronthash show every.show");
  assert_non_null(strstr(said->out, "44100 Hz, 3 stands, the ambient microphone on channel 64"));
  // columns stand under one another, in characters: the accent takes no room of its own
  const char* const mira = strstr(said->out, "Mira");
  const char* const joerg = strstr(said->out, "J\xC3\xB6rg");
  assert_non_null(mira);
  assert_non_null(joerg);
  const char* const line_of_mira = strstr(said->out, "Left corner");
  const char*       line_of_joerg = joerg;
  while (line_of_joerg[-1] != '\n') {
    --line_of_joerg;
  }
  assert_int_equal(mira - line_of_mira, joerg - line_of_joerg);
  said = run("fronthash show every.show --json | python3 -c 'import json, sys; s = json.load(sys.stdin); "
             "print(s[\"stands\"][0][\"soloists\"][1][\"name\"], s[\"title\"])'");
  assert_string_equal(said->out, "J\xC3\xB6rg A \"B\" \\ #1\n");
}

/// Presets that are not there get a line each, the rest is printed all the same, and live says the same of the first
static void
test_presets(void** const state)
{
  (void)state;
  static const char text[] = "fronthash-show 1\nambient 9\nstand A\ninput 1\nfamily flute\nsoloist Mira preset FLUTE\nsoloist Jonas preset gone\n"
                             "stand B\ninput 2 3\nfamily marimba\nmicrophone pair\nsoloist Ada preset Marimba\nsoloist Lee preset \"x y\"\n";
  write_text("p.show", text);
  const Said* said = run("fronthash show p.show");
  char        lines[2][512];
  assert_int_equal(said->code, 1);
  assert_non_null(strstr(said->out, "Lee"));
  assert_int_equal(sscanf(said->err, "%511[^\n]\n%511[^\n]\n", lines[0], lines[1]), 2);
  assert_ptr_equal(strstr(lines[0], "fronthash show: A: Jonas: there is no preset 'gone'; copy its folder from where it was made to one of LV2_PATH, or correct the name"), lines[0]);
  assert_ptr_equal(strstr(lines[1], "fronthash show: B: Lee: there is no preset 'x y'; copy"), lines[1]);
  assert_int_equal(strlen(said->err), strlen(lines[0]) + strlen(lines[1]) + 2);
  assert_null(strstr(lines[1], "'Flute'")); // which is none for a pair
  assert_complaint(run("fronthash plan --show p.show"), "p.show: A has no at X Y, so its distances are not known", "plan");
  assert_complaint(run("fronthash plan --show p.show --stand C"), "p.show has no stand 'C'", "plan");
  assert_complaint(run("fronthash plan --show p.show --family flute"), "leave --family out", "plan");
  assert_complaint(run("fronthash plan --show p.show --picture p.png"), "leave --picture out", "plan");
  assert_complaint(run("fronthash plan --stand A"), "name the show, too, with --show", "plan");
  assert_complaint(run("fronthash live p.show"), "live: A: Jonas: there is no preset 'gone'", "live");
  assert_complaint(run("fronthash show p.show --bundle folder >table; c=$?; grep -q Lee table && (exit $c)"), "folder is no plugin bundle", "no plugin");
}

/// Text of docs/show.md
static const char*
document(void)
{
  static char text[TEXT_MAX];
  FILE* const file = fopen(getenv("FH_SHOW_DOC"), "r");
  assert_non_null(file);
  text[fread(text, 1, TEXT_MAX - 1, file)] = '\0';
  fclose(file);
  return text;
}

static void
test_document(void** const state)
{
  (void)state;
  const char* const text = document();
  size_t            rows = 0;
  for (const char* at = text; (at = strstr(at, "\n| `")) != NULL; ++at) {
    ++rows;
  }
  size_t keys = 0;
  for (; fh_show_key(keys); ++keys) {
    char row[64];
    snprintf(row, sizeof(row), "\n| `%s` |", fh_show_key(keys));
    if (!strstr(text, row)) {
      fail_msg("docs/show.md has no row for %s", fh_show_key(keys));
    }
  }
  assert_int_equal(rows, keys);
  // the example: the first indented lines
  char        example[4096] = "";
  const char* at            = strstr(text, "\n    fronthash-show 1");
  assert_non_null(at);
  for (++at; !strncmp(at, "    ", 4) || *at == '\n'; at = strchr(at, '\n') + 1) {
    snprintf(example + strlen(example), sizeof(example) - strlen(example), "%.*s", (int)strcspn(at, "\n") + 1, at);
  }
  FhShow* const show = fh_show_parse("example", example, strlen(example));
  assert_non_null(show);
  assert_int_equal(show->stand_count, 2);
  fh_show_free(show);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_bad_files),     cmocka_unit_test(test_every_form), cmocka_unit_test(test_comments_kept),
    cmocka_unit_test(test_printed),       cmocka_unit_test(test_presets), cmocka_unit_test(test_document),
  };
  return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
