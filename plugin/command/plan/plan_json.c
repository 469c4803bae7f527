// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/plan/plan.h"

typedef struct {
  const char* key; ///< Ends in its unit
  double      value;
} FhNamedFigure;

static void
put_figures(FhJson* const json, const char* const key, const FhNamedFigure* const rows, const size_t count)
{
  fh_json_object(json, key);
  for (size_t i = 0; i < count; ++i) {
    fh_json_number(json, rows[i].key, rows[i].value);
  }
  fh_json_end(json, '}');
}

#define FH_PUT(json, key, rows) put_figures(json, key, rows, sizeof(rows) / sizeof((rows)[0]))

static void
put_inputs(FhJson* const json, const FhPlan* const plan)
{
  fh_json_object(json, "plan");
  fh_json_text(json, "family", plan->family->name);
  fh_json_text(json, "dynamic", plan->dynamic->name);
  fh_json_text(json, "mic_pattern", plan->mic_pattern->name);
  fh_json_text(json, "ambient_pattern", plan->ambient_pattern->name);
  const FhNamedFigure rows[] = {
    {"level_db", plan->level},
    {"mic_distance_m", plan->mic_distance},
    {"mic_angle_degrees", plan->mic_angle},
    {"mic_aim_degrees", plan->mic_aim},
    {"ambient_distance_m", plan->ambient_distance},
    {"ambient_bearing_degrees", plan->ambient_bearing},
    {"ambient_aim_degrees", plan->ambient_aim},
    {"band_size", plan->band_size},
    {"band_distance_m", plan->band_distance},
    {"band_aside_m", plan->band_aside},
    {"band_level_db", plan->band_level},
    {"speaker_mic_m", plan->speaker_mic},
    {"speaker_listener_m", plan->speaker_listener},
    {"listener_m", plan->listener},
    {"equivalent_m", plan->equivalent},
    {"critical_m", plan->critical}, // null outdoors
    {"open_mics", plan->open_mics},
    {"neighbour_m", plan->neighbour},
    {"temperature_c", plan->celsius},
    {"humidity_percent", plan->humidity},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    fh_json_number(json, rows[i].key, rows[i].value);
  }
  fh_json_end(json, '}');
}

static void
put_all_figures(FhJson* const json, const char* const key, const FhPlanFigures* const f)
{
  fh_json_object(json, key);
  const FhNamedFigure levels[]     = {{"solo_close_db", f->solo_close},           {"solo_ambient_db", f->solo_ambient},
                                      {"field_close_db", f->band_close},          {"field_ambient_db", f->band_ambient},
                                      {"solo_difference_db", f->solo_difference},
                                      {"field_difference_db", f->band_difference}};
  const FhNamedFigure separation[] = {
    {"separation_db", f->separation}, {"excess_db", f->excess}, {"needed_db", FH_SEPARATION_GOOD}};
  const FhNamedFigure gain[]       = {{"possible_db", f->pag}, {"needed_db", f->nag}};
  const FhNamedFigure arrival[]    = {{"speed_m_per_s", f->speed},
                                      {"solo_close_ms", f->solo_close_ms},
                                      {"solo_ambient_ms", f->solo_ambient_ms},
                                      {"field_close_ms", f->band_close_ms},
                                      {"field_ambient_ms", f->band_ambient_ms},
                                      {"speaker_mic_ms", f->speaker_mic_ms},
                                      {"speaker_listener_ms", f->speaker_listener_ms},
                                      {"solo_listener_ms", f->solo_listener_ms}};
  const FhNamedFigure neighbour[]  = {{"ratio", f->neighbour_ratio},
                                      {"below_db", f->neighbour_below},
                                      {"ripple_peak_db", f->ripple_peak},
                                      {"ripple_dip_db", f->ripple_dip}};
  const FhNamedFigure exposure[]   = {{"player_db", f->player_level},     {"player_niosh_h", f->player_niosh},
                                      {"player_osha_h", f->player_osha},  {"tech_db", f->tech_level},
                                      {"tech_niosh_h", f->tech_niosh},    {"tech_osha_h", f->tech_osha}};
  FH_PUT(json, "levels", levels);
  FH_PUT(json, "separation", separation);
  FH_PUT(json, "acoustic_gain", gain);
  FH_PUT(json, "arrival", arrival);
  FH_PUT(json, "neighbour", neighbour);
  FH_PUT(json, "exposure", exposure);
  fh_json_text(json, "verdict", fh_verdict_name(f->verdict));
  fh_json_bool(json, "gain_enough", f->pag >= f->nag);
  fh_json_end(json, '}');
}

void
fh_plan_put(FhJson* const json, const FhPlan* const plan, const FhPlanFigures* const figures, const FhAdvice* const advice)
{
  put_inputs(json, plan);
  put_all_figures(json, "figures", figures);
  fh_json_object(json, "advice");
  fh_json_bool(json, "works", advice->solves);
  fh_json_array(json, "changes");
  for (size_t i = 0; i < advice->count; ++i) {
    fh_json_text(json, NULL, advice->text[i]);
  }
  fh_json_end(json, ']');
  put_all_figures(json, "after", &advice->after);
  fh_json_end(json, '}');
}

void
fh_plan_print_json(FILE* const file, const FhPlan* const plan, const FhPlanFigures* const figures, const FhAdvice* const advice)
{
  FhJson json = fh_json_begin(file);
  fh_plan_put(&json, plan, figures, advice);
  fh_json_end(&json, '}');
}
