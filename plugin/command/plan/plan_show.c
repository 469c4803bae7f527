// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/plan/plan_show.h"

#include "command/base/complain.h"
#include "command/base/table.h"

#include <math.h>

#define NEAREST 0.5 ///< m; a stand among the band's players is taken to stand before them

bool
fh_plan_place(FhPlan* const plan, const FhShow* const show, const FhStand* const stand)
{
  const char* const missing = !stand->at.known ? "at" : !show->ambient_at.known ? "ambient-at" : !show->band_at.known ? "band-at" : NULL;
  if (missing) {
    return fh_complain("%s: %s has no %s X Y, so its distances are not known; write it, or plan without --show", show->path,
                       stand->at.known ? "the show" : stand->name, missing);
  }
  const double x         = show->ambient_at.x - stand->at.x;
  const double y         = show->ambient_at.y - stand->at.y;
  plan->mic_distance     = stand->distance;
  plan->mic_pattern      = stand->pattern;
  plan->ambient_distance = fmax(0.1, hypot(x, y));
  plan->ambient_bearing  = atan2(x, y) * 180.0 / acos(-1.0);
  plan->band_distance    = fmax(NEAREST, show->band_at.y - stand->at.y);
  plan->band_aside       = show->band_at.x - stand->at.x;
  for (size_t i = 0; i < show->speaker_count; ++i) {
    const double far  = fmax(0.1, hypot(show->speaker_at[i].x - stand->at.x, show->speaker_at[i].y - stand->at.y));
    plan->speaker_mic = i ? fmin(plan->speaker_mic, far) : far;
  }
  return true;
}

void
fh_plan_print_show(const FhShow* const show, const FhPlanned* const planned, const size_t count)
{
  static const char* const heads[] = {"stand", "family", ">ambient m", ">band m", ">field earlier ms", ">excess dB", ">gain in hand dB",
                                      "verdict", NULL};
  const FhPlanned*         loudest = &planned[0];
  FhTable                  table   = fh_table_begin(heads);
  for (size_t i = 0; i < count; ++i) {
    const FhPlan* const        p = &planned[i].plan;
    const FhPlanFigures* const f = &planned[i].figures;
    fh_table_row(&table);
    fh_table_cell(&table, 0, "%s", planned[i].stand->name);
    fh_table_cell(&table, 1, "%s", p->family->name);
    fh_table_cell(&table, 2, ">%.1f", p->ambient_distance);
    fh_table_cell(&table, 3, ">%.1f", p->band_distance);
    fh_table_cell(&table, 4, ">%.1f", f->ambient_lead_ms);
    fh_table_cell(&table, 5, ">%.1f", f->excess);
    fh_table_cell(&table, 6, ">%.1f", f->pag - f->nag);
    fh_table_cell(&table, 7, "%s", fh_verdict_phrase(f->verdict));
    loudest = fmax(f->player_level, f->tech_level) > fmax(loudest->figures.player_level, loudest->figures.tech_level) ? &planned[i]
                                                                                                                      : loudest;
  }
  fh_table_print(&table);
  printf("\n%.1f dB of excess are needed, and no less gain than 0 dB in hand.\n", FH_SEPARATION_GOOD);
  bool changes = false;
  for (size_t i = 0; i < count; ++i) {
    if (planned[i].advice.count) {
      changes = true;
      printf("\n%s\n", planned[i].stand->name);
      fh_plan_print_advice(stdout, &planned[i].advice);
    }
  }
  if (changes) {
    printf("\nAmbient microphone and band are the same for all stands: if one of them moves, write it into the show and plan again.\n");
  }
  fh_plan_print_cautions(stdout, &loudest->plan, &loudest->figures);
  printf("\nAll of one stand, with levels, exposure and arrival: add --stand to --show %s.\n", show->path);
}

void
fh_plan_print_show_json(const FhShow* const show, const FhPlanned* const planned, const size_t count)
{
  FhJson json = fh_json_begin(stdout);
  fh_json_text(&json, "show", show->path);
  fh_json_array(&json, "stands");
  for (size_t i = 0; i < count; ++i) {
    fh_json_object(&json, NULL);
    fh_json_text(&json, "stand", planned[i].stand->name);
    fh_plan_put(&json, &planned[i].plan, &planned[i].figures, &planned[i].advice);
    fh_json_end(&json, '}');
  }
  fh_json_end(&json, ']');
  fh_json_end(&json, '}');
}
