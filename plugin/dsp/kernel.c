// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Compiled once per instruction set: see avx2.h

#include "dsp/kernel.h"

#include <string.h>

#define FH_PASTE_(a, b) a##b
#define FH_PASTE(a, b) FH_PASTE_(a, b)

#define FH_NAME(name) name##4
#include "dsp/section.inc"
#undef FH_NAME

// As many lanes as fill a register; the quarters' eight lanes take one turn or two
#ifdef __AVX__
#define FH_WIDE 8
#define FH_NAME(name) name##8
#include "dsp/section.inc"
#else
#define FH_WIDE 4
#define FH_NAME(name) name##4
#endif

/// Frames on their way through the stages
typedef struct {
  _Alignas(32) float half[FH_MAX_TICK][4];              ///< Lanes: half, microphone; second tree
  _Alignas(32) float between[FH_MAX_TICK][4];           ///< Likewise, first tree: from one level to the next
  _Alignas(32) float quarter[FH_TREES][FH_MAX_TICK][8]; ///< Lanes: quarter, half, microphone
  _Alignas(32) float joined[FH_MAX_TICK][8];            ///< Likewise, first tree
  float out[2][FH_MAX_TICK];                            ///< Per close microphone
} Work;

/// Keep a sample only if it is a number of sensible size (below +48 dBFS); anything else becomes silence
/// @return Whether there was anything else
static inline bool
take_in(float* const restrict to, const float* const restrict from, const uint32_t n)
{
  int32_t broken = 0;
  if (from) {
    for (uint32_t i = 0; i < n; ++i) {
      const int32_t sane = fabsf(from[i]) < 256.0f;
      to[i]              = sane ? from[i] : 0.0f;
      broken |= 1 - sane;
    }
  } else {
    memset(to, 0, n * sizeof(float));
  }
  return broken != 0;
}

/// Microphones of both trees as the root takes them
typedef struct {
  const float* lane[4];
} Mics;

static inline Mics
mics_of(const FhKernel* const k, const uint32_t trees)
{
  static const float silence[FH_MAX_TICK] = {0};
  const float* const ambient = k->recent[FH_MIC_AMBIENT] + k->phase;
  const float* const close   = k->recent[FH_MIC_CLOSE_1] + k->phase;
  const float* const close_2 = k->recent[FH_MIC_CLOSE_2] + k->phase;
  return trees > 1u ? (Mics){{close, close_2, ambient, silence}} : (Mics){{close, ambient, silence, silence}};
}

static inline fh_v4
frame_of(const Mics* const m, const uint32_t i)
{
  return (fh_v4){m->lane[0][i], m->lane[1][i], m->lane[2][i], m->lane[3][i]};
}

/// Both branches of the root as input of the halves, for the first or the second tree
static inline fh_v4
halves_of(const fh_v4 low, const fh_v4 high, const int tree)
{
  return tree ? __builtin_shufflevector(low, high, 2, 3, 6, 7) : __builtin_shufflevector(low, high, 0, 1, 4, 5);
}

/// Split one frame at the root; returns the halves of the first tree
static inline fh_v4
split_root(Split4* const s, const Mics* const m, Work* const w, const uint32_t trees, const uint32_t i)
{
  fh_v4       high;
  const fh_v4 low = split4(s, frame_of(m, i), &high);
  if (trees > 1u) {
    store4(w->half[i], halves_of(low, high, 1));
  }
  return halves_of(low, high, 0);
}

static inline void
split_halves(Split4* const s, const fh_v4 halves, float* const quarters)
{
  fh_v4       high;
  const fh_v4 low = split4(s, halves, &high);
  store4(quarters, low);
  store4(quarters + 4, high);
}

#if FH_WIDE == 8
#include "dsp/kernel_wide.inc"
#else

/// First two levels of the tree
static inline void
split_top(FhKernel* const k, Work* const w, const uint32_t trees, const uint32_t n)
{
  const Mics m    = mics_of(k, trees);
  Split4     root = load_split4(&k->bands.top, &k->bands.top_state, 0);
  Split4     half = load_split4(&k->bands.top, &k->bands.top_state, 4);

  fh_v4 halves = split_root(&root, &m, w, trees, 0);
  for (uint32_t i = 1; i < n; ++i) { // halves of one frame beside the root of the next: neither waits for the other
    split_halves(&half, halves, w->quarter[0][i - 1]);
    halves = split_root(&root, &m, w, trees, i);
  }
  split_halves(&half, halves, w->quarter[0][n - 1]);

  keep_split4(&k->bands.top_state, 0, &root);
  keep_split4(&k->bands.top_state, 4, &half);
}

/// Join the quarters to halves and those to the whole
static inline void
join_halves(FhKernel* const k, Work* const w, const uint32_t n)
{
  Section4 c[FH_ALIGNS];
  State4   s[FH_ALIGNS];
  for (int j = 0; j < FH_ALIGNS; ++j) {
    c[j] = load_section4(&k->bands.align[j], 0);
    s[j] = load_state4(&k->bands.align_state[j], 0);
  }
  for (uint32_t i = 0; i < n; ++i) {
    fh_v4 x = load4(w->joined[i]) + load4(w->joined[i] + 4);
    for (int j = 0; j < FH_ALIGNS; ++j) {
      x = align4(&c[j], &s[j], x);
    }
    x += __builtin_shufflevector(x, x, 2, 3, 0, 1);
    w->out[0][i] = x[0];
    w->out[1][i] = x[1];
  }
  for (int j = 0; j < FH_ALIGNS; ++j) {
    keep_state4(&k->bands.align_state[j], 0, s[j]);
  }
}

#endif

static inline void
split_other_halves(FhKernel* const k, Work* const w, const uint32_t n)
{
  Split4 s = load_split4(&k->bands.top, &k->bands.other_state, 4);
  for (uint32_t i = 0; i < n; ++i) {
    split_halves(&s, load4(w->half[i]), w->quarter[1][i]);
  }
  keep_split4(&k->bands.other_state, 4, &s);
}

#define V FH_NAME(fh_v)
#define WIDE_FMA FH_PASTE(V, _fma)

/// Split the quarters of the second tree: measure only
static inline void
measure_quarters(FhKernel* const k, Work* const w, const uint32_t n)
{
  for (int lane = 0; lane < 8; lane += FH_WIDE) {
    FH_NAME(Split) s = FH_NAME(load_split)(&k->bands.quarter, &k->bands.quarter_state[1], lane);
    V power          = FH_NAME(part)(&k->power[1][0], lane);
    V power_high     = FH_NAME(part)(&k->power[1][1], lane);
    for (uint32_t i = 0; i < n; ++i) {
      V       high;
      const V low = FH_NAME(split)(&s, FH_NAME(load)(w->quarter[1][i] + lane), &high);
      power      = WIDE_FMA(low, low, power);
      power_high = WIDE_FMA(high, high, power_high);
    }
    FH_NAME(keep_split)(&k->bands.quarter_state[1], lane, &s);
    FH_NAME(keep)(&k->power[1][0], lane, power);
    FH_NAME(keep)(&k->power[1][1], lane, power_high);
  }
}

/// Split the quarters of the first tree, measure, pass through the delay lines, weigh and join to quarters again
static inline void
weigh_quarters(FhKernel* const k, Work* const w, const uint32_t n, const bool late)
{
  for (int lane = 0; lane < 8; lane += FH_WIDE) {
    FH_NAME(Split)         s = FH_NAME(load_split)(&k->bands.quarter, &k->bands.quarter_state[0], lane);
    const FH_NAME(Section) c = FH_NAME(load_section)(&k->bands.align_quarter, lane);
    FH_NAME(State)         a = FH_NAME(load_state)(&k->bands.align_quarter_state, lane);

    V power       = FH_NAME(part)(&k->power[0][0], lane);
    V power_high  = FH_NAME(part)(&k->power[0][1], lane);
    V weight      = FH_NAME(part)(&k->weight[0], lane);
    V weight_high = FH_NAME(part)(&k->weight[1], lane);

    const V step      = FH_NAME(part)(&k->weight_step[0], lane);
    const V step_high = FH_NAME(part)(&k->weight_step[1], lane);
    uint32_t position = k->position;
    for (uint32_t i = 0; i < n; ++i) {
      V       high;
      const V low = FH_NAME(split)(&s, FH_NAME(load)(w->quarter[0][i] + lane), &high);
      power      = WIDE_FMA(low, low, power);
      power_high = WIDE_FMA(high, high, power_high);

      V out = low, out_high = high;
      if (late) {
        fh_v8* const in = k->late[position].bands;
        FH_NAME(keep)(&in[0], lane, low);
        FH_NAME(keep)(&in[1], lane, high);
        position = position == k->latency ? 0 : position + 1;
        out      = FH_NAME(part)(&k->late[position].bands[0], lane);
        out_high = FH_NAME(part)(&k->late[position].bands[1], lane);
      }
      const V sum = WIDE_FMA(weight, out, weight_high * out_high);
      FH_NAME(store)(w->joined[i] + lane, FH_NAME(align)(&c, &a, sum));
      weight += step;
      weight_high += step_high;
    }
    FH_NAME(keep_split)(&k->bands.quarter_state[0], lane, &s);
    FH_NAME(keep_state)(&k->bands.align_quarter_state, lane, a);
    FH_NAME(keep)(&k->power[0][0], lane, power);
    FH_NAME(keep)(&k->power[0][1], lane, power_high);
    FH_NAME(keep)(&k->weight[0], lane, weight);
    FH_NAME(keep)(&k->weight[1], lane, weight_high);
  }
}

#undef V
#undef WIDE_FMA

/// Pass the input through the delay lines, whose bands have been done already
static inline void
delay(FhKernel* const k, float dry[FH_MICS][FH_MAX_TICK], const uint32_t n)
{
  for (uint32_t i = 0; i < n; ++i) {
    for (int mic = 0; mic < FH_MICS; ++mic) {
      k->late[k->position].raw[mic] = k->recent[mic][k->phase + i];
    }
    k->position = k->position == k->latency ? 0 : k->position + 1;
    for (int mic = 0; mic < FH_MICS; ++mic) {
      dry[mic][i] = k->late[k->position].raw[mic];
    }
  }
}

static inline void
give_out(const FhKernel* const       k,
         float* const restrict       out,
         const float* const restrict wet,
         const float* const restrict dry,
         const float* const restrict ambient,
         const uint32_t              n)
{
  const FhMix mix = k->mix, step = k->mix_step;
  for (uint32_t i = 0; i < n; ++i) {
    const float at = (float)(int32_t)(k->phase + i);
    out[i]         = (mix.wet + step.wet * at) * wet[i] + (mix.dry + step.dry * at) * dry[i] +
             (mix.ambient + step.ambient * at) * ambient[i];
  }
}

/// Sum the input over the whole tick at once
static inline void
measure_input(FhKernel* const k, const int close)
{
  fh_heard_add(&k->heard[close], k->recent[close], k->recent[FH_MIC_AMBIENT], k->tick);
}

/// From lanes of the tree to one lane per band
static inline fh_v8
bands_of(const fh_v8 power[2], const int mic)
{
  return mic ? __builtin_shufflevector(power[0], power[1], 1, 9, 5, 13, 3, 11, 7, 15)
             : __builtin_shufflevector(power[0], power[1], 0, 8, 4, 12, 2, 10, 6, 14);
}

static inline void
measure(FhKernel* const k, const uint32_t trees)
{
  measure_input(k, FH_MIC_CLOSE_1);
  const fh_v8 first  = bands_of(k->power[0], 0);
  const fh_v8 second = bands_of(k->power[0], 1);
  if (trees > 1u) {
    measure_input(k, FH_MIC_CLOSE_2);
    k->sums.close   = first + second;
    k->sums.ambient = bands_of(k->power[1], 0);
  } else {
    k->sums.close   = first;
    k->sums.ambient = second;
  }
  const fh_v8 none = fh_v8_set(0.0f);
  k->power[0][0] = k->power[0][1] = none;
  if (trees > 1u) {
    k->power[1][0] = k->power[1][1] = none;
  }
}

static inline void
run_trees(FhKernel* const k, const FhBuffers* const b, const uint32_t offset, const uint32_t n, const uint32_t trees)
{
  Work w; // not initialised: each stage fills what the next reads
  for (int mic = 0; mic < FH_MICS; ++mic) {
    k->broken |= take_in(k->recent[mic] + k->phase, b->in[mic] ? b->in[mic] + offset : NULL, n);
  }

  split_top(k, &w, trees, n);
  if (trees > 1u) {
    split_other_halves(k, &w, n);
    measure_quarters(k, &w, n);
  }
  const float* dry[FH_MICS];
  float        late[FH_MICS][FH_MAX_TICK];
  for (int mic = 0; mic < FH_MICS; ++mic) {
    dry[mic] = k->latency ? late[mic] : k->recent[mic] + k->phase;
  }
  if (k->latency) {
    weigh_quarters(k, &w, n, true);
    delay(k, late, n);
  } else {
    weigh_quarters(k, &w, n, false);
  }
  join_halves(k, &w, n);
  for (uint32_t c = 0; c < trees; ++c) {
    if (b->out[c]) {
      give_out(k, b->out[c] + offset, w.out[c], dry[c], dry[FH_MIC_AMBIENT], n);
    }
  }
  if (b->thru) {
    memcpy(b->thru + offset, dry[FH_MIC_AMBIENT], n * sizeof(float));
  }
}

bool
fh_kernel_run(FhKernel* const k, const FhBuffers* const b, const uint32_t offset, const uint32_t n)
{
  const bool pair = k->closes > 1u;
  if (pair) {
    run_trees(k, b, offset, n, 2u);
  } else {
    run_trees(k, b, offset, n, 1u);
  }
  k->phase += n;
  if (k->phase < k->tick) {
    return false;
  }
  if (pair) {
    measure(k, 2u);
  } else {
    measure(k, 1u);
  }
  k->phase = 0;
  return true;
}
