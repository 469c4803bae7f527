// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What training does most of, as a library for quick.py: a take's mix as the plugin would look at it, and a gated recurrent unit with
// its gradient, both for many takes at once. Build: cc -O3 -march=native -ffast-math -fopenmp -fPIC -shared -I. -Iplugin -o quick.so quick.c -lm

#include "dsp/ears.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define BANDS 8
#define RECORD 74 // numbers a millisecond; tests/scenes/fh_takes.c tells which
#define UNITS FH_EARS_UNITS
#define MOST 96  // takes at once
#define GROUP 16 // takes side by side in the inner loops
#define BURSTS 24
#define DROPS 6

/// Something else than solo and field: a thump, a plosive, a click, a gust, a shout, a whistle
typedef struct {
  float at, rise, hold, fall; ///< ms
  float level[2][BANDS];      ///< Close, ambient: mean square at its height, dBFS; below -200 nothing
} Burst;

/// A microphone's sound is gone
typedef struct {
  float at, noticed, end; ///< ms; from `noticed` on the plugin knows and has the network hear the usual pickup and nothing else
  float mic;              ///< 0 close, 1 ambient
} Drop;

/// How a take is changed
typedef struct {
  float solo[BANDS], field[BANDS]; ///< dB on solo and field at both microphones
  float wrong[BANDS];              ///< dB on what was learnt
  float deaf[BANDS];               ///< 1 where the key filter leaves a band out
  float close, ambient;            ///< dB on the microphones' gains: what was learnt goes along
  float neighbour[2];              ///< dB on the solo of another take, who plays near by: at the close microphone, at the ambient one
  float trim[BANDS];               ///< From `trimmed` ms on what was learnt is wrong by so many dB more;
  float trimmed, followed;         ///< followed in so many ms
  float drift[2], drifts, seed;    ///< dB by which the level difference of the field moves, in all bands and in each; in how many ms
  float fresh;                     ///< ms at which the averages begin anew, as after a restart
  float swing, swings;             ///< dB by which the field swells and fades, in so many ms
  float turned[BANDS], turns;      ///< dB on the solo at the close microphones, away and back in so many ms
  Burst bursts[BURSTS];
  Drop  drops[DROPS];
} Change;

static float table[65536];

static fh_v8
powers(const int16_t* const from)
{
  fh_v8 power;
  for (int k = 0; k < BANDS; ++k) {
    power[k] = table[from[k] + 32768];
  }
  return power;
}

static fh_v8
read(const float* const from)
{
  fh_v8 x;
  memcpy(&x, from, sizeof(x));
  return x;
}

/// Mean squares per band at the close and the ambient microphone: solo, field, and both together. @param gain Power ratios on solo
/// close, solo ambient, field close, field ambient
static void
mix(const int16_t* const record, const fh_v8 gain[4], fh_v8 solo[2], fh_v8 field[2], fh_v8 both[2])
{
  for (int m = 0; m < 2; ++m) {
    solo[m]  = powers(record + 8 * m) * gain[m];
    field[m] = powers(record + 16 + 8 * m) * gain[2 + m];
    fh_v8 cross;
    for (int k = 0; k < BANDS; ++k) {
      cross[k] = 1e-4f * (float)record[32 + 8 * m + k];
    }
    both[m] = fh_v8_max(solo[m] + field[m] + 2.0f * cross * fh_v8_sqrt(solo[m] * field[m]), fh_v8_set(0.0f));
  }
}

/// Add what else there is to hear. @param extra Of each millisecond: close, ambient
static void
add_bursts(const Change* const change, const int count, fh_v8 (*const extra)[2])
{
  for (const Burst* b = change->bursts; b < change->bursts + BURSTS; ++b) {
    const fh_v8 close = fh_v8_undb(read(b->level[0])), ambient = fh_v8_undb(read(b->level[1]));
    const float end = b->at + b->rise + b->hold;
    for (int t = b->at < 0.0f ? 0 : (int)ceilf(b->at); t < count && (float)t < end + 7.0f * b->fall; ++t) {
      const float now = (float)t, since = now - b->at;
      const float height = since < b->rise ? since / b->rise : now < end ? 1.0f : expf((end - now) / b->fall);
      extra[t][0] += height * close;
      extra[t][1] += height * ambient;
    }
  }
}

static void
add_neighbour(const Change* const change, const int16_t* records, const int from, const int count, fh_v8 (*const extra)[2])
{
  const fh_v8 close = fh_v8_undb(fh_v8_set(change->neighbour[0])), ambient = fh_v8_undb(fh_v8_set(change->neighbour[1]));
  for (int t = from; t < count; ++t, records += RECORD) {
    const fh_v8 sound = powers(records);
    extra[t][0] += close * sound;
    extra[t][1] += ambient * sound;
  }
}

/// A value of a normal distribution, nearly: the sum of four even ones
static float
chance(uint32_t* const state)
{
  float sum = 0.0f;
  for (int i = 0; i < 4; ++i) {
    *state = *state * 1664525u + 1013904223u;
    sum += (float)(*state >> 8) / 8388608.0f - 1.0f;
  }
  return sum * 0.8660254f;
}

/// The field's level at the close microphone wanders: sections come and go
typedef struct {
  uint32_t state;
  fh_v8    all, each, db; ///< Where the two walks are, standard deviation 1; and what they come to
} Drift;

static void
drift_on(Drift* const d, const Change* const change)
{
  const float back = 1.0f / change->drifts, step = sqrtf(2.0f * back);
  d->all += fh_v8_set(step * chance(&d->state)) - back * d->all;
  for (int k = 0; k < BANDS; ++k) {
    d->each[k] += step * chance(&d->state) - back * d->each[k];
  }
  d->db = change->drift[0] * d->all + change->drift[1] * d->each;
}

/// 0 to 1 and back in `period` ms, from 0
static float
wave(const float ms, const float period)
{
  return 0.5f - 0.5f * cosf(6.2831853f * ms / period);
}

/// @return whether the plugin knows that a microphone is missing; where it does not yet, that one is silent
static int
drop(const Change* const change, const int t, fh_v8 both[2])
{
  const float now     = (float)t;
  int         noticed = 0;
  for (const Drop* d = change->drops; d < change->drops + DROPS; ++d) {
    if (now >= d->at && now < d->end) {
      both[d->mic > 0.0f] = fh_v8_set(0.0f);
    }
    noticed |= now >= d->noticed && now < d->end;
  }
  return noticed;
}

static int
by_size(const void* const a, const void* const b)
{
  const float x = *(const float*)a, y = *(const float*)b;
  return (x > y) - (x < y);
}

/// What tests/scenes/truth.h calls activity, of a changed take. @param solo,field count mean squares per band
static void
label(const int16_t* const records, const int count, const fh_v8* const solo, const fh_v8* const field, signed char* const to)
{
  enum { ACTIVE = 1, RESTING = 2, AROUND = 5, AFTER = 300, BEFORE = 20 };
  float* const s = calloc((size_t)count, sizeof(float)), *const p = calloc((size_t)count, sizeof(float));
  float* const sorted = calloc((size_t)count, sizeof(float));
  unsigned char* const above = calloc((size_t)count, 1);
  int                  found = 0;
  for (int t = 0; t < count; ++t) {
    fh_v8 a = {0}, b = {0};
    for (int i = t < AROUND ? 0 : t - AROUND; i < count && i < t + AROUND; ++i) {
      a += solo[i], b += field[i];
    }
    const fh_i8 more = a >= b;
    for (int k = 0; k < BANDS; ++k) {
      above[t] |= more[k] != 0;
    }
    s[t] = fh_v8_sum(a), p[t] = fh_v8_sum(b);
    if (records[t * RECORD + 72] == ACTIVE) {
      sorted[found++] = s[t];
    }
  }
  qsort(sorted, (size_t)found, sizeof(float), by_size);
  const float least = found ? 1e-3f * sorted[(int)(0.95f * (float)(found - 1))] : 1e30f;
  int         next  = count + BEFORE + 1;
  for (int t = count - 1; t >= 0; --t) {
    const int counts = records[t * RECORD + 72] >= 0, active = counts && above[t] && s[t] >= least;
    next  = active ? t : next;
    to[t] = (signed char)(!counts ? -1 : active ? ACTIVE : next - t > BEFORE && s[t] * 10.0f <= p[t] ? RESTING : 0);
  }
  for (int t = 0, since = AFTER + 1; t < count; ++t) {
    since = to[t] == ACTIVE ? 0 : since + 1;
    to[t] = to[t] == RESTING && since <= AFTER ? 0 : to[t];
  }
  free(s), free(p), free(sorted), free(above);
}

static void
fill_table(void)
{
  for (int i = table[32768] > 0.0f ? 65536 : 0; i < 65536; ++i) { // once
    table[i] = powf(10.0f, 0.001f * (float)(i - 32768));
  }
}

/// Features and labels of a take of `count` ms. @param near What a neighbour plays after Learn, or NULL. @param to count * FH_EARS_INPUTS.
/// @param told count
void
look(const int16_t* const records, const int16_t* const near, const int count, const Change* const change, float* to, signed char* const told)
{
  FhEarsLook   l      = {0};
  FhEarsUsual  usual  = {0};
  Drift        walk   = {.state = (uint32_t)change->seed};
  const fh_v8  wrong  = fh_v8_undb(read(change->wrong) + fh_v8_set(change->close - change->ambient));
  const fh_v8  gain[] = {fh_v8_undb(fh_v8_set(change->close)), fh_v8_undb(fh_v8_set(change->ambient))};
  fh_v8        gains[4];
  for (int i = 0; i < 4; ++i) {
    gains[i] = fh_v8_undb(read(i < 2 ? change->solo : change->field) + fh_v8_set(i % 2 ? change->ambient : change->close));
  }
  fill_table();
  fh_v8* const parts     = aligned_alloc(32, 2 * (size_t)count * sizeof(fh_v8));
  fh_v8(*const extra)[2] = aligned_alloc(32, 2 * (size_t)count * sizeof(fh_v8));
  memset(extra, 0, 2 * (size_t)count * sizeof(fh_v8));
  add_bursts(change, count, extra);
  if (near) {
    add_neighbour(change, near, 10000, count, extra); // Learn has ended
  }
  for (int t = 0; t < count; ++t, to += FH_EARS_INPUTS) {
    const int16_t* const r = records + t * RECORD;
    fh_v8                solo[2], field[2], both[2], spread, inputs[FH_EARS_INPUTS / 8];
    if (t == (int)change->fresh) {
      l     = (FhEarsLook){0};
      usual = (FhEarsUsual){0};
    }
    drift_on(&walk, change);
    const float swell = fh_undb(change->swing * (2.0f * wave((float)t, change->swings) - 1.0f));
    const fh_v8 away  = fh_v8_undb(read(change->turned) * fh_least(1.0f, 4.0f * wave((float)t, change->turns)));
    const fh_v8 now[] = {gains[0] * away, gains[1], gains[2] * swell * fh_v8_undb(walk.db), gains[3] * swell};
    mix(r, now, solo, field, both);
    for (int m = 0; m < 2; ++m) {
      const fh_v8 more = extra[t][m] * gain[m];
      field[m] += more;
      both[m] += more;
    }
    const float late = (float)t - change->trimmed;
    const fh_v8 off  = fh_v8_undb(fh_v8_set(late < 0.0f ? 0.0f : expf(-late / change->followed)) * read(change->trim));
    parts[t]         = solo[0];
    parts[count + t] = field[0];
    for (int k = 0; k < BANDS; ++k) {
      spread[k] = 0.01f * (float)r[64 + k];
    }
    const int   missing = drop(change, t, both);
    const fh_v8 floor   = powers(r + 56) * gain[0];
    const fh_v8 heard   = fh_v8_fma(powers(r + 48) * wrong * off, both[1], floor + floor);
    const fh_v8 pickup  = missing ? usual.pickup : heard;
    const fh_v8 close   = missing ? usual.pickup : fh_v8_fma(read(change->deaf), pickup - both[0], both[0]);
    fh_ears_look(&l, &usual, close, pickup, spread, inputs);
    memcpy(to, inputs, sizeof(inputs));
  }
  label(records, count, parts, parts + count, told);
  for (const Drop* d = change->drops; d < change->drops + DROPS; ++d) {
    for (int t = (int)d->noticed; t < count && (float)t < d->end + 3.0f; ++t) {
      told[t] = 0; // whatever is said
    }
  }
  free(parts), free(extra);
}

static inline float
sigmoid(const float x)
{
  return 1.0f / (1.0f + expf(-x));
}

static inline float
tangent(const float x)
{
  return 2.0f / (1.0f + expf(-2.0f * x)) - 1.0f;
}

/// Sixteen takes of all, so that every group can go its way by itself
typedef struct {
  int takes; ///< All
  int first; ///< Of this group
} Group;

/// to[row][take] = sum over k of w[row][k] * x[k][take] for a group; `across` reads w[k][row] instead
static void
multiply(const float* const w, const int rows, const int inner, const int across, const float* const x, const Group g, float* const to)
{
  const int takes = g.takes, b = g.first;
  for (int row = 0; row < rows; row += 4) {
    fh_v8 sum[4][2] = {{{0}}};
    for (int k = 0; k < inner; ++k) {
      const fh_v8 x0 = *(const fh_v8*)(const void*)(x + k * takes + b), x1 = *(const fh_v8*)(const void*)(x + k * takes + b + 8);
      for (int i = 0; i < 4; ++i) {
        const float each = across ? w[k * rows + row + i] : w[(row + i) * inner + k];
        sum[i][0] += each * x0;
        sum[i][1] += each * x1;
      }
    }
    for (int i = 0; i < 4; ++i) {
      *(fh_v8*)(void*)(to + (row + i) * takes + b)     = sum[i][0];
      *(fh_v8*)(void*)(to + (row + i) * takes + b + 8) = sum[i][1];
    }
  }
}

static void
forward(const float* x, const float* const w, const float* const bias, const int ticks, const Group g, float* memory, float* kept)
{
  static __thread float h[3 * UNITS * MOST] __attribute__((aligned(32)));
  const int             n = UNITS * g.takes;
  for (int t = 0; t < ticks; ++t, x += 3 * n, memory += n, kept += 4 * n) {
    multiply(w, 3 * UNITS, UNITS, 0, memory, g, h);
    for (int u = 0; u < UNITS; ++u) {
      for (int i = u * g.takes + g.first; i < u * g.takes + g.first + GROUP; ++i) {
        const float r = sigmoid(x[i] + h[i] + bias[u]), z = sigmoid(x[n + i] + h[n + i] + bias[UNITS + u]);
        const float past = h[2 * n + i] + bias[2 * UNITS + u], fresh = tangent(x[2 * n + i] + r * past);
        kept[i] = r, kept[n + i] = z, kept[2 * n + i] = fresh, kept[3 * n + i] = past;
        memory[n + i] = fresh + z * (memory[i] - fresh);
      }
    }
  }
}

static void
backward(const float* const w, const float* memory, const float* kept, const float* d_memory, const int ticks, const Group group, float* dx,
         float* dh)
{
  static __thread float d[UNITS * MOST] __attribute__((aligned(32))), through[UNITS * MOST] __attribute__((aligned(32)));
  const size_t          n = (size_t)UNITS * (size_t)group.takes;
  memset(d, 0, sizeof(d));
  for (int t = ticks - 1; t >= 0; --t) {
    const float* const k = kept + (size_t)t * 4 * n, *const m = memory + (size_t)t * n, *const up = d_memory + (size_t)t * n;
    float* const       g = dx + (size_t)t * 3 * n, *const o = dh + (size_t)t * 3 * n;
    for (int u = 0; u < UNITS; ++u) {
      for (size_t i = (size_t)(u * group.takes + group.first), end = i + GROUP; i < end; ++i) {
        const float all = d[i] + up[i], r = k[i], z = k[n + i], fresh = k[2 * n + i];
        const float d_fresh = all * (1.0f - z) * (1.0f - fresh * fresh), d_r = d_fresh * k[3 * n + i] * r * (1.0f - r);
        const float d_z = all * (m[i] - fresh) * z * (1.0f - z);
        g[i] = o[i] = d_r, g[n + i] = o[n + i] = d_z, g[2 * n + i] = d_fresh, o[2 * n + i] = d_fresh * r;
        d[i] = all * z;
      }
    }
    multiply(w, UNITS, 3 * UNITS, 1, o, group, through);
    for (int u = 0; u < UNITS; ++u) {
      for (int i = u * group.takes + group.first; i < u * group.takes + group.first + GROUP; ++i) {
        d[i] += through[i];
      }
    }
  }
}

/// Forward. x: what comes in through W_ih and its bias, ticks * 3 UNITS * takes (reset, update, new); weights as PyTorch keeps them.
/// @param memory (ticks + 1) * UNITS * takes, the first to start from. @param kept ticks * 4 UNITS * takes, for the gradient
void
gru(const float* x, const float* const w, const float* const bias, const int ticks, const int takes, float* memory, float* kept)
{
#pragma omp parallel for schedule(dynamic)
  for (int first = 0; first < takes; first += GROUP) {
    forward(x, w, bias, ticks, (Group){takes, first}, memory, kept);
  }
}

/// Backward. @param d_memory ticks * UNITS * takes, from above. @param dx ticks * 3 UNITS * takes. @param dh likewise, of what came
/// through W_hh and its bias
void
gru_back(const float* const w, const float* memory, const float* kept, const float* d_memory, const int ticks, const int takes, float* dx,
         float* dh)
{
#pragma omp parallel for schedule(dynamic)
  for (int first = 0; first < takes; first += GROUP) {
    backward(w, memory, kept, d_memory, ticks, (Group){takes, first}, dx, dh);
  }
}
