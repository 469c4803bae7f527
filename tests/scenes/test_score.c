// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The measures on signals for which the right figure is known by hand.

#include "fixed_gate.h"
#include "score.h"
#include "speex_reference.h"

#include "random.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define RATE 48000.0
#define PI 3.14159265358979323846
#define SECONDS 6.0

/// SI-SDR does not see the scale of the estimate, and gives back the level of orthogonal noise (Le Roux et al.,
/// arXiv 1811.02508: for noise orthogonal to the target it is the signal-to-noise ratio)
static void
si_sdr_identities(void** const state)
{
  (void)state;
  enum { N = 4800 };
  float clean[N], noisy[N], louder[N];
  for (int n = 0; n < N; ++n) { // whole periods: sine and cosine are orthogonal
    clean[n]  = (float)sin(2.0 * PI * 100.0 * n / N);
    noisy[n]  = clean[n] + (float)(pow(10.0, -12.0 / 20.0) * cos(2.0 * PI * 100.0 * n / N));
    louder[n] = -7.5f * noisy[n];
  }
  const float* const s[] = {clean};
  const float* const e[] = {noisy};
  const float* const l[] = {louder};
  assert_true(fabs(fh_si_sdr(e, s, 1, 0, N) - 12.0) < 0.001);
  assert_true(fabs(fh_si_sdr(l, s, 1, 0, N) - 12.0) < 0.001);
  assert_true(fh_si_sdr(s, s, 1, 0, N) > 100.0);
}

/// Two bursts of tone, 2 to 3 s and 4 to 5 s, over steady noise 20 dB below; band only until 1 s
static FhScene
two_bursts(void)
{
  FhScene scene = {.rate = RATE, .closes = 1, .mics = 2, .frames = (size_t)(SECONDS * RATE), .learn = {0.0, 1.0}};
  scene.phrase_count = 2;
  scene.phrases[0]   = (FhStretch){2.0, 3.0};
  scene.phrases[1]   = (FhStretch){4.0, 5.0};
  FhRandom r         = fh_random(1, 1);
  for (uint32_t m = 0; m < 2; ++m) {
    scene.solo[m]   = (float*)calloc(scene.frames, sizeof(float));
    scene.pickup[m] = (float*)calloc(scene.frames, sizeof(float));
    assert_true(scene.solo[m] && scene.pickup[m]);
    for (size_t n = 0; n < scene.frames; ++n) {
      const double at      = (double)n / RATE;
      const bool   playing = (at >= 2.0 && at < 3.0) || (at >= 4.0 && at < 5.0);
      scene.solo[m][n]     = playing && m == 0 ? (float)(0.1 * sqrt(2.0) * sin(2.0 * PI * 3500.0 * at)) : 0.0f;
      scene.pickup[m][n]   = 0.01f * fh_random_noise(&r);
    }
  }
  return scene;
}

static void
begin(FhScene* const scene, FhTruth* const truth)
{
  *scene = two_bursts();
  assert_true(fh_truth_make(truth, scene));
}

static void
end(FhScene* const scene, FhTruth* const truth)
{
  fh_truth_free(truth);
  fh_scene_free(scene);
}

static FhThrough
hand_made_gate(const FhTruth* const truth, const double late, const double tail)
{
  FhThrough t = {.step = 16, .frames = truth->frames};
  t.gate      = (float*)calloc(truth->frames / 16 + 2, sizeof(float));
  t.out[0]    = (float*)calloc(truth->frames, sizeof(float));
  assert_true(t.gate && t.out[0]);
  for (size_t n = 0; n < truth->frames; ++n) {
    const double at   = (double)n / RATE;
    const bool   open = (at >= 2.0 + late && at < 3.0 + tail) || (at >= 4.0 + late && at < 5.0 + tail);
    t.gate[n / 16]    = open ? 1.0f : 0.01f;
    t.out[0][n]       = (truth->solo[0][n] + truth->pickup[0][n]) * t.gate[n / 16];
  }
  return t;
}

static void
truth_of_two_bursts(void** const state)
{
  (void)state;
  FhScene scene;
  FhTruth truth;
  begin(&scene, &truth);
  size_t active = 0, resting = 0;
  for (size_t t = truth.first; t < truth.ticks; ++t) {
    active += truth.activity[t] == FH_ACTIVE;
    resting += truth.activity[t] == FH_RESTING;
  }
  assert_true(labs((long)active - 2000) <= 30); // the window of 10 ms reaches over both ends
  // rest: 1.0-2.0, 3.3-4.0 and 5.3-6.0 s, less 20 ms before each burst
  assert_true(labs((long)resting - (980 + 680 + 700)) <= 30);
  assert_int_equal(truth.onset_count, 2);
  assert_true(fabs((double)truth.onsets[0] / RATE - 2.0) < 0.001);
  assert_true(fabs((double)truth.onsets[1] / RATE - 4.0) < 0.001);
  assert_int_equal(truth.end_count, 2);
  assert_true(labs((long)truth.ends[1] - 5000) <= 8);
  end(&scene, &truth);
}

static void
score_of_a_late_gate(void** const state)
{
  (void)state;
  FhScene scene;
  FhTruth truth;
  FhScore score;
  begin(&scene, &truth);
  FhThrough late = hand_made_gate(&truth, 0.010, 0.500);
  fh_score_make(&score, &truth, &late);
  assert_true(fabs(score.value[FH_MEASURE_ONSET_MS] - 10.0) < 1.0);
  assert_true(fabs(score.value[FH_MEASURE_MISSED] - 1.0) < 0.5);        // 10 ms of each second
  assert_true(fabs(score.value[FH_MEASURE_ONSET_DB] + 0.97) < 0.1);     // 10 of 50 ms lost: 10 lg 0.8
  assert_true(fabs(score.value[FH_MEASURE_FALSE_OPEN] - 100.0 * 400.0 / 2360.0) < 1.5); // 200 ms after each burst
  assert_true(score.value[FH_MEASURE_TAIL] == 0.0);
  assert_true(fabs(score.value[FH_MEASURE_LEVEL] - 20.0 * log10(0.99)) < 0.05);
  assert_true(score.value[FH_MEASURE_CHATTER] == 0.0);
  fh_through_free(&late);

  FhThrough early = hand_made_gate(&truth, 0.0, -0.100);
  fh_score_make(&score, &truth, &early);
  assert_true(score.value[FH_MEASURE_ONSET_MS] <= 0.34);
  assert_true(fabs(score.value[FH_MEASURE_TAIL] - 100.0) < 8.0);
  assert_true(score.value[FH_MEASURE_FALSE_OPEN] == 0.0);
  assert_true(fabs(score.value[FH_MEASURE_REMOVED] - 40.0) < 0.1);
  fh_through_free(&early);
  end(&scene, &truth);
}

static void
short_openings_are_chatter(void** const state)
{
  (void)state;
  FhScene scene;
  FhTruth truth;
  FhScore score;
  begin(&scene, &truth);
  FhThrough gate = hand_made_gate(&truth, 0.0, 0.0);
  for (size_t n = 0; n < (size_t)(0.03 * RATE); ++n) {
    gate.gate[((size_t)(1.4 * RATE) + n) / 16] = 1.0f;
    gate.gate[((size_t)(3.6 * RATE) + n) / 16] = 1.0f;
  }
  fh_score_make(&score, &truth, &gate);
  assert_true(score.value[FH_MEASURE_CHATTER] == 2.0);
  assert_true(fabs(score.value[FH_MEASURE_FALSE_RATE] - 2.0 / (score.rest_s / 60.0)) < 1e-6);
  fh_through_free(&gate);
  end(&scene, &truth);
}

/// With a tone well above steady noise the best fixed gate takes the noise between the bursts: 5 s of noise become 2 s,
/// a gain of 10 lg (5 / 2) = 4.0 dB at most, and nearly all of it in hindsight
static void
fixed_gate_takes_the_pauses(void** const state)
{
  (void)state;
  FhScene scene;
  FhTruth truth;
  FhScore score;
  begin(&scene, &truth);
  FhThrough gate = hand_made_gate(&truth, 0.0, 0.0);
  fh_score_make(&score, &truth, &gate);
  const double gained = fh_fixed_gate_best(&truth, NULL) - score.value[FH_MEASURE_BEFORE];
  assert_true(gained > 3.5 && gained < 4.1);
  // always open: nothing gained, nothing lost
  const FhFixedGate open = {-150.0, 0.0, 0.0, 10.0, 20.0, 10.0};
  assert_true(fabs(fh_fixed_gate_score(&truth, &open) - score.value[FH_MEASURE_BEFORE]) < 0.1);
  fh_through_free(&gate);
  end(&scene, &truth);
}

/// Without anything in the reference the echo suppressor has nothing to take: its figure must be that of the input,
/// which also shows that its delay is found. 1 dB for its own filters.
static void
suppressor_leaves_what_it_cannot_know(void** const state)
{
  (void)state;
  FhScene scene = two_bursts();
  FhTruth truth;
  memset(scene.pickup[1], 0, scene.frames * sizeof(float));
  assert_true(fh_truth_make(&truth, &scene));
  const double score = fh_speex_score(&truth, &scene);
  if (!isnan(score)) { // compiled in
    const float* solo[] = {scene.solo[0]};
    float* const take   = (float*)malloc(truth.frames * sizeof(float));
    assert_non_null(take);
    for (size_t n = 0; n < truth.frames; ++n) {
      take[n] = scene.solo[0][n] + scene.pickup[0][n];
    }
    const float* const in[] = {take};
    assert_true(fabs(score - fh_si_sdr(in, solo, 1, truth.first * truth.tick, truth.frames)) < 1.0);
    free(take);
  }
  end(&scene, &truth);
}

/// The engine held open must put out what the truth takes for the open split: else every figure would be off
static void
open_engine_is_the_open_split(void** const state)
{
  (void)state;
  FhScene   scene;
  FhTruth   truth;
  FhRig     rig;
  FhThrough open;
  begin(&scene, &truth);
  assert_true(fh_rig_make(&rig, RATE, 1));
  rig.controls[FH_RANGE]      = 0.0f;
  rig.controls[FH_DUCK_DEPTH] = 0.0f;
  assert_true(fh_through_run(&open, &rig, &scene));
  double error = 0.0, all = 0.0;
  for (size_t n = truth.first * truth.tick; n < truth.frames; ++n) { // it fades in at the very start
    const double want = (double)truth.solo[0][n] + (double)truth.pickup[0][n];
    error += pow((double)open.out[0][n] - want, 2.0);
    all += want * want;
  }
  assert_true(10.0 * log10(all / (error + 1e-30)) > 90.0);
  fh_through_free(&open);
  fh_rig_free(&rig);
  end(&scene, &truth);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(si_sdr_identities),      cmocka_unit_test(truth_of_two_bursts),
    cmocka_unit_test(score_of_a_late_gate),   cmocka_unit_test(short_openings_are_chatter),
    cmocka_unit_test(fixed_gate_takes_the_pauses), cmocka_unit_test(open_engine_is_the_open_split),
    cmocka_unit_test(suppressor_leaves_what_it_cannot_know),
  };
  return cmocka_run_group_tests_name("measures", tests, NULL, NULL);
}
