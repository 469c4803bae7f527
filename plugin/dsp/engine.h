// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file engine.h
/// The whole signal path of one soloist channel: band split, pickup model, decision, gate and duck.
///
/// Nothing here allocates, locks, or takes time that depends on the signal. Output does not depend on how the
/// caller cuts its blocks. No gain is ever above 0 dB; any input gives finite output.

#ifndef FRONTHASH_DSP_ENGINE_H
#define FRONTHASH_DSP_ENGINE_H

#include "ports.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_MAX_CLOSES 2

typedef struct FhEngine FhEngine;

/// Averages of different length that the level difference is saved of: that of 20 ms in the place of a shorter one too, which older
/// versions looked at; 20 ms; 80 ms
#define FH_LOOKS 3

/// Stretches of some seconds whose least levels count as always there: this one and those before
#define FH_STRETCHES 4

/// Four hops each, some 10 ms, of the last tenth of a second
#define FH_FOURS 11

/// Numbers that the network (ears.h) remembers
#define FH_MEMORY 64

/// What was learnt or found by tracking: all that must survive a session. Only floats, so that a host may store it as one
/// vector.
typedef struct {
  float known;                        ///< 0: nothing is known; 1: the field; 2: the field and the soloist
  float ratio[FH_LOOKS][4][FH_BANDS]; ///< Close over ambient at rest, dB: median; 90, 10, 1 % points from it
  float key[FH_LOOKS][4];             ///< Key excess at rest, dB: likewise
  float common[4];                    ///< What all bands share at rest (detector.h), dB: likewise
  float solo[FH_BANDS];               ///< Excess of the soloist per band, dB
  // From here on absent in older states, where what is known counts as learnt
  float asked;                        ///< 1: learnt on request; 2: from a part of what was heard; 0: followed by tracking alone
  float seen_s;                       ///< For how long there has been a field to look at, s
  float counted_s[3];                 ///< Time that still counts in `ratio`, `key`, `common`, s
  float floor[FH_STRETCHES][2][FH_BANDS]; ///< Least levels of close and ambient in the last stretches, dBFS, newest first
  float floor_s;                      ///< Length of the newest of them so far, s
  float band_level;                   ///< Ambient while the band plays, dBFS
  float band_s;                       ///< Time that counts in it, s
  float shift;                        ///< Of all of `ratio`, dB, and how tracking goes on from there (detector.h)
  float shift_before, shift_before_s, beyond_s, lifted_s, catch_s;
  // From here on absent in old states, where it is found anew within seconds
  float usual[FH_BANDS];              ///< Predicted pickup on average, dBFS (ears.h)
  float above[FH_BANDS];              ///< Close over predicted pickup likewise, dB
  float usual_s;                      ///< Time that counts in both, s
  // From here on absent in states before version 4
  float bound[FH_LOOKS - 1][2][FH_BANDS]; ///< Where learnt from a part: no more than this may median and 1 % point of `ratio` become, dB
  float misfit_s, misfits;            ///< How far what was learnt has proved not to be the field (detector.h), s; 1: it has
  // And of the last moment what averages and the network would else begin without
  float moment;                       ///< 1: there was one
  float rests;                        ///< 1: the gate was closed
  float phase;                        ///< Ticks into hop and look, which begin together each 24 ticks
  float level[FH_FOURS][2][FH_BANDS]; ///< Levels of close and ambient over four hops each, dBFS, newest first
  float held[FH_BANDS];               ///< Ambient that is held over 20 ms, dBFS
  float look[2][3][FH_BANDS];         ///< What the network looks at: close and predicted pickup over 3, 20 and 80 ms, dBFS,
  float lately[FH_BANDS];             ///< and `above` over half a second, dB
  float memory[FH_MEMORY];            ///< And what it remembers, -1 to 1
} FhLearnt;

/// Floats of it in states of older versions, from the first on
#define FH_LEARNT_1 (offsetof(FhLearnt, asked) / sizeof(float))
#define FH_LEARNT_2 (offsetof(FhLearnt, usual) / sizeof(float))
#define FH_LEARNT_3 (offsetof(FhLearnt, bound) / sizeof(float))

/// Fill in what a state of an older version lacks. @param floats How many it has
void fh_learnt_from_older(FhLearnt* learnt, size_t floats);

/// Sample rates at which all is as told, Hz: below, hardly a band is left; above, ticks and delays no longer fit
#define FH_LEAST_RATE 8000.0
#define FH_MOST_RATE 192000.0

/// Bytes of memory one engine needs, aligned to 64; rate is clamped to FH_LEAST_RATE..FH_MOST_RATE. Thread: any.
size_t fh_engine_size(double rate, uint32_t closes);

/// Build an engine in `memory` (fh_engine_size bytes, 64-byte aligned). Thread: instantiation. Cannot fail.
FhEngine* fh_engine_init(void* memory, double rate, uint32_t closes);

/// Clear all running state but keep what was learnt and the control values. Thread: instantiation (activate).
void fh_engine_reset(FhEngine* engine);

/// Hand over control values, indexed by FhControl; out of range or not finite is clamped or replaced by the
/// default. The first call after init or reset is taken without ramps. Thread: audio.
void fh_engine_set(FhEngine* engine, const float controls[FH_CONTROL_COUNT]);

/// Process `frames` frames (0 is fine). Any buffer may be NULL, and any may alias. Thread: audio.
/// @param thru Receives the ambient unprocessed, delayed by the latency; may be NULL.
void fh_engine_run(FhEngine*          engine,
                   const float* const close[],
                   const float*       ambient,
                   float* const       out[],
                   float*             thru,
                   uint32_t           frames);

/// As FhLearnt has it, at this moment. Thread: audio.
float fh_engine_phase(const FhEngine* engine);

/// Gate gain at this moment, 0..1, without the meters' hold. Thread: audio.
float fh_engine_gate(const FhEngine* engine);

/// Counts up whenever output controls may have changed. Thread: audio.
uint32_t fh_engine_news(const FhEngine* engine);

/// Counts up whenever what was learnt has changed by request, and while it may change by itself some 50 times a second.
/// Thread: audio.
uint32_t fh_engine_learnt_news(const FhEngine* engine);

/// Write all output controls, peak-held since some tens of ms, within their declared ranges. Thread: audio.
void fh_engine_meters(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);

/// Beyond this no learnt value is sane: dB, or s
#define FH_LEARNT_MOST 200.0f

/// True if every value is finite and within what levels in dB can be. Thread: any.
bool fh_learnt_is_sane(const FhLearnt* learnt);

/// Copy what was learnt out of or into the engine; what is not sane is refused (false). While the field is being learnt, out
/// comes what was known before. Thread: audio.
void fh_engine_get_learnt(const FhEngine* engine, FhLearnt* learnt);
bool fh_engine_set_learnt(FhEngine* engine, const FhLearnt* learnt);

#endif
