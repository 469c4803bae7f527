// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "dsp/ears.h"

#include "dsp/ears_weights.h"

#include <string.h>

#define UNITS FH_EARS_UNITS
#define SOONER (UNITS + UNITS / 2) // rows of what is looked at that are summed with the look, the others a tick later
#define PER_ROW (1.0f / (FH_EARS_ONE * FH_EARS_ONE))

_Static_assert(FH_EARS_INPUTS == UNITS, "every row of weights has one length");
_Static_assert(UNITS % FH_EARS_ROWS == 0 && SOONER % FH_EARS_ROWS == 0, "rows go together");

/// Add to eight sums the products of eight rows of weights with two numbers
static inline fh_i8
add_pair(const fh_i8 sum, const int16_t* const weights, const int16_t* const pair)
{
  int32_t both;
  memcpy(&both, pair, sizeof(both));
#if defined(__AVX2__)
  const __m256i w = _mm256_load_si256((const __m256i*)(const void*)weights);
  return (fh_i8)_mm256_add_epi32((__m256i)sum, _mm256_madd_epi16(w, _mm256_set1_epi32(both)));
#elif defined(__SSE2__)
  const __m128i  x    = _mm_set1_epi32(both);
  const __m128i* w    = (const __m128i*)(const void*)weights;
  const FhHalves old  = {.mask = sum};
  const fh_i4    low  = (fh_i4)_mm_add_epi32((__m128i)old.half_mask[0], _mm_madd_epi16(w[0], x));
  const fh_i4    high = (fh_i4)_mm_add_epi32((__m128i)old.half_mask[1], _mm_madd_epi16(w[1], x));
  return (FhHalves){.half_mask = {low, high}}.mask;
#else
  fh_i8 more;
  for (int i = 0; i < 8; ++i) {
    more[i] = weights[2 * i] * pair[0] + weights[2 * i + 1] * pair[1];
  }
  return sum + more;
#endif
}

/// Rows of weights times a vector of UNITS, and a bias, FH_EARS_ROWS rows at a time
static inline void
multiply(const int16_t* weights, const float* const bias, const int16_t* const x, float* const to, const int from, const int rows)
{
  enum { EIGHTS = FH_EARS_ROWS / 8 };
  weights += from * UNITS;
  for (int row = from; row < from + rows; row += FH_EARS_ROWS) {
    fh_i8 sum[EIGHTS] = {{0}};
#pragma GCC unroll 8
    for (int k = 0; k < UNITS; k += 2) {
#pragma GCC unroll 4
      for (int i = 0; i < EIGHTS; ++i, weights += 16) {
        sum[i] = add_pair(sum[i], weights, x + k);
      }
    }
    for (int i = 0; i < EIGHTS; ++i) {
      const fh_v8* const b = (const fh_v8*)(const void*)(bias + row + 8 * i);
      *(fh_v8*)(void*)(to + row + 8 * i) = fh_v8_fma(fh_v8_of_whole(sum[i]), fh_v8_set(PER_ROW), *b);
    }
  }
}

/// In 1/FH_EARS_ONE, to the nearest
static inline void
round_to(int16_t* const to, const fh_v8 x)
{
  const fh_v8 most  = fh_v8_set(32767.0f);
  const fh_v8 large = fh_v8_max(fh_v8_min(x * FH_EARS_ONE, most), -most);
  const fh_i8 whole = fh_v8_whole(large + 32768.5f) - 32768;
  for (int i = 0; i < 8; ++i) {
    to[i] = (int16_t)whole[i];
  }
}

static inline fh_v8
sigmoid(const fh_v8 x)
{
  return 1.0f / (1.0f + fh_v8_undb(-4.34294482f * x));
}

void
fh_ears_start(FhEars* const e, const FhEarsUsual* const usual)
{
  const fh_v8 close = usual->pickup * fh_v8_undb(10.0f * usual->above);
  *e                = (FhEars){.look = {{close, close, close}, {usual->pickup, usual->pickup, usual->pickup}, usual->above}};
  memcpy(e->past, fh_ears_back_bias, sizeof(e->past)); // what nothing remembered comes to
}

/// What is remembered, for the next look
static inline void
look_back(FhEars* const e)
{
  multiply(fh_ears_back, fh_ears_back_bias, e->memory, e->past, 0, 3 * UNITS);
}

void
fh_ears_recall(FhEars* const e, const float memory[FH_EARS_UNITS])
{
  for (int i = 0; i < UNITS; i += 8) {
    fh_v8 state;
    memcpy(&state, memory + i, sizeof(state));
    state = fh_v8_max(fh_v8_min(state, fh_v8_set(1.0f)), fh_v8_set(-1.0f));
    memcpy(e->state + i, &state, sizeof(state));
    round_to(e->memory + i, state);
  }
  look_back(e);
}

void
fh_ears_near(FhEars* const e, const fh_v8 close, const fh_v8 pickup)
{
  for (int i = 0; i < FH_EARS_MEANS; ++i) {
    e->look.close[i]  = fh_v8_max(fh_v8_min(e->look.close[i], close * 10.0f), close * 0.1f);
    e->look.pickup[i] = fh_v8_max(fh_v8_min(e->look.pickup[i], pickup * 10.0f), pickup * 0.1f);
  }
}

/// A full look, and as much of what it says to the memory as keeps the ticks alike
static inline void
take_look(FhEars* const e, const fh_v8 inputs[FH_EARS_INPUTS / 8])
{
  for (int i = 0; i < FH_EARS_INPUTS; i += 8) {
    round_to(e->inputs + i, inputs[i / 8]);
  }
  multiply(fh_ears_layer, fh_ears_layer_bias, e->inputs, e->sums, 0, UNITS);
  for (int i = 0; i < UNITS; i += 8) {
    round_to(e->layer + i, fh_v8_max(*(fh_v8*)(void*)(e->sums + i), fh_v8_set(0.0f)));
  }
  multiply(fh_ears_into, fh_ears_into_bias, e->layer, e->sums, 0, SOONER);
}

/// From the last look and what is remembered to the odds
static inline void
answer(FhEars* const e)
{
  float* const x = e->sums;
  multiply(fh_ears_into, fh_ears_into_bias, e->layer, x, SOONER, 3 * UNITS - SOONER);
  fh_v8 odds = fh_v8_set(0.0f);
  for (int i = 0; i < UNITS; i += 8) {
    const fh_v8* const now   = (const fh_v8*)(const void*)(x + i);
    const fh_v8* const past  = (const fh_v8*)(const void*)(e->past + i);
    fh_v8* const       state = (fh_v8*)(void*)(e->state + i);
    const fh_v8        reset = sigmoid(now[0] + past[0]);
    const fh_v8        keep  = sigmoid(now[UNITS / 8] + past[UNITS / 8]);
    const fh_v8        fresh = 2.0f * sigmoid(2.0f * fh_v8_fma(reset, past[UNITS / 4], now[UNITS / 4])) - 1.0f;
    *state                   = fh_v8_fma(keep, *state - fresh, fresh);
    odds                     = fh_v8_fma(*state, *(const fh_v8*)(const void*)(fh_ears_answer + i), odds);
    round_to(e->memory + i, *state);
  }
  e->odds = fh_v8_sum(odds) + fh_ears_answer_bias;
}

void
fh_ears_tick(FhEars* const e, FhEarsUsual* const usual, const fh_v8 close, const fh_v8 pickup, const fh_v8 spread)
{
  e->close += close;
  e->pickup += pickup;
  switch (e->filled++) { // a look is answered a tick after it is full
  case 0:
    if (e->looked) {
      answer(e);
    }
    return;
  case 1:
    look_back(e);
    return;
  default: break;
  }
  fh_v8 inputs[FH_EARS_INPUTS / 8];
  fh_ears_look(&e->look, usual, e->close * (1.0f / FH_EARS_TICKS), e->pickup * (1.0f / FH_EARS_TICKS), spread, inputs);
  e->close = e->pickup = fh_v8_set(0.0f);
  e->filled            = 0;
  e->looked            = true;
  take_look(e, inputs);
}
