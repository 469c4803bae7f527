// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_live.c
/// A show that runs, without a sound server: blocks are run by hand. What is saved comes back to the bit, whatever happens to the
/// file; manners go with the soloist, and what was learnt stays with the stand.

#undef NDEBUG

#include "../command.h"
#include "command/base/complain.h"
#include "command/live/save.h"
#include "said.h"
#include "small_rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char stranger[FH_SHOW_NAME];

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

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_save),    cmocka_unit_test(test_soloists), cmocka_unit_test(test_broken),
    cmocka_unit_test(test_no_room),
  };
  return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
