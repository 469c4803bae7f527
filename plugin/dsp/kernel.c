// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Compiled once per instruction set: see avx2_names.h

#include "dsp/frames.h"
#include "dsp/kernel.h"

/// Four samples anywhere
typedef float Loose __attribute__((vector_size(16), aligned(4), may_alias));

/// Fewer than four samples
static __attribute__((noinline)) fh_v4
few(const float* const from, const uint32_t n)
{
  fh_v4 x = {0};
  memcpy(&x, from, n * sizeof(float));
  return x;
}

static __attribute__((noinline)) void
give_few(float* const to, const fh_v4 x, const uint32_t n)
{
  memcpy(to, &x, n * sizeof(float));
}

/// Keep samples only if they are numbers of sensible size (below +48 dBFS); anything else becomes silence
/// @return Where they are, the others cleared from `sane`
FH_INLINE fh_v4
sensible(const fh_v4 x, fh_i4* const sane)
{
  const fh_i4 good = fh_v4_size(x) < 256.0f;
  *sane &= good;
  return fh_v4_kept(good, x);
}

/// A solo channel has no second close microphone
FH_INLINE bool
used(const int mic, const uint32_t trees)
{
  return mic != FH_MIC_CLOSE_2 || trees > 1u;
}

/// Four frames on their way to the split
FH_INLINE void
put_in(Work* const w, const uint32_t i, const fh_v4 x[FH_MICS], const uint32_t trees)
{
  const fh_v4 second        = x[trees > 1u ? FH_MIC_CLOSE_2 : FH_MIC_AMBIENT];
  *(Loose*)w->pairs[i]      = __builtin_shufflevector(x[0], second, 0, 4, 1, 5);
  *(Loose*)w->pairs[i + 2u] = __builtin_shufflevector(x[0], second, 2, 6, 3, 7);
  if (trees > 1u) {
    *(Loose*)(w->ambient + i) = x[FH_MIC_AMBIENT];
  }
}

/// Read the microphones, and where there are frames `after`, the first of those
FH_INLINE void
take_in(FhKernel* const    k,
        Work* const        w,
        const float* const in[FH_MICS],
        const uint32_t     n,
        const bool         after,
        const uint32_t     trees)
{
  const uint32_t phase      = k->running.phase;
  fh_v4          x[FH_MICS] = {{0}};
  fh_i4          sane       = {-1, -1, -1, -1};
  for (uint32_t i = 0; i < n; i += 4) {
    for (int mic = 0; mic < FH_MICS; ++mic) {
      if (used(mic, trees)) {
        x[mic] = sensible(n - i >= 4u ? (fh_v4)*(const Loose*)(in[mic] + i) : few(in[mic] + i, n - i), &sane);
        *(Loose*)(k->running.recent[mic] + phase + i) = x[mic];
      }
    }
    put_in(w, i, x, trees);
  }
  k->running.broken |= fh_v4_any(~sane);

  for (uint32_t i = n; i < n + FH_AHEAD; i += 4) {
    for (int mic = 0; mic < FH_MICS; ++mic) {
      if (used(mic, trees)) {
        x[mic] = after ? sensible(*(const Loose*)(in[mic] + i), &sane) : fh_v4_set(0.0f);
      }
    }
    put_in(w, i, x, trees);
  }
}

/// Pass the input through the delay lines, whose bands have been done already
static inline void
delay(FhKernel* const k, float dry[FH_MICS][FH_MAX_TICK + FH_SPARE], const uint32_t n)
{
  for (uint32_t i = 0; i < n; ++i) {
    for (int mic = 0; mic < FH_MICS; ++mic) {
      k->late[k->running.position].raw[mic] = k->running.recent[mic][k->running.phase + i];
    }
    k->running.position = k->running.position == k->latency ? 0 : k->running.position + 1;
    for (int mic = 0; mic < FH_MICS; ++mic) {
      dry[mic][i] = k->late[k->running.position].raw[mic];
    }
  }
}

/// Four frames of one close microphone: the sum of `lane` (2 or 3) of both halves
FH_INLINE fh_v4
sum_halves(const float joined[4][8], const int lane)
{
  fh_v4 x[4];
  for (int i = 0; i < 4; ++i) {
    x[i] = *(const fh_v4*)(const void*)joined[i] + *(const fh_v4*)(const void*)(joined[i] + 4);
  }
  const fh_v4 a = __builtin_shufflevector(x[0], x[1], 2, 6, 3, 7);
  const fh_v4 b = __builtin_shufflevector(x[2], x[3], 2, 6, 3, 7);
  return lane == 2 ? __builtin_shufflevector(a, b, 0, 1, 4, 5) : __builtin_shufflevector(a, b, 2, 3, 6, 7);
}

FH_INLINE void
give_out(const FhKernel* const k,
         float* const          out,
         const Work* const     w,
         const int             lane,
         const float* const    dry,
         const float* const    ambient,
         const uint32_t        n)
{
  const FhMix mix = k->running.mix, step = k->running.mix_step;
  fh_v4       at  = (fh_v4){0.0f, 1.0f, 2.0f, 3.0f} + (float)(int32_t)k->running.phase;
  for (uint32_t i = 0; i < n; i += 4, at += 4.0f) {
    const fh_v4 x = *(const Loose*)(dry + i);
    const fh_v4 y = *(const Loose*)(ambient + i);
    fh_v4 sum = (mix.wet + step.wet * at) * sum_halves(&w->joined[i], lane);
    sum += (mix.dry + step.dry * at) * x;
    sum += (mix.ambient + step.ambient * at) * y;
    if (n - i >= 4u) {
      *(Loose*)(out + i) = sum;
    } else {
      give_few(out + i, sum, n - i);
    }
  }
}

/// Sum the input over the whole tick at once
static inline void
measure_input(FhKernel* const k, const int close)
{
  fh_heard_add(&k->running.heard[close], k->running.recent[close], k->running.recent[FH_MIC_AMBIENT], k->tick);
}

/// From lanes of the quarters to one lane per band, for the first or second microphone
static inline fh_v8
bands_of(const fh_v8 power[2], const int mic)
{
  return mic ? __builtin_shufflevector(power[0], power[1], 2, 10, 3, 11, 6, 14, 7, 15)
             : __builtin_shufflevector(power[0], power[1], 0, 8, 1, 9, 4, 12, 5, 13);
}

static inline void
measure(FhKernel* const k, const uint32_t trees)
{
  measure_input(k, FH_MIC_CLOSE_1);
  const fh_v8 first  = bands_of(k->running.power[0], 0);
  const fh_v8 second = bands_of(k->running.power[0], 1);
  if (trees > 1u) {
    measure_input(k, FH_MIC_CLOSE_2);
    k->running.sums.close   = first + second;
    k->running.sums.ambient = bands_of(k->running.power[1], 1);
  } else {
    k->running.sums.close   = first;
    k->running.sums.ambient = second;
  }
  const fh_v8 none = fh_v8_set(0.0f);
  k->running.power[0][0] = k->running.power[0][1] = none;
  if (trees > 1u) {
    k->running.power[1][0] = k->running.power[1][1] = none;
  }
}

// Each by itself: together they are too much for the compiler to keep in registers
#define FH_RUN(name, at_trees, at_late)                                                                \
  static __attribute__((noinline)) void name(FhKernel* const k, Work* const w, uint32_t n, bool after) \
  {                                                                                                    \
    for (int lane = 0; lane < 8; lane += FH_WIDE) {                                                    \
      run_many((Place){.kernel = k, .lane = lane, .trees = at_trees, .late = at_late}, w, n, after);   \
    }                                                                                                  \
  }

FH_RUN(run_solo, 1u, false)
FH_RUN(run_solo_late, 1u, true)
FH_RUN(run_pair, 2u, false)
FH_RUN(run_pair_late, 2u, true)

FH_INLINE void
run_frames(FhKernel* const k, Work* const w, const uint32_t n, const bool after, const uint32_t trees)
{
  if (n < LAST_AT) {
    for (int lane = 0; lane < 8; lane += FH_WIDE) {
      run_few((Place){.kernel = k, .lane = lane, .trees = trees, .late = k->latency > 0u}, w, n);
    }
  } else if (trees > 1u) {
    (k->latency ? run_pair_late : run_pair)(k, w, n, after);
  } else {
    (k->latency ? run_solo_late : run_solo)(k, w, n, after);
  }
  k->running.ahead = after;
}

FH_INLINE void
run_trees(FhKernel* const        k,
          const FhBuffers* const b,
          const uint32_t         offset,
          const uint32_t         n,
          const bool             after,
          const uint32_t         trees)
{
  static const float silence[FH_MAX_TICK + FH_AHEAD] = {0};
  Work               w; // not initialised: all that is read is written before
  const float*       in[FH_MICS];
  for (int mic = 0; mic < FH_MICS; ++mic) {
    if (used(mic, trees)) {
      in[mic] = b->in[mic] ? b->in[mic] + offset : silence;
    }
  }
  take_in(k, &w, in, n, after, trees);
  run_frames(k, &w, n, after, trees);

  const float* dry[FH_MICS];
  float        late[FH_MICS][FH_MAX_TICK + FH_SPARE];
  for (int mic = 0; mic < FH_MICS; ++mic) {
    dry[mic] = k->latency ? late[mic] : k->running.recent[mic] + k->running.phase;
  }
  if (k->latency) {
    delay(k, late, n);
  }
  for (uint32_t c = 0; c < trees; ++c) {
    if (b->out[c]) {
      give_out(k, b->out[c] + offset, &w, trees > 1u && c == 0u ? 2 : 3, dry[c], dry[FH_MIC_AMBIENT], n);
    }
  }
  if (b->thru) {
    memcpy(b->thru + offset, dry[FH_MIC_AMBIENT], n * sizeof(float));
  }
}

bool
fh_kernel_run(FhKernel* const        k,
              const FhBuffers* const b,
              const uint32_t         offset,
              const uint32_t         n,
              const uint32_t         after)
{
  const bool pair = k->closes > 1u;
  const bool over = k->running.phase + n == k->tick;
  // As many frames in both runs as run_many() needs
  const bool ahead = over && after >= FH_AHEAD && n >= LAST_AT && k->tick >= LAST_AT;
  if (pair) {
    run_trees(k, b, offset, n, ahead, 2u);
  } else {
    run_trees(k, b, offset, n, ahead, 1u);
  }
  k->running.phase += n;
  if (!over) {
    return false;
  }
  if (pair) {
    measure(k, 2u);
  } else {
    measure(k, 1u);
  }
  k->running.phase = 0;
  return true;
}
