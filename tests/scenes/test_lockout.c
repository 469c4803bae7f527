// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A soloist is always heard: nothing that is saved, and no Learn that went wrong, shuts one out. Held against the truth
// of made-up scenes, which is known from their stems.

#include "lockout.h"

#include <string.h>

static Show show;

static int
open_show(void** const state)
{
  (void)state;
  show = show_make(1);
  return 0;
}

static int
close_show(void** const state)
{
  (void)state;
  show_free(&show);
  return 0;
}

/// What is known at the moment of saving
typedef enum { NOTHING, BRIEFLY, FOLLOWED, LEARNT, BOTH, STATES } Knowing;

static const char* const names[STATES] = {"nothing", "followed for 2 s", "followed", "learnt", "learnt, and the soloist"};

/// For so long may a decision fall the other way in the whole take, s: it was on the edge, and tracking takes its first steps
/// only when the averages have filled
static const double on_edge_s[STATES] = {[BOTH] = 0.2};

/// Saved and restored in a new engine, the same sound gets the same gains within 0.5 dB from two seconds on, and as much of
/// the soloist is missed as without. @param how What is known when it is saved
static void
check_restored(const Knowing how)
{
  FhRig kept, restored;
  assert_true(fh_rig_make(&kept, show.scene.rate, 1) && fh_rig_make(&restored, show.scene.rate, 1));
  if (how == LEARNT || how == BOTH) {
    show_learn(&show, &kept, FH_LEARN_AMBIENT, 0.5, 10.0);
  }
  if (how == BOTH) {
    show_learn(&show, &kept, FH_LEARN_SOLO, show.first, show.first + 8.0);
    show_play(&show, &kept, 0.0, show.first, NULL); // nobody saves in the middle of a note
  }
  if (how == FOLLOWED) {
    show_play(&show, &kept, 0.0, show.seconds, NULL);
  }
  if (how == BRIEFLY) {
    show_play(&show, &kept, 0.0, 2.0, NULL);
  }
  FhLearnt saved;
  fh_engine_get_learnt(kept.engine, &saved);
  assert_true(fh_engine_set_learnt(restored.engine, &saved));

  Heard a, b;
  show_play(&show, &kept, 0.0, show.seconds, &a);
  show_play(&show, &restored, 0.0, show.seconds, &b);
  double most = 0.0, apart = 0.0; // dB, s
  for (size_t i = 2u * (size_t)FH_GATE_RATE; i < a.count; ++i) {
    const double off = 20.0 * log10((double)fmaxf(a.gate[i], 1e-4f) / (double)fmaxf(b.gate[i], 1e-4f));
    most             = fmax(most, fabs(off));
    apart += fabs(off) > 0.5 ? 1.0 / FH_GATE_RATE : 0.0;
  }
  printf("%-24s missed %5.2f %%, restored %5.2f %%; gains off by %.3f dB, for %.0f ms\n", names[how], a.missed, b.missed, most,
         1e3 * apart);
  if (apart > on_edge_s[how] || b.missed > a.missed + 0.5) {
    fail_msg("%s: missed %.2f %%, restored %.2f %%; gains off by %.2f dB", names[how], a.missed, b.missed, most);
  }
  heard_free(&a);
  heard_free(&b);
  fh_rig_free(&kept);
  fh_rig_free(&restored);
}

static void
restored_as_saved(void** const state)
{
  (void)state;
  for (Knowing how = NOTHING; how < STATES; ++how) {
    check_restored(how);
  }
}

/// A Learn of one second leaves what was known: as much of the soloist is missed as by the engine nobody pressed it in, which
/// was followed by tracking alone or had learnt well
static void
short_learn_changes_nothing(void** const state)
{
  (void)state;
  for (int learnt = 0; learnt < 2; ++learnt) {
    double missed[2];
    for (int pressed = 0; pressed < 2; ++pressed) {
      FhRig rig;
      assert_true(fh_rig_make(&rig, show.scene.rate, 1));
      show_play(&show, &rig, 0.0, show.first, NULL);
      if (learnt) {
        show_learn(&show, &rig, FH_LEARN_AMBIENT, 0.5, 10.0);
      }
      FhLearnt before, after;
      fh_engine_get_learnt(rig.engine, &before);
      if (pressed) {
        show_learn(&show, &rig, FH_LEARN_AMBIENT, 2.0, 3.0);
        fh_engine_get_learnt(rig.engine, &after);
        assert_true(after.known == before.known && after.asked == before.asked);
      }
      Heard heard;
      show_play(&show, &rig, 0.0, show.seconds, &heard);
      missed[pressed] = heard.missed;
      heard_free(&heard);
      fh_rig_free(&rig);
    }
    printf("%-24s missed %5.2f %%, after a Learn of 1 s %5.2f %%\n", names[learnt ? LEARNT : FOLLOWED], missed[0], missed[1]);
    assert_true(missed[1] < missed[0] + 0.5);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(restored_as_saved), cmocka_unit_test(short_learn_changes_nothing)};
  return cmocka_run_group_tests_name("lockout", tests, open_show, close_show);
}
