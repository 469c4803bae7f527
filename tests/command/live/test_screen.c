// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_screen.c
/// The terminal of a rig: the keys do what the last line of the screen says, the picture fits and says what is wrong, and a terminal that
/// stalls stops nothing.

#undef NDEBUG

#include "../command.h"
#include "command/live/glance.h"
#include "command/live/keys.h"
#include "small_rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <pty.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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

/// A terminal that takes nothing more, as over a line that has stalled: the rig goes on, and when it is read again the picture is there
static void
test_stalled(void** const state)
{
  (void)state;
  Running             r      = start();
  const FhServerState server = {.running = true, .rate = 48000, .frames = 64};
  const FhNotes       notes  = {0};
  const int           own[]  = {dup(STDIN_FILENO), dup(STDOUT_FILENO)};
  FhKeys              keys;
  char                text[65536];
  int                 here = -1, there = -1;
  fflush(stdout);
  assert_int_equal(openpty(&here, &there, NULL, NULL, NULL), 0);
  for (int fd = STDIN_FILENO; fd <= STDOUT_FILENO; ++fd) {
    dup2(there, fd);
  }
  alarm(20);
  fh_keys_begin(&keys);
  const bool on = keys.on;
  for (int i = 0; on && i < 1000; ++i) {
    fh_keys_draw(&keys, r.rig, &server, &notes);
  }
  const bool stalled = keys.left;
  while (on && keys.left && read(here, text, sizeof(text)) > 0) {
    fh_keys_draw(&keys, r.rig, &server, &notes);
  }
  const bool whole = !keys.left;
  alarm(0);
  fh_keys_end(&keys);
  for (int fd = STDIN_FILENO; fd <= STDOUT_FILENO; ++fd) {
    dup2(own[fd], fd);
    close(own[fd]);
  }
  close(here);
  close(there);
  assert_true(on && stalled && whole);
  end(&r);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_keys),
    cmocka_unit_test(test_screen),
    cmocka_unit_test(test_stalled),
  };
  return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
