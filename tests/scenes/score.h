// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file score.h
/// How well a take came through: the measures, each with its definition.
///
/// Active, resting, onset and end are those of truth.h; the gate counts as open above -6 dB. Thread: any.

#ifndef FRONTHASH_SCENES_SCORE_H
#define FRONTHASH_SCENES_SCORE_H

#include "through.h"
#include "truth.h"

// X(ENUM, key, "heading", decimals)
#define FH_MEASURES(X)                     \
  X(BEFORE, before_db, "before", 1)        \
  X(AFTER, after_db, "after", 1)           \
  X(GAINED, gained_db, "gained", 1)        \
  X(GATE_REF, fixed_gate_db, "gate", 1)    \
  X(IDEAL_REF, ideal_db, "ideal", 1)       \
  X(SPEEX_REF, speex_db, "speex", 1)       \
  X(MISSED, missed_percent, "miss%", 2)    \
  X(FALSE_OPEN, false_percent, "false%", 2) \
  X(FALSE_RATE, false_per_minute, "f/min", 1) \
  X(CHATTER, chatter, "chat", 1)           \
  X(ONSET_MS, onset_ms, "on ms", 1)        \
  X(ONSET_WORST, onset_worst_ms, "worst", 1) \
  X(ONSET_DB, onset_db, "on dB", 2)        \
  X(TAIL, tail_ms, "tail", 1)              \
  X(REMOVED, removed_db, "remov", 1)       \
  X(LEVEL, level_db, "level", 2)

/// Measures; NaN where a scene has nothing to measure
typedef enum {
#define FH_X(ENUM, ...) FH_MEASURE_##ENUM,
  FH_MEASURES(FH_X)
#undef FH_X
    FH_MEASURE_COUNT
} FhMeasure;

// BEFORE, AFTER  SI-SDR of take and output against the solo through the open split, over the part after learning, dB:
//                10 lg(|a s|^2 / |a s - e|^2), a = <e,s> / |s|^2 (Le Roux et al., arXiv 1811.02508); in the closed loop
//                BEFORE is the loop with the plugin held open
// GAINED         AFTER - BEFORE
// GATE_REF       SI-SDR of the best textbook gate with fixed threshold, chosen in hindsight (fixed_gate.h)
// IDEAL_REF      SI-SDR with ideal gains on the same bands (truth_split.h)
// SPEEX_REF      SI-SDR of a general-purpose echo suppressor with the ambient as reference (speex_reference.h)
// MISSED         Share of active ticks with the gate not open, %
// FALSE_OPEN     Share of resting ticks with the gate open, %
// FALSE_RATE     Openings that begin while resting, per minute of rest
// CHATTER        Openings shorter than 50 ms
// ONSET_MS       Median time from an onset until the gate is above -3 dB (0 if it already is; at most 500), ms
// ONSET_WORST    The longest of them, ms
// ONSET_DB       Energy of the solo's first 50 ms times the squared gate gain over the same without, mean, dB
// TAIL           Time from the last tick with the gate open to the last active tick, where the gate shut first, mean, ms
// REMOVED        Power of the pickup through the open split over power of the output, while resting, dB
// LEVEL          Level of the solo in the output while active, 20 lg of the projection <out,s> / |s|^2, dB

typedef struct {
  double value[FH_MEASURE_COUNT];
  double active_s, rest_s;             ///< How much there was of each, s
  double fault_s;                      ///< For how long a fault was shown, s
  double onset_ms[FH_MAX_ONSETS];      ///< Every onset's loss
  size_t onset_count;
} FhScore;

/// SI-SDR of an estimate against a reference over several channels, dB; one scale for all. +-120 at most.
double fh_si_sdr(const float* const estimate[], const float* const reference[], uint32_t channels, size_t from, size_t to);

/// Fill all measures but the outside references GATE_REF and SPEEX_REF (NaN)
void fh_score_make(FhScore* score, const FhTruth* truth, const FhThrough* through);

#endif
