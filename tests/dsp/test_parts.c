// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Small parts of the engine, each against a value from outside

#include "check.h"

#include "dsp/decision.h"
#include "dsp/duck.h"
#include "dsp/quantiles.h"

static void
decibels_match_libm(void** const state)
{
  (void)state;
  for (double x = 1e-20; x < 1e20; x *= 1.173) {
    check_near((double)fh_db((float)x), 10.0 * log10((double)(float)x), 2e-4);
  }
  for (double d = -150.0; d < 150.0; d += 0.37) {
    check_near(10.0 * log10((double)fh_undb((float)d)), d, 2e-4);
  }
}

// Quantiles of the normal law: 10 % and 90 % at 1.2816, 99 % at 2.3263, and by the straight-tail rule one in a thousand
// at 2 * 2.3263 - 1.2816 = 3.371 (the law itself: 3.0902; the rule errs to the safe side).
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1, table of the normal distribution (from memory).
static void
quantiles_of_the_normal_law(void** const state)
{
  (void)state;
  Noise       n = {7};
  FhQuantiles q;
  fh_quantiles_start(&q, fh_v8_set(9.0f));
  for (int i = 0; i < 40000; ++i) {
    fh_quantiles_add(&q, fh_v8_set(5.0f + 3.0f * (float)noise_normal(&n)), fh_v8_set(1.0f), true, 1e9f);
  }
  check_near((double)q.mid[3], 5.0, 0.15);
  check_near((double)q.low[3], -1.2816 * 3.0, 0.3);
  check_near((double)q.high[3], 1.2816 * 3.0, 0.3);
  check_near((double)q.top[3], 2.3263 * 3.0, 0.6);
  check_near((double)fh_quantiles_rare(&q)[3], 3.371 * 3.0, 1.2);
}

/// A gate and what it goes by
typedef struct {
  FhDecision decision;
  FhGate     gate;
} Decided;

static Decided
decision(void)
{
  // A tick of 1 ms: 5 ms attack, 20 ms hold, 50 ms release over 40 dB
  Decided d          = {.decision = {.margin = 6.0f, .keep = 3.0f, .attack = 0.2f, .hold = 20.0f, .floor = 0.01f}};
  d.decision.release = powf(d.decision.floor, 1.0f / 50.0f);
  fh_gate_start(&d.gate, &d.decision, false);
  return d;
}

/// Ticks until `state` is shown, at the most 1000
static int
until(Decided* const d, const float evidence, const FhState state)
{
  int ticks = 0;
  while (d->gate.state != state && ticks < 1000) {
    fh_gate_tick(&d->gate, &d->decision, evidence);
    ++ticks;
  }
  return ticks;
}

static void
decision_starts_open(void** const state)
{
  (void)state;
  const Decided d = decision();
  assert_int_equal(d.gate.state, FH_STATE_OPEN);
  check_near((double)d.gate.gain, 1.0, 0.0);
}

static void
decision_keeps_its_times(void** const state)
{
  (void)state;
  Decided d = decision();
  assert_int_equal(until(&d, 0.0f, FH_STATE_HOLDING), 1);
  assert_in_range(until(&d, 0.0f, FH_STATE_CLOSING), 20, 21);
  assert_in_range(until(&d, 0.0f, FH_STATE_CLOSED), 49, 51);
  check_near((double)d.gate.gain, 0.01, 1e-5);
  assert_int_equal(until(&d, 6.5f, FH_STATE_OPENING), 1);
  assert_in_range(until(&d, 6.5f, FH_STATE_OPEN), 4, 6);
}

// Hysteresis: between closing and opening level nothing changes (U. Zoelzer, DAFX, noise gate; from memory)
static void
decision_has_hysteresis(void** const state)
{
  (void)state;
  Decided d = decision();
  for (int i = 0; i < 500; ++i) {
    fh_gate_tick(&d.gate, &d.decision, 4.0f);
    assert_int_equal(d.gate.state, FH_STATE_OPEN);
  }
  (void)until(&d, 0.0f, FH_STATE_CLOSED);
  for (int i = 0; i < 500; ++i) {
    fh_gate_tick(&d.gate, &d.decision, 4.0f);
    assert_int_equal(d.gate.state, FH_STATE_CLOSED);
  }
}

// Power subtraction with an over-estimate of 2 (3.01 dB): M. Berouti, R. Schwartz, J. Makhoul, ICASSP 1979
static void
duck_subtracts_power(void** const state)
{
  (void)state;
  const FhDuck duck = {.margin = 2.0f, .depth = 0.004f}; // no smoothing
  fh_v8        gain = fh_v8_set(1.0f);
  fh_duck_tick(&duck, &gain, fh_v8_set(1.0f), fh_v8_set(0.25f));
  check_near((double)gain[0], sqrt(0.5), 1e-6);
  fh_duck_tick(&duck, &gain, fh_v8_set(1.0f), fh_v8_set(10.0f));
  check_near((double)gain[7], sqrt(0.004), 1e-6);
  fh_duck_tick(&duck, &gain, fh_v8_set(1.0f), fh_v8_set(0.0f));
  check_near((double)gain[3], 1.0, 1e-6);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(decibels_match_libm),
    cmocka_unit_test(quantiles_of_the_normal_law),
    cmocka_unit_test(decision_starts_open),
    cmocka_unit_test(decision_keeps_its_times),
    cmocka_unit_test(decision_has_hysteresis),
    cmocka_unit_test(duck_subtracts_power),
  };
  return cmocka_run_group_tests_name("parts", tests, NULL, NULL);
}
