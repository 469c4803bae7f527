// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file plan.h
/// What a placement will give, from distances alone.
///
/// Seen from above, the soloist stands at the origin and the band begins `band_distance` away at bearing 0. Bearings
/// are degrees from there: 90 beside the soloist, 180 towards the audience. Sources radiate evenly; the band's players
/// stand in a block three times as wide as deep and are added as unrelated sounds. Heights are left out.
/// Thread: any; no state.

#ifndef FRONTHASH_COMMAND_PLAN_H
#define FRONTHASH_COMMAND_PLAN_H

#include "command/base/json.h"
#include "command/measure/acoustics.h"
#include "command/measure/family.h"
#include "ui/verdict.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#define FH_PLAN_PLAYERS_MAX 1000

typedef struct {
  const FhFamily*  family;
  const FhDynamic* dynamic;
  double           level;            ///< Soloist, dB at 1 m
  double           mic_distance;     ///< m
  const FhPattern* mic_pattern;
  double           mic_angle;        ///< Soloist off the close microphone's axis, degrees
  double           mic_aim;          ///< Bearing the close microphone points to; 0 is into the band
  double           ambient_distance; ///< From the soloist, m
  double           ambient_bearing;
  const FhPattern* ambient_pattern;
  double           ambient_aim;
  double           band_size;        ///< Players
  double           band_distance;    ///< Soloist to nearest row, m
  double           band_aside;       ///< From straight ahead of the soloist to the middle of the nearest row, m to the right
  double           band_level;       ///< One player, dB at 1 m
  double           speaker_mic;      ///< m
  double           speaker_listener; ///< m
  double           listener;         ///< Soloist to farthest listener, m
  double           equivalent;       ///< As near as that listener shall seem to be, m
  double           critical;         ///< Critical distance, m; INFINITY outdoors
  double           open_mics;
  double           neighbour;        ///< To the next open microphone, m; 0: none
  double           celsius;
  double           humidity;         ///< %
} FhPlan;

typedef struct {
  double       solo_close, solo_ambient;   ///< dB SPL
  double       band_close, band_ambient;   ///< dB SPL
  double       solo_difference;            ///< Close less ambient, dB
  double       band_difference;            ///< dB
  double       separation;                 ///< Their difference, dB
  double       bleed;                      ///< Soloist over field in the close microphone, dB
  double       excess;                     ///< Close power over predicted pickup while the soloist plays, dB
  FhVerdict    verdict;                    ///< On the excess
  double       pag, nag;                   ///< dB
  double       speed;                      ///< m/s
  double       solo_close_ms, solo_ambient_ms, band_close_ms, band_ambient_ms;
  double       ambient_lead_ms;            ///< The field reaches the ambient microphone that much earlier
  double       speaker_mic_ms, speaker_listener_ms, solo_listener_ms;
  double       neighbour_ratio;            ///< NAN without a neighbour
  double       neighbour_below;            ///< Level of the soloist there, dB below; NAN without
  double       ripple_peak, ripple_dip;    ///< dB
  double       player_level, tech_level;   ///< dB(A) at most at the soloist's ear; beside the ambient microphone
  double       player_niosh, player_osha, tech_niosh, tech_osha; ///< h
} FhPlanFigures;

/// The default plan for a family: the close microphone in front of the bell, the ambient one beside
FhPlan fh_plan_default(const FhFamily* family);

/// Level of one band player at 1 m for a dynamic, dB
double fh_plan_band_level(const FhDynamic* dynamic);

void fh_plan_compute(const FhPlan* plan, FhPlanFigures* figures);

/// Width and depth of the block the band stands in, m
void fh_plan_block(const FhPlan* plan, double* width, double* depth);

/// Draw it from above into a PNG. @return false if that cannot be written.
bool fh_plan_picture(const char* path, const FhPlan* plan, const FhPlanFigures* figures);

#define FH_ADVICE_STEPS 5

/// The cheapest change found that makes the plan work
typedef struct {
  size_t    count;                       ///< Changes to make together; 0: nothing to change, or nothing helps
  char      text[FH_ADVICE_STEPS][160];  ///< One order each, as "move the close microphone to 8 cm (3.1 in)"
  bool      solves;                      ///< Enough separation and enough gain once done
  FhPlanFigures after;
} FhAdvice;

/// Try changes, cheapest first: alone, two and three together, then with the band moved; at last all that helps
void fh_plan_advise(const FhPlan* plan, FhAdvice* advice);

void fh_plan_print(FILE* file, const FhPlan* plan, const FhPlanFigures* figures, const FhAdvice* advice);

/// Parts of the print, for the stands of a show
void fh_plan_print_advice(FILE* file, const FhAdvice* advice);
void fh_plan_print_cautions(FILE* file, const FhPlan* plan, const FhPlanFigures* figures);

/// Plan, figures and advice, as keys of the open object
void fh_plan_put(FhJson* json, const FhPlan* plan, const FhPlanFigures* figures, const FhAdvice* advice);
void fh_plan_print_json(FILE* file, const FhPlan* plan, const FhPlanFigures* figures, const FhAdvice* advice);

#endif
