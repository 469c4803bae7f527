// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file plan_show.h
/// Plans for the stands of a show, from where it says that everything stands.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_PLAN_SHOW_H
#define FRONTHASH_COMMAND_PLAN_SHOW_H

#include "command/plan/plan.h"
#include "command/show/show.h"

/// One stand, planned
typedef struct {
  const FhStand* stand;
  FhPlan         plan;
  FhPlanFigures  figures;
  FhAdvice       advice;
} FhPlanned;

/// Put into a plan what the show says of a stand: its microphone, and how far ambient microphone, band and the nearest loudspeaker are.
/// @return false, having complained: the show lacks a place.
bool fh_plan_place(FhPlan* plan, const FhShow* show, const FhStand* stand);

/// One table with what to change at each stand, on standard output
/// @param count At least 1
void fh_plan_print_show(const FhShow* show, const FhPlanned* planned, size_t count);
void fh_plan_print_show_json(const FhShow* show, const FhPlanned* planned, size_t count);

#endif
