// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file frames.h
/// From the microphones to the weighted sum of bands: all levels of the tree and all all-passes in one loop, each for a
/// frame some steps behind the one before, so that none waits for another. Included by kernel.c only. Thread: audio.
///
/// Steps count from 0. Step t takes frame t at the root, t - 2 at the halves and t - 4 at the quarters, each with its
/// second section a step later; t - 5 at the weights and the first all-passes, t - 6 at the next, t - 7 at the last two.
/// Every step computes every lane: what has not begun yet, or is over, goes on with whatever is there. Its state is taken
/// from memory when it begins and left there when it is over.
///
/// Where the frames after these are there already, the split goes on with the first five of them, and the next run begins
/// at step 5.

#ifndef FRONTHASH_DSP_FRAMES_H
#define FRONTHASH_DSP_FRAMES_H

#include "dsp/kernel.h"
#include "dsp/section.h"

enum { WEIGH_AT = 5, CHAIN_AT = 6, LAST_AT = 7 };

/// Frames on their way
typedef struct {
  _Alignas(16) float pairs[FH_MAX_TICK + FH_AHEAD + FH_SPARE][2]; ///< Microphones of the first tree
  _Alignas(16) float ambient[FH_MAX_TICK + FH_AHEAD + FH_SPARE];  ///< And of the second
  _Alignas(32) float joined[FH_MAX_TICK + FH_SPARE][8];           ///< Halves still to be summed, lanes as FhBands.last
} Work;

/// All that changes from step to step
typedef struct {
  Split    top, quarter, ambient;
  State    join, chain, last;
  V        power[2], ambient_power[2], weight[2];
  V        to_top, to_quarter, to_ambient, to_chain; ///< For the next step
  uint32_t position;                                 ///< In the delay lines
} Pipe;

/// What stays the same
typedef struct {
  FhKernel*      kernel;
  const FhBands* bands; ///< The coefficients in it
  int            lane;  ///< First of those at hand
  uint32_t       trees; ///< 1 or 2
  bool           late;  ///< Latency is not 0
} Place;

/// Root and halves. `frame` holds both microphones over and over
FH_INLINE void
split_top(const Place at, Pipe* const p, const V frame)
{
  V       high;
  const V x     = FH_PICK(p->to_top, frame, 2, 3, 4, 5);
  const V low   = split(section_of(&at.bands->top, at.lane), &p->top, x, &high);
  p->to_top     = branch_of(low, high, at.lane);
  p->to_quarter = FH_PICK(low, high, 0, 4, 1, 5);
}

/// All of the second tree: measure only. `frame` holds the ambient microphone over and over
FH_INLINE void
split_ambient(const Place at, Pipe* const p, const V frame)
{
  V       high;
  const V x     = FH_PICK(p->to_ambient, frame, 0, 5, 2, 3);
  const V low   = split(section_of(&at.bands->ambient, at.lane), &p->ambient, x, &high);
  p->to_ambient = FH_PICK(branch_of(low, high, at.lane), FH_PICK(low, high, 0, 4, 1, 5), 1, 1, 4, 5);
  p->ambient_power[0] = fh_v_fma(low, low, p->ambient_power[0]);
  p->ambient_power[1] = fh_v_fma(high, high, p->ambient_power[1]);
}

/// Measure quarters, pass them through the delay lines, weigh. @return Quarters again
FH_INLINE V
weigh(const Place at, Pipe* const p, const V low, const V high)
{
  const FhKernel* const k = at.kernel;
  p->power[0] = fh_v_fma(low, low, p->power[0]);
  p->power[1] = fh_v_fma(high, high, p->power[1]);

  V out = low, out_high = high;
  if (at.late) {
    keep(&k->late[p->position].bands[0], at.lane, low);
    keep(&k->late[p->position].bands[1], at.lane, high);
    p->position = p->position == k->latency ? 0 : p->position + 1;
    out         = part(&k->late[p->position].bands[0], at.lane);
    out_high    = part(&k->late[p->position].bands[1], at.lane);
  }
  const V sum = fh_v_fma(p->weight[0], out, p->weight[1] * out_high);
  p->weight[0] += part(&k->running.weight_step[0], at.lane);
  p->weight[1] += part(&k->running.weight_step[1], at.lane);
  return sum;
}

/// All-passes of quarters, then of halves. @return Halves, in the lanes of FhBands.last
FH_INLINE V
join(const Place at, Pipe* const p, const V quarters)
{
  const Section first = section_of(&at.bands->join, at.lane);
  const Section last  = section_of(&at.bands->last, at.lane);
  if (at.trees > 1u) {
    const V y   = align(first, &p->join, quarters);
    const V z   = align(section_of(&at.bands->chain, at.lane), &p->chain, p->to_chain);
    const V sum = FH_PICK(y, y, 0, 2, 1, 3) + FH_PICK(y, y, 1, 3, 0, 2);
    p->to_chain = FH_PICK(sum, z, 0, 1, 4, 5);
    return align(last, &p->last, z);
  }
  const V y   = align(first, &p->join, FH_PICK(quarters, p->to_chain, 0, 1, 6, 7));
  const V one = FH_PICK(y, y, 0, 1, 0, 2);
  p->to_chain = replaced(one, one + FH_PICK(y, y, 0, 1, 1, 3), LANE_2);
  return align(last, &p->last, y);
}

/// What of a step is wanted
typedef struct {
  bool split, weigh, join, out;
} Parts;

FH_INLINE void
step(Place at, Pipe* const p, Work* const w, const uint32_t t, const Parts parts)
{
  // Read coefficients and steps of weights where they are used: all together are more than there are registers
  __asm__("" : "+r"(at.kernel));
  at.bands = &at.kernel->bands;

  V sum = {0};
  if (parts.split) {
    V       high;
    const V low = split(section_of(&at.bands->quarter, at.lane), &p->quarter, p->to_quarter, &high);
    if (parts.weigh) {
      sum = weigh(at, p, low, high);
    }
    split_top(at, p, pairs_of(w->pairs[t]));
    if (at.trees > 1u) {
      split_ambient(at, p, all_of(w->ambient[t]));
    }
  }
  if (parts.join) {
    const V halves = join(at, p, sum);
    if (parts.out) {
      *(V*)(w->joined[t - LAST_AT] + at.lane) = halves;
    }
  }
}

/// Take from memory or leave there
FH_INLINE void
pass_vector(const Place at, fh_v8* const memory, V* const now, const int lanes, const bool begin)
{
  if (begin) {
    *now = replaced(*now, part(memory, at.lane), lanes);
  } else {
    keep(memory, at.lane, replaced(part(memory, at.lane), *now, lanes));
  }
}

FH_INLINE void
pass_state(const Place at, FhSectionState* const memory, State* const now, const int lanes, const bool begin)
{
  pass_vector(at, &memory->next, &now->next, lanes, begin);
  pass_vector(at, &memory->low, &now->low, lanes, begin);
}

/// What of the tree begins at step t, or is over t steps after the last frame
FH_INLINE void
pass_tree(const Place at, Pipe* const p, const uint32_t t, const bool begin)
{
  static const int top[]     = {LANE_2 | LANE_3, LANE_0 | LANE_1};
  static const int ambient[] = {LANE_1, LANE_0, LANE_2 | LANE_3};
  FhBandsState* const b      = &at.kernel->running.bands;
  const uint32_t   level = t / 2u, section = t % 2u;
  if (level > 2u) {
    return;
  }
  if (level < 2u) {
    pass_state(at, &b->top_state.section[section], &p->top.section[section], top[level], begin);
  } else {
    pass_state(at, &b->quarter_state.section[section], &p->quarter.section[section], LANES, begin);
  }
  if (at.trees > 1u) {
    pass_state(at, &b->ambient_state.section[section], &p->ambient.section[section], ambient[level], begin);
  }
}

/// What of the rest
FH_INLINE void
pass_rest(const Place at, Pipe* const p, const uint32_t t, const bool begin)
{
  FhKernel* const       k      = at.kernel;
  FhBandsState* const   b      = &k->running.bands;
  const bool            pair   = at.trees > 1u;
  State* const          chain  = pair ? &p->chain : &p->join;
  FhSectionState* const memory = pair ? &b->chain_state : &b->join_state;
  if (t == WEIGH_AT) {
    for (int i = 0; i < 2; ++i) {
      pass_vector(at, &k->running.power[0][i], &p->power[i], LANES, begin);
      pass_vector(at, &k->running.weight[i], &p->weight[i], LANES, begin);
      if (pair) {
        pass_vector(at, &k->running.power[1][i], &p->ambient_power[i], LANES, begin);
      }
    }
    pass_state(at, &b->join_state, &p->join, pair ? LANES : LANE_0 | LANE_1, begin);
  } else if (t == CHAIN_AT) {
    pass_state(at, memory, chain, pair ? LANE_0 | LANE_1 : LANE_2, begin);
  } else if (t == LAST_AT) {
    pass_state(at, memory, chain, pair ? LANE_2 | LANE_3 : LANE_3, begin);
    pass_state(at, &b->last_state, &p->last, LANES, begin);
  }
}

FH_INLINE void
pass_split(const Place at, FhSplitState* const memory, Split* const now, const bool begin)
{
  pass_state(at, &memory->section[0], &now->section[0], LANES, begin);
  pass_state(at, &memory->section[1], &now->section[1], LANES, begin);
  pass_vector(at, &memory->once, &now->once, LANES, begin);
  pass_vector(at, &memory->both, &now->both, LANES, begin);
}

/// The whole split, five frames ahead
FH_INLINE void
pass_ahead(const Place at, Pipe* const p, const bool begin)
{
  FhBandsState* const b = &at.kernel->running.bands;
  pass_split(at, &b->top_state, &p->top, begin);
  pass_split(at, &b->quarter_state, &p->quarter, begin);
  pass_vector(at, &b->to_top, &p->to_top, LANES, begin);
  pass_vector(at, &b->to_quarter, &p->to_quarter, LANES, begin);
  if (at.trees > 1u) {
    pass_split(at, &b->ambient_state, &p->ambient, begin);
    pass_vector(at, &b->to_ambient, &p->to_ambient, LANES, begin);
  }
}

/// As many frames as there are steps between the first level and the last, or more
/// @param after Frames that come next follow them
FH_INLINE void
run_many(const Place at, Work* const w, const uint32_t n, const bool after)
{
  Pipe p = {.position = at.kernel->running.position};
  if (at.kernel->running.ahead) {
    pass_ahead(at, &p, true);
  } else {
#pragma GCC unroll 5
    for (uint32_t t = 0; t < WEIGH_AT; ++t) {
      pass_tree(at, &p, t, true);
      step(at, &p, w, t, (Parts){.split = true});
    }
    pass_tree(at, &p, WEIGH_AT, true);
  }
#pragma GCC unroll 2
  for (uint32_t t = WEIGH_AT; t < LAST_AT; ++t) {
    pass_rest(at, &p, t, true);
    step(at, &p, w, t, (Parts){.split = true, .weigh = true, .join = true});
  }
  pass_rest(at, &p, LAST_AT, true);
  for (uint32_t t = LAST_AT; t < n; ++t) {
    step(at, &p, w, t, (Parts){true, true, true, true});
  }
#pragma GCC unroll 5
  for (uint32_t t = 0; t < WEIGH_AT; ++t) {
    if (!after) {
      pass_tree(at, &p, t, false);
    }
    step(at, &p, w, n + t, (Parts){true, true, true, true});
  }
  if (after) {
    pass_ahead(at, &p, false);
  } else {
    pass_tree(at, &p, WEIGH_AT, false);
  }
#pragma GCC unroll 2
  for (uint32_t t = WEIGH_AT; t < LAST_AT; ++t) {
    pass_rest(at, &p, t, false);
    step(at, &p, w, n + t, (Parts){.join = true, .out = true});
  }
  pass_rest(at, &p, LAST_AT, false);
}

/// Fewer frames, and the split not ahead
static __attribute__((noinline)) void
run_few(const Place at, Work* const w, const uint32_t n)
{
  Pipe p = {.position = at.kernel->running.position};
  for (uint32_t t = 0; t < n + LAST_AT; ++t) {
    pass_tree(at, &p, t, true);
    pass_rest(at, &p, t, true);
    if (t >= n) {
      pass_tree(at, &p, t - n, false);
      pass_rest(at, &p, t - n, false);
    }
    const bool weighs = t >= WEIGH_AT && t < n + WEIGH_AT;
    step(at, &p, w, t, (Parts){t < n + WEIGH_AT, weighs, true, t >= LAST_AT});
  }
  pass_rest(at, &p, LAST_AT, false);
}

#endif
