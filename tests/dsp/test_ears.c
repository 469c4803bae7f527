// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_ears.c
/// The trained decision in whole numbers against the same network in double precision, written out from the formulas of a gated
/// recurrent unit (K. Cho et al., EMNLP 2014, with the reset gate inside as PyTorch's documentation of torch.nn.GRU has it); and the table of
/// weights against its check sum (Fletcher's, RFC 1146, with 16-bit words modulo 65535).

#include "check.h"


#include "dsp/ears.h"
#include "dsp/ears_weights.h"

#include <math.h>
#include <string.h>

#define UNITS FH_EARS_UNITS

static double
weight(const int16_t* const table, const int row, const int column)
{
  const int block = row / FH_EARS_ROWS * FH_EARS_ROWS * UNITS, pair = column / 2 * 2 * FH_EARS_ROWS, place = row % FH_EARS_ROWS * 2 + column % 2;
  return (double)table[block + pair + place] / (double)FH_EARS_ONE;
}

static void
multiply(const int16_t* const table, const float* const bias, const double* const x, const int rows, double* const to)
{
  for (int row = 0; row < rows; ++row) {
    to[row] = (double)bias[row];
    for (int k = 0; k < UNITS; ++k) {
      to[row] += weight(table, row, k) * x[k];
    }
  }
}

static double
sigmoid(const double x)
{
  return 1.0 / (1.0 + exp(-x));
}

/// One look of the network in double precision. @return Log odds
static double
answer(double memory[UNITS], const double inputs[FH_EARS_INPUTS])
{
  double layer[UNITS], now[3 * UNITS], past[3 * UNITS], odds = (double)fh_ears_answer_bias;
  multiply(fh_ears_layer, fh_ears_layer_bias, inputs, UNITS, layer);
  for (int i = 0; i < UNITS; ++i) {
    layer[i] = fmax(layer[i], 0.0);
  }
  multiply(fh_ears_into, fh_ears_into_bias, layer, 3 * UNITS, now);
  multiply(fh_ears_back, fh_ears_back_bias, memory, 3 * UNITS, past);
  for (int i = 0; i < UNITS; ++i) {
    const double reset = sigmoid(now[i] + past[i]), keep = sigmoid(now[UNITS + i] + past[UNITS + i]);
    const double fresh = tanh(now[2 * UNITS + i] + reset * past[2 * UNITS + i]);
    memory[i]          = (1.0 - keep) * fresh + keep * memory[i];
    odds += (double)fh_ears_answer[i] * memory[i];
  }
  return odds;
}

/// Powers that come and go in each band by itself, over 60 dB
static fh_v8
powers(Noise* const noise, double level[8], const double rise)
{
  fh_v8 x;
  for (int k = 0; k < 8; ++k) {
    level[k] = 0.995 * level[k] + 0.6 * noise_normal(noise);
    x[k]     = (float)pow(10.0, 0.1 * (level[k] * 2.0 - 45.0 + rise + 2.0 * noise_normal(noise)));
  }
  return x;
}

static void
test_network(void** state)
{
  (void)state;
  enum { LOOKS = 20000 };
  Noise       noise = {7};
  FhEars      ears;
  FhEarsLook  look  = {0};
  FhEarsUsual usual = {0}, looked_usual = {0};
  const fh_v8 spread         = {2.0f, 3.0f, 4.0f, 5.0f, 4.0f, 3.0f, 2.0f, 6.0f};
  double      memory[UNITS] = {0.0}, close_level[8] = {0.0}, pickup_level[8] = {0.0};
  double      odds = 0.0, worst = 0.0, sum = 0.0, low = 1e9, high = -1e9;
  fh_ears_start(&ears, &usual);
  for (int t = 0; t < LOOKS; ++t) {
    const double rise = t / 500 % 2 ? 12.0 : 0.0; // a soloist now and then
    fh_v8        close = fh_v8_set(0.0f), pickup = fh_v8_set(0.0f);
    for (int tick = 0; tick < FH_EARS_TICKS; ++tick) {
      const fh_v8 p = powers(&noise, pickup_level, 0.0), c = powers(&noise, close_level, rise) + p;
      close += c;
      pickup += p;
      fh_ears_tick(&ears, &usual, c, p, spread);
      const double off = tick == 0 && t > 0 ? fabs(odds - (double)ears.odds) : 0.0; // of the look before
      worst            = fmax(worst, off);
      sum += off;
    }
    fh_v8  given[FH_EARS_INPUTS / 8];
    double inputs[FH_EARS_INPUTS];
    fh_ears_look(&look, &looked_usual, close * (1.0f / FH_EARS_TICKS), pickup * (1.0f / FH_EARS_TICKS), spread, given);
    for (int i = 0; i < FH_EARS_INPUTS; ++i) {
      inputs[i] = (double)given[i / 8][i % 8];
    }
    odds = answer(memory, inputs);
    low  = fmin(low, odds);
    high = fmax(high, odds);
  }
  print_message("  log odds %.1f to %.1f; off by %.4f on average, %.3f at most\n", low, high, sum / LOOKS, worst);
  assert_true(high - low > 5.0); // it was asked something
  assert_true(sum / LOOKS < 0.02);
  assert_true(worst < 0.3);
}

/// A look against its definition: after a long steady sound every average is that sound
static void
test_look(void** state)
{
  (void)state;
  FhEarsLook   look  = {0};
  FhEarsUsual  usual = {0};
  const fh_v8  close = {1e-2f, 1e-3f, 1e-4f, 1e-5f, 1e-2f, 1e-3f, 1e-4f, 1e-5f}, pickup = fh_v8_set(1e-4f);
  fh_v8        given[FH_EARS_INPUTS / 8];
  for (int t = 0; t < 60000; ++t) {
    fh_ears_look(&look, &usual, close, pickup, fh_v8_set(3.0f), given);
  }
  for (int k = 0; k < 8; ++k) {
    const double over = 10.0 * log10((double)close[k] / 1e-4);
    for (int i = 0; i < FH_EARS_MEANS; ++i) {
      check_near(given[i][k], 0.1 * over, 1e-3);
    }
    check_near(given[3][k], 0.05 * over, 1e-3);
    check_near(given[4][k], 0.0, 1e-3);
    check_near(given[5][k], 0.3, 1e-6);
  }
}

static void
test_check_sum(void** state)
{
  (void)state;
  const struct {
    const int16_t* words;
    size_t         count;
  } tables[] = {{fh_ears_layer, UNITS * UNITS}, {fh_ears_into, 3 * UNITS * UNITS}, {fh_ears_back, 3 * UNITS * UNITS}};
  uint32_t low = 0, high = 0;
  for (int i = 0; i < 3; ++i) {
    for (size_t k = 0; k < tables[i].count; ++k) {
      low  = (low + (uint16_t)tables[i].words[k]) % 65535u;
      high = (high + low) % 65535u;
    }
  }
  assert_int_equal(high << 16 | low, fh_ears_weights_sum);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_network), cmocka_unit_test(test_look), cmocka_unit_test(test_check_sum)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
