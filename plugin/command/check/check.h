// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file check.h
/// What a soundcheck recording says: each finding one sentence with its figure and what to do.
///
/// Levels are mean squares in dB relative to a full-scale square wave (dBFS): a full-scale sine reads -3 dB.
/// Thread: main.

#ifndef FRONTHASH_COMMAND_CHECK_H
#define FRONTHASH_COMMAND_CHECK_H

#include "command/check/check_arrivals.h"
#include "command/check/findings.h"
#include "command/check/runs.h"
#include "command/measure/activity.h"
#include "command/measure/correlate.h"
#include "command/measure/standing.h"
#include "ui/verdict.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

typedef enum { FH_CHECK_SOLOIST, FH_CHECK_GROUP, FH_CHECK_MALLETS } FhCheckKind;

typedef struct {
  FhCheckKind kind;
  int         players;          ///< Of a group; 0: count them
  double      ambient_distance; ///< Soloist to ambient microphone, m; 0: unknown
  double      mic_distance;     ///< To the close microphone, m; 0: unknown
  bool        planned;          ///< Both are from a plan, and soloists need not stand there: they march
  double      celsius;
  double      partials[2];      ///< Of a bar, relative to its fundamental
  int         low, high;        ///< Range, MIDI note numbers
  bool        sings;            ///< Breath may blow into the microphone
} FhCheckOptions;

/// One bar, note or player in the order shown
typedef struct {
  int    note;           ///< MIDI number; of players, their number from 1
  int    strokes;        ///< How often heard
  double level[FH_MICS]; ///< dBFS of each close microphone
  double total;          ///< dBFS
  double expected;       ///< What its neighbours, or the other players, would make it, dBFS
  double bright;         ///< dB
  bool   fault;          ///< Stands out
} FhPlace;

#define FH_PLACES_MAX 128

typedef struct {
  FhFindings  findings;
  FhCheckKind kind;
  size_t      count; ///< Of places
  FhPlace     places[FH_PLACES_MAX];
  int         crossover; ///< Bar where both microphones are equally loud, MIDI number; 0: none
  FhActivity  heard;     ///< Its figures; its lists are gone
  FhVerdict   verdict;   ///< On the separation
  double      pitch_error; ///< Largest distance of a stroke's pitch from its note, cents
} FhReport;

/// Do two microphones carry the same sound, to the last bit but a few?
bool fh_same_sound(const FhSoundcheck* take, size_t first, size_t second);

// The parts of a check; each adds its findings. False without memory. The signal: clipping, and the two beneath it
void fh_check_signal(const FhSoundcheck* take, const FhActivity* activity, FhFindings* findings);
void fh_check_inputs(const FhSoundcheck* take, const FhActivity* activity, FhFindings* findings);
bool fh_check_events(const FhSoundcheck* take, const FhActivity* activity, bool sings, FhFindings* findings);
void fh_check_bent(const FhSoundcheck* take, FhFindings* findings);
bool fh_check_tone(const FhSoundcheck* take, const FhActivity* activity, const FhArrivals* arrivals, const FhCheckOptions* options,
                   FhFindings* findings);
bool fh_check_return(const FhSoundcheck* take, const FhActivity* activity, const FhArrivals* arrivals, const FhCheckOptions* options,
                     FhFindings* findings);

/// How long after the close microphone the ambient one should hear the soloist, s; NAN: its distance is unknown.
/// @param slack Receives by how much more or less is no fault.
double fh_expected_arrival(const FhCheckOptions* options, double* slack);

bool fh_check_mains_and_wind(const FhSoundcheck* take, FhFindings* findings);

/// Has the ambient microphone been plugged where a close one belongs? If so, say so and put `take` right.
/// @param spans For each close microphone, where the soloist can be compared.
bool fh_check_swapped(FhSoundcheck* take, const FhActivity* activity, const FhSpans spans[FH_MICS],
                      FhFindings* findings);

/// Lag of one microphone behind another. @return False where they cannot be compared.
bool fh_check_lag(const FhSoundcheck* take, const FhSpans* spans, size_t first, size_t second, FhLag* lag);

/// Arrival, polarity and separation of the ambient microphone
/// @param spans For each close microphone, where to compare it with the ambient; then of two close ones with each
/// other.
void fh_check_wiring(const FhSoundcheck*   take,
                     const FhSpans         spans[FH_MICS],
                     const FhArrivals*     arrivals,
                     const FhCheckOptions* options,
                     FhFindings*           findings);

/// Separation, and trims that drift
bool fh_check_field(const FhSoundcheck* take, const FhActivity* activity, FhReport* report);

bool fh_check_soloist(const FhSoundcheck* take, const FhActivity* activity, const FhCheckOptions* options,
                      FhReport* report);
bool fh_check_group(const FhSoundcheck* take, const FhActivity* activity, const FhCheckOptions* options,
                    FhReport* report);
bool fh_check_mallets(const FhSoundcheck* take, const FhStrokes* strokes, FhReport* report);

/// Stretches round the strokes that suit the comparison of two microphones. @return False without memory.
bool fh_stroke_spans(const FhSoundcheck* take, const FhStrokes* strokes, size_t first, size_t second, FhSpans* spans);

/// The strokes of a mallet run, with onset, pitch and levels
bool fh_find_strokes(const FhSoundcheck* take, const FhCheckOptions* options, FhStrokes* strokes);

/// The notes of a melody played alone, with pitch and levels
bool fh_find_notes(const FhSoundcheck* take, const FhActivity* activity, const FhCheckOptions* options,
                   FhStrokes* notes);

/// Gather strokes of the same note, in order of pitch
void fh_gather_places(const FhStrokes* strokes, FhReport* report);

/// All of it. @return False without memory.
bool fh_check(const FhSoundcheck* take, const FhCheckOptions* options, FhReport* report);

#endif
