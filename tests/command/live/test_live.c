// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_live.c
/// A show that runs, without a sound server: blocks are run by hand. What is saved comes back to the bit, whatever happens to the
/// file; manners go with the soloist, and what was learnt stays with the stand; the keys do what the last line of the screen says.

#undef NDEBUG

#include "../command.h"
#include "command/base/complain.h"
#include "command/live/glance.h"
#include "command/live/keys.h"
#include "command/live/save.h"
#include "noise.h"
#include "said.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define RATE 48000
#define BLOCK 64u

static const char* const show_text = "fronthash-show 1\ntitle \"Tide Lines\"\nambient 4\n"
                                     "stand \"Left corner\"\n input 1\n family trumpet\n soloist Mira preset Trumpet\n soloist Jonas\n"
                                     "stand Bars\n input 2 3\n family marimba\n microphone pair\n";

static char stranger[FH_SHOW_NAME];

typedef struct {
  FhShow* show;
  FhRig*  rig;
} Running;

static Running
start(void)
{
  Running r = {.show = fh_show_parse("tide.show", show_text, strlen(show_text))};
  assert_non_null(r.show);
  r.rig = fh_rig_new(r.show, NULL);
  assert_non_null(r.rig);
  return r;
}

static void
end(Running* const r)
{
  fh_rig_free(r->rig);
  fh_show_free(r->show);
}

/// Run the whole rig on noise: the close microphones hear the field so much softer, dB
static void
play(FhRig* const rig, const double seconds, const double softer)
{
  static uint32_t seed;
  static float    line[RATE / 1000]; // 1 ms on the way, or it would be the ambient microphone itself
  static uint32_t at;
  const float     gain = (float)pow(10.0, -0.05 * softer);
  for (uint32_t n = 0; n < (uint32_t)(seconds * RATE / BLOCK); ++n) {
    float ambient[BLOCK], close[BLOCK], out[2][BLOCK];
    for (uint32_t i = 0; i < BLOCK; ++i) {
      ambient[i] = 0.2f * (float)fh_noise(&seed);
      close[i]   = gain * line[at];
      line[at]   = ambient[i];
      at         = (at + 1) % (RATE / 1000);
    }
    for (size_t s = 0; s < rig->count; ++s) {
      const bool         pair   = rig->stand[s].host->variant->closes == 2;
      const float* const in[]   = {close, pair ? close : ambient, ambient};
      float* const       outs[] = {out[0], out[1]};
      fh_rig_run(&rig->stand[s], in, outs, BLOCK);
    }
    if (n % 75u == 0) {
      fh_rig_tick(rig, (double)n * BLOCK / RATE);
    }
  }
}

static void
learn(FhRig* const rig, const double softer)
{
  play(rig, 0.1, softer);
  for (size_t i = 0; i < rig->count; ++i) {
    fh_rig_set(&rig->stand[i], FH_LEARN, FH_LEARN_AMBIENT, 0.0);
  }
  play(rig, 16.0, softer);
  for (size_t i = 0; i < rig->count; ++i) {
    assert_float_equal(fh_rig_value(&rig->stand[i], FH_LEARN), FH_LEARN_OFF, 0.0); // let go by itself
    assert_float_equal(fh_rig_value(&rig->stand[i], FH_KNOWLEDGE), FH_KNOWLEDGE_LEARNT, 0.0);
  }
}

/// What a stand knows: ambient level over predicted pickup, dB
static double
softer_at(const FhRigStand* const stand)
{
  return (double)(fh_rig_value(stand, FH_AMBIENT_LEVEL) - fh_rig_value(stand, FH_PICKUP_LEVEL));
}

static void
test_save(void** const state)
{
  (void)state;
  Running first = start();
  learn(first.rig, 14.0);
  fh_rig_come(&first.rig->stand[0], 1);
  fh_rig_set(&first.rig->stand[0], FH_OPEN_MARGIN, 3.7f, 0.0);
  fh_rig_set(&first.rig->stand[1], FH_MUTED, 1.0f, 0.0);
  const double before[] = {softer_at(&first.rig->stand[0]), softer_at(&first.rig->stand[1])};
  char* const  text     = fh_save_text(first.rig);
  assert_non_null(text);
  end(&first);

  Running second = start();
  assert_int_equal(fh_save_read(second.rig, text, stranger), 0);
  char* const again = fh_save_text(second.rig); // before any block: from what was restored
  assert_string_equal(text, again);
  play(second.rig, 3.0, 14.0);
  assert_float_equal(softer_at(&second.rig->stand[0]), before[0], 0.5);
  assert_float_equal(softer_at(&second.rig->stand[1]), before[1], 0.5);
  assert_int_equal(second.rig->stand[0].soloist, 1);
  assert_float_equal(fh_rig_value(&second.rig->stand[0], FH_OPEN_MARGIN), 3.7f, 0.0);
  assert_float_equal(fh_rig_value(&second.rig->stand[1], FH_MUTED), 1.0f, 0.0);
  end(&second);
  free(again);
  free(text);
}

/// Another soloist brings other manners, and needs no new Learn
static void
test_soloists(void** const state)
{
  (void)state;
  Running           r     = start();
  FhRigStand* const stand = &r.rig->stand[0];
  learn(r.rig, 10.0);
  const double before  = softer_at(stand);
  bool         differs = false;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    differs = differs || stand->manners[0].now[i] != stand->manners[1].now[i];
  }
  assert_true(differs); // the preset is none of the defaults
  fh_rig_set(stand, FH_OPEN_MARGIN, 5.0f, 0.0);
  fh_rig_come(stand, 1);
  assert_float_equal(fh_rig_value(stand, FH_OPEN_MARGIN), fh_controls[FH_OPEN_MARGIN].def, 0.0);
  play(r.rig, 3.0, 10.0);
  assert_float_equal(fh_rig_value(stand, FH_KNOWLEDGE), FH_KNOWLEDGE_LEARNT, 0.0);
  assert_float_equal(softer_at(stand), before, 0.5);
  fh_rig_come(stand, 2); // nobody comes after the last
  assert_int_equal(stand->soloist, 1);
  fh_rig_come(stand, 0);
  assert_float_equal(fh_rig_value(stand, FH_OPEN_MARGIN), 5.0f, 0.0); // as it was left
  end(&r);
}

/// A wrong sum is refused; a file from before there were sums is not
static void
try_sums(FhRig* const rig, char* const whole)
{
  char* const old = strdup(whole); // before there were sums
  old[strlen("fronthash-live ")] = '1';
  for (char* sum = old; (sum = strstr(sum, "  sum ")); sum += 5) {
    memcpy(sum, "#     ", 6);
  }
  assert_int_equal(fh_save_read(rig, old, stranger), 0);
  free(old);
  char* const sum = strstr(whole, "  sum ");
  assert_non_null(sum);
  sum[6] ^= 1;
  assert_true(fh_save_read(rig, whole, stranger) > 0);
  sum[6] ^= 1;
  assert_int_equal(fh_save_read(rig, whole, stranger), 0);
}

/// A file broken off or changed anywhere: no crash, one line, the show goes on, and the file is kept
static void
test_broken(void** const state)
{
  (void)state;
  char    said[SAID_MAX] = "";
  Running r         = start();
  play(r.rig, 3.0, 12.0);
  FhSave save;
  assert_true(fh_save_begin(&save, "tide.show", NULL));
  assert_string_equal(save.path, "tide.live");
  assert_true(fh_save_restore(&save, r.rig)); // no file yet
  write_text(".aB3xZ9-tide.live", "half");
  fh_save_tick(&save, r.rig, 1.0);
  char* const whole = fh_save_text(r.rig);
  fh_complain_to(keep_line, said);
  const size_t length = strlen(whole);
  for (size_t cut = 0; cut + 1 < length; cut += 1 + length / 60) {
    char* const part = strndup(whole, cut);
    write_text("tide.live", part);
    free(part);
    said[0] = '\0';
    assert_false(fh_save_restore(&save, r.rig));
    assert_non_null(strstr(said, "tide.live is damaged from line"));
    assert_int_equal(access("tide.live", F_OK), -1);
    assert_int_equal(access("tide.live.broken", F_OK), 0);
  }
  try_sums(r.rig, whole);
  uint32_t seed = 7;
  for (int i = 0; i < 600; ++i) {
    char* const other = strdup(whole);
    for (int k = 0; k < 3; ++k) {
      other[fh_noise_next(&seed) % length] = (char)(1 + (fh_noise_next(&seed) >> 8) % 255);
    }
    fh_save_read(r.rig, other, stranger); // taken or refused
    free(other);
  }
  char* const bars = strstr(whole, "stand Bars"); // as of a show in which it had another name
  assert_non_null(bars);
  memcpy(bars, "stand Bell", 10);
  write_text("tide.live", whole);
  assert_false(fh_save_restore(&save, r.rig));
  assert_non_null(strstr(said, "the show has no stand Bell any more"));
  assert_int_equal(access("tide.live", F_OK) | access("tide.live.before", F_OK), 0);
  fh_complain_to(NULL, NULL);
  assert_true(fh_save_begin(&save, "tide.show", NULL));
  assert_int_equal(access(".aB3xZ9-tide.live", F_OK), -1); // left by an interrupted write
  free(whole);
  end(&r);
}

/// Nothing that can be written: said, and tried again until it can
static void
test_no_room(void** const state)
{
  (void)state;
  char    said[SAID_MAX] = "";
  Running r         = start();
  FhSave  save;
  assert_true(fh_save_begin(&save, "tide.show", "nowhere/tide.live"));
  fh_complain_to(keep_line, said);
  fh_save_tick(&save, r.rig, 1.0);
  assert_non_null(strstr(said, "nowhere/tide.live cannot be written"));
  assert_int_equal(system("mkdir nowhere"), 0);
  fh_save_tick(&save, r.rig, 1.0 + FH_SAVE_SECONDS);
  fh_complain_to(NULL, NULL);
  assert_int_equal(access("nowhere/tide.live", F_OK), 0);
  fh_save_end(&save);
  end(&r);
}

static void
type(FhKeys* const keys, FhRig* const rig, const char* const typed)
{
  fh_keys_type(keys, rig, typed, strlen(typed), 0.0);
}

static void
test_keys(void** const state)
{
  (void)state;
  Running           r     = start();
  FhKeys            keys  = {0};
  FhRigStand* const stand = r.rig->stand;
  type(&keys, r.rig, "m");
  assert_float_equal(fh_rig_value(&stand[0], FH_MUTED), 1.0, 0.0);
  type(&keys, r.rig, "\033[B" "b"); // arrow down, bypass
  assert_float_equal(fh_rig_value(&stand[1], FH_ENABLED), 0.0, 0.0);
  assert_float_equal(fh_rig_value(&stand[0], FH_ENABLED), 1.0, 0.0);
  type(&keys, r.rig, "j2k"); // no further down than the last
  assert_int_equal(keys.screen.chosen, 0);
  type(&keys, r.rig, "nn");
  assert_int_equal(stand[0].soloist, 1);
  type(&keys, r.rig, "pp");
  assert_int_equal(stand[0].soloist, 0);
  type(&keys, r.rig, "\033[15~\033[1;5B\033[24~"); // F5, down with Ctrl, F12 (ECMA-48): no digit of theirs chooses a stand
  assert_int_equal(keys.screen.chosen, 1);
  type(&keys, r.rig, "1L");
  assert_float_equal(fh_rig_value(&stand[0], FH_LEARN), FH_LEARN_AMBIENT, 0.0);
  assert_float_equal(fh_rig_value(&stand[1], FH_LEARN), FH_LEARN_AMBIENT, 0.0);
  type(&keys, r.rig, "L");
  assert_float_equal(fh_rig_value(&stand[1], FH_LEARN), FH_LEARN_OFF, 0.0);
  type(&keys, r.rig, "s");
  assert_float_equal(fh_rig_value(&stand[0], FH_LEARN), FH_LEARN_SOLO, 0.0);
  type(&keys, r.rig, "lu");
  assert_float_equal(fh_rig_value(&stand[0], FH_LEARN), FH_LEARN_BACK, 0.0);
  type(&keys, r.rig, "qn\003y"); // not sure at first
  assert_true(keys.quit);
  end(&r);
}

/// The picture without its control sequences
static char*
draw(const FhRig* const rig, const FhTerminal* const terminal, const FhScreenState* const screen, const FhServerState* const server)
{
  static char   plain[32768];
  char*         text = NULL;
  size_t        size = 0, at = 0;
  FhNotes       notes = {0};
  FILE* const   file  = open_memstream(&text, &size);
  fh_note(&notes, "Left corner: No ambient signal. Sound passes untouched: check the ambient mic and its channel");
  fh_screen_draw(file, terminal, screen, rig, server, &notes);
  fclose(file);
  for (size_t i = 0; i < size; ++i) {
    if (text[i] == '\033') {
      i += 1 + strcspn(text + i + 1, "HKJhlm");
    } else {
      plain[at++] = text[i];
    }
  }
  plain[at] = '\0';
  free(text);
  return plain;
}

/// The longest line, bytes; all is ASCII here
static size_t
widest(const char* text)
{
  size_t most = 0;
  while (*text) {
    const size_t length = strcspn(text, "\r\n");
    most                = length > most ? length : most;
    text += length + strspn(text + length, "\r\n");
  }
  return most;
}

static void
test_screen(void** const state)
{
  (void)state;
  Running             r      = start();
  const FhServerState server = {.running = true, .rate = 48000, .frames = 64, .load = 0.062, .xruns = 3};
  FhScreenState       screen = {0};
  for (int columns = 80; columns <= 200; columns += 40) {
    const FhTerminal terminal = {columns, 24, true, false};
    play(r.rig, 1.0, 12.0);
    const char* const text = draw(r.rig, &terminal, &screen, &server);
    assert_true(widest(text) <= (size_t)columns);
    assert_non_null(strstr(text, "> 1 Left corner"));
    assert_non_null(strstr(text, "  2 Bars"));
    assert_non_null(strstr(text, "Mira"));
    assert_non_null(strstr(text, "following"));
    assert_non_null(strstr(text, "64 frames, 3 xruns, NOT REAL TIME"));
    assert_non_null(strstr(text, "Next here: Jonas"));
    assert_non_null(strstr(text, columns == 80 ? "ambient mic\r\nand its channel" : "mic and its channel"));
    assert_non_null(strstr(text, "q quit"));
  }
  atomic_store(&r.rig->stand[0].told[FH_LEARN_RESULT], (float)FH_RESULT_AGAIN);
  const char* const doubt = draw(r.rig, &(FhTerminal){120, 24, true, false}, &screen, &server);
  assert_non_null(strstr(doubt, "doubtful"));
  assert_non_null(strstr(doubt, "learn again while the band plays"));
  fh_rig_set(&r.rig->stand[1], FH_MUTED, 1.0f, 0.0);
  const FhTerminal  small = {80, 9, false, false};
  screen.chosen           = 1;
  const char* const text  = draw(r.rig, &small, &screen, &(FhServerState){0});
  assert_non_null(strstr(text, "> 2 Bars"));
  assert_null(strstr(text, "Muted"));
  assert_non_null(strstr(text, "Silent")); // what was told last is old
  assert_non_null(strstr(text, "SILENT: no JACK server"));
  assert_non_null(strstr(fh_glance_advice(&r.rig->stand[0], FH_FAULT_NO_AMBIENT), "Sound passes untouched: check"));
  assert_non_null(strstr(fh_glance_advice(&r.rig->stand[1], FH_FAULT_NO_AMBIENT), "Muted: check"));
  end(&r);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_save),    cmocka_unit_test(test_soloists), cmocka_unit_test(test_broken),
    cmocka_unit_test(test_no_room), cmocka_unit_test(test_keys),     cmocka_unit_test(test_screen),
  };
  return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
