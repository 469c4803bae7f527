// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The plan's figures against hand arithmetic, and its advice against its own figures

#undef NDEBUG

#include "command/plan/plan_show.h"

// cmocka wants these four first
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

static void
close_to(const char* const what, const double found, const double wanted, const double tolerance)
{
  if (!(fabs(found - wanted) <= tolerance)) {
    fail_msg("%s: %.6g, wanted %.6g within %.3g", what, found, wanted, tolerance);
  }
}

/// A point source and one far player heard by omnis: nothing but 20 lg of distances (0.06 m of bell is left out)
static FhPlan
simple_plan(void)
{
  static FhFamily point;
  point          = *fh_family_find("trumpet");
  point.radius   = 0.0;
  FhPlan plan    = fh_plan_default(&point);
  plan.mic_pattern = plan.ambient_pattern = fh_pattern_find("omni");
  plan.band_size   = 1.0;
  plan.humidity    = 50.0;
  return plan;
}

static void
test_levels(void** const state)
{
  (void)state;
  FhPlan    plan = simple_plan();
  FhPlanFigures f;
  plan.level            = 94.0;
  plan.band_level       = 94.0;
  plan.mic_distance     = 0.3;
  plan.ambient_distance = 5.0;
  plan.band_distance    = 20.0;
  plan.ambient_bearing  = 0.0;
  fh_plan_compute(&plan, &f);
  close_to("close", f.solo_close, 94.0 + 10.46, 0.005);
  close_to("ambient", f.solo_ambient, 94.0 - 13.98, 0.005);
  close_to("difference, 0.3 m against 5 m", f.solo_difference, 24.4, 0.05);
  // 20 lg(20.3 / 15) = 2.63 dB, and 3 dB of ground; the air of 5 m takes less than 0.1 dB
  close_to("field", f.band_difference, -2.63, 0.1);
  close_to("field level", f.band_ambient, 94.0 + 3.0 - 23.52, 0.15);
  close_to("separation", f.separation, f.solo_difference - f.band_difference, 1e-9);
  // Delays: 15 m, 20.3 m at 343.21 m/s
  close_to("ambient lead", f.ambient_lead_ms, 1000.0 * 5.3 / 343.21, 0.01);
  close_to("close", f.solo_close_ms, 0.874, 0.001);
}

/// A stand of a show, in triangles of known sides: 3, 4, 5, and 1, 6 with the root of 37
static void
test_show(void** const state)
{
  (void)state;
  static const char text[] = "fronthash-show 1\nambient 2\nambient-at 1m 4m\nband-at 0m 10m\nspeaker-at -3m -11m\nspeaker-at 5m 7m\n"
                             "stand A\ninput 1\nfamily trumpet\ndistance 30cm\npattern omni\nat -3m 1m\nstand B\ninput 3\nfamily flute\n";
  FhShow* const show = fh_show_parse("x.show", text, sizeof(text) - 1);
  FhPlan        plan = simple_plan();
  FhPlanFigures f;
  assert_non_null(show);
  assert_true(fh_plan_place(&plan, show, &show->stand[0]));
  close_to("ambient microphone", plan.ambient_distance, 5.0, 1e-9);
  close_to("its bearing", plan.ambient_bearing, 53.130, 0.001);
  close_to("nearest row", plan.band_distance, 9.0, 1e-9);
  close_to("its middle, to the right", plan.band_aside, 3.0, 1e-9);
  close_to("the nearer loudspeaker", plan.speaker_mic, 10.0, 1e-9);
  close_to("close microphone", plan.mic_distance, 0.3, 1e-9);
  plan.band_level = 94.0; // and one player at 0 m, 10 m, with 3 dB of ground
  fh_plan_compute(&plan, &f);
  close_to("player at the ambient microphone", f.band_ambient, 94.0 + 3.0 - 10.0 * log10(37.0), 0.15);
  assert_false(fh_plan_place(&plan, show, &show->stand[1]));
  fh_show_free(show);
}

/// 80 players in a block at a distance seen as one: 10 lg 80 above one player, as the block shrinks against it
static void
test_band_adds_up(void** const state)
{
  (void)state;
  FhPlan    plan = simple_plan();
  FhPlanFigures one;
  FhPlanFigures many;
  plan.band_distance = 200.0;
  fh_plan_compute(&plan, &one);
  plan.band_size = 80.0;
  fh_plan_compute(&plan, &many);
  close_to("80 players", many.band_close - one.band_close, 10.0 * log10(80.0), 0.5);
}

/// The cardioid's table: 180 degrees is its null, 90 degrees -6 dB; limited to what a real capsule does
static void
test_patterns_in_place(void** const state)
{
  (void)state;
  FhPlan    plan = simple_plan();
  FhPlanFigures into;
  FhPlanFigures side;
  FhPlanFigures away;
  plan.mic_pattern   = fh_pattern_find("cardioid");
  plan.band_distance = 100.0;
  fh_plan_compute(&plan, &into);
  plan.mic_aim = 90.0;
  fh_plan_compute(&plan, &side);
  plan.mic_aim = 180.0;
  fh_plan_compute(&plan, &away);
  close_to("side", side.band_close - into.band_close, -6.0, 0.1);
  close_to("behind", away.band_close - into.band_close, -25.0, 0.1);
  close_to("soloist stays", away.solo_close, into.solo_close, 1e-9);
  plan.mic_angle = 90.0;
  fh_plan_compute(&plan, &away);
  close_to("soloist off axis", away.solo_close - into.solo_close, -6.02, 0.01);
}

static void
test_excess_limits(void** const state)
{
  (void)state;
  FhPlan    plan = simple_plan();
  FhPlanFigures f;
  // Loud soloist: what leaks into the ambient microphone sets the limit, the separation
  plan.level      = 130.0;
  plan.band_level = 50.0;
  fh_plan_compute(&plan, &f);
  close_to("loud", f.excess, f.separation, 0.01);
  // Silent soloist: no excess
  plan.level      = 0.0;
  plan.band_level = 110.0;
  fh_plan_compute(&plan, &f);
  close_to("silent", f.excess, 0.0, 0.01);
  assert_int_equal(f.verdict, FH_VERDICT_MOVE);
}

/// Without a band: at the ear what Sound Advice, note 17, has for a cornet, 120 dB, and as many dB less as it plays softer;
/// beside the ambient microphone 20 lg 2 m less than at 1 m
static void
test_exposure(void** const state)
{
  (void)state;
  FhPlan        plan = simple_plan();
  FhPlanFigures f;
  plan.level      = plan.family->level + fh_dynamic_find("full")->offset;
  plan.band_level = -50.0;
  fh_plan_compute(&plan, &f);
  close_to("full", f.player_level, 120.0, 0.01);
  close_to("OSHA at 120", f.player_osha, 0.0, 0.0);
  close_to("beside", f.tech_level, plan.level - 6.02, 0.01);
  plan.level -= 20.0;
  fh_plan_compute(&plan, &f);
  close_to("20 dB softer", f.player_level, 100.0, 0.01);
  close_to("NIOSH at 100", f.player_niosh, 0.25, 1e-3);
}

static void
test_neighbour(void** const state)
{
  (void)state;
  FhPlan    plan = simple_plan();
  FhPlanFigures f;
  fh_plan_compute(&plan, &f);
  assert_true(isnan(f.neighbour_below));
  plan.mic_distance = 0.2;
  plan.neighbour    = 0.6;
  fh_plan_compute(&plan, &f);
  close_to("3:1", f.neighbour_below, 9.54, 0.005);
  close_to("peak", f.ripple_peak, 2.50, 0.005);
  close_to("dip", f.ripple_dip, -3.52, 0.005);
}

/// Every family, soft to full, near to far: advice is only given when needed, never makes things worse, and where it
/// claims to solve, its figures do
static void
test_advice_is_sound(void** const state)
{
  (void)state;
  int solved = 0;
  int fine   = 0;
  int hopeless = 0;
  for (size_t i = 0; i < fh_family_count; ++i) {
    for (size_t d = 0; d < fh_dynamic_count; ++d) {
      for (double band = 2.0; band < 40.0; band *= 4.0) {
        FhPlan plan        = fh_plan_default(&fh_families[i]);
        plan.level         = fh_families[i].level + fh_dynamics[d].offset;
        plan.band_distance = band;
        FhPlanFigures f;
        FhAdvice  advice;
        fh_plan_compute(&plan, &f);
        fh_plan_advise(&plan, &advice);
        const bool ok = f.verdict == FH_VERDICT_GOOD && f.pag >= f.nag;
        assert_true(!ok || (advice.solves && !advice.count));
        if (!ok && advice.solves) {
          assert_true(advice.count > 0);
          assert_true(advice.after.excess >= FH_SEPARATION_GOOD && advice.after.pag >= advice.after.nag);
        } else if (!ok) {
          assert_true(advice.after.excess >= f.excess || f.excess >= FH_SEPARATION_GOOD);
        }
        fine += ok;
        solved += !ok && advice.solves;
        hopeless += !advice.solves;
      }
    }
  }
  print_message("%d fine as they are, %d solved, %d beyond help\n", fine, solved, hopeless);
  assert_true(fine > 0 && solved > 0 && hopeless > 0);
}

/// Where moving closer is enough, that is the advice, for it costs least
static void
test_closer_comes_first(void** const state)
{
  (void)state;
  FhPlan plan       = fh_plan_default(fh_family_find("trumpet"));
  plan.mic_distance = 0.6;
  FhPlanFigures f;
  FhAdvice  advice;
  fh_plan_compute(&plan, &f);
  assert_int_not_equal(f.verdict, FH_VERDICT_GOOD);
  fh_plan_advise(&plan, &advice);
  assert_true(advice.solves);
  assert_int_equal(advice.count, 1);
  assert_non_null(strstr(advice.text[0], "close microphone to"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_levels),
    cmocka_unit_test(test_show),
    cmocka_unit_test(test_band_adds_up),
    cmocka_unit_test(test_patterns_in_place),
    cmocka_unit_test(test_excess_limits),
    cmocka_unit_test(test_exposure),
    cmocka_unit_test(test_neighbour),
    cmocka_unit_test(test_advice_is_sound),
    cmocka_unit_test(test_closer_comes_first),
  };
  return cmocka_run_group_tests_name("plan", tests, NULL, NULL);
}
