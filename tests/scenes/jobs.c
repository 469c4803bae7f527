// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "jobs.h"

#include "fixed_gate.h"
#include "processes.h"
#include "speex_reference.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

FhResult*
fh_results_make(const size_t count)
{
  return (FhResult*)fh_shared((count + 1) * sizeof(FhResult));
}

/// One line per tick, for a plotting program
static void
write_trace(const char* const dir, const FhSceneRequest* const q, const FhTruth* const truth, const FhThrough* const through)
{
  char path[1024];
  snprintf(path, sizeof(path), "%s/%s-%s-%llu-%g%s%.0d.tsv", dir, q->spec->name, fh_condition_names[q->condition],
           (unsigned long long)q->seed, q->ratio, q->minute ? "-" : "", q->minute);
  FILE* const f = fopen(path, "w");
  if (!f) {
    fprintf(stderr, "fh-score: cannot write %s: make the folder first\n", path);
    return;
  }
  fprintf(f, "seconds\tactivity\tsolo_db\tpickup_db\tgate_db\texcess_db\topen_at_db\n");
  static const char* const activities[] = {"between", "active", "resting"};
  for (size_t t = 0; t < truth->ticks; ++t) {
    const size_t i = (t * truth->tick + truth->tick / 2) / through->step;
    fprintf(f, "%.3f\t%s\t%.1f\t%.1f\t%.1f\t%.1f\t%.1f\n", (double)t / 1e3, t < truth->first ? "learn" : activities[truth->activity[t]],
            (double)truth->solo_db[t], (double)truth->pickup_db[t], 20.0 * log10((double)through->gate[i] + 1e-6),
            (double)through->excess[i], (double)through->open_at[i]);
  }
  fclose(f);
}

/// In a closed loop the loudspeakers return the band too: what it is like before is the loop with the plugin open
static bool
score_open_loop(const FhScene* const scene, const FhTruth* const truth, FhScore* const score)
{
  FhRig     rig;
  FhThrough through = {0};
  if (!fh_rig_make(&rig, scene->rate, scene->closes)) {
    return false;
  }
  rig.controls[FH_RANGE]      = 0.0f;
  rig.controls[FH_DUCK_DEPTH] = 0.0f;
  const bool ok               = fh_through_run(&through, &rig, scene);
  if (ok) {
    const float* const out[]         = {through.out[0], through.out[1]};
    const float* const solo[]        = {truth->solo[0], truth->solo[1]};
    score->value[FH_MEASURE_BEFORE] = fh_si_sdr(out, solo, truth->closes, truth->first * truth->tick, truth->frames);
    score->value[FH_MEASURE_GAINED] = score->value[FH_MEASURE_AFTER] - score->value[FH_MEASURE_BEFORE];
  }
  fh_through_free(&through);
  fh_rig_free(&rig);
  return ok;
}

/// The last scene, which the next request may ask for again
typedef struct {
  bool    valid;
  FhScene scene;
  FhTruth truth;
} Kept;

static void
drop(Kept* const kept)
{
  if (kept->valid) {
    fh_truth_free(&kept->truth);
    fh_scene_free(&kept->scene);
  }
  *kept = (Kept){.valid = false};
}

static bool
same_scene(const FhSceneRequest* const a, const FhSceneRequest* const b)
{
  return a->spec == b->spec && a->seed == b->seed && a->ratio == b->ratio && a->rate == b->rate && a->sampled == b->sampled &&
         a->condition == b->condition && a->minute == b->minute && a->font == b->font && a->few == b->few && a->vary == b->vary;
}

static bool
build(Kept* const kept, const FhSceneRequest* const request)
{
  if (kept->valid && same_scene(&kept->scene.request, request)) {
    return true;
  }
  drop(kept);
  if (!fh_scene_build(&kept->scene, request)) {
    return false;
  }
  kept->valid = true;
  return fh_truth_make(&kept->truth, &kept->scene);
}

/// Build, run and score one scene with a running engine. @return false on failure
static bool
score_scene(const FhSceneRequest* const request, FhRig* const rig, const FhJobPlan* const plan, Kept* const kept, FhScore* const score)
{
  FhThrough through = {0};
  bool      ok      = build(kept, request) && fh_through_run(&through, rig, &kept->scene);
  if (ok) {
    fh_score_make(score, &kept->truth, &through);
    ok = request->condition != FH_PA || score_open_loop(&kept->scene, &kept->truth, score);
    if (plan->references && score->active_s > 0.0) {
      score->value[FH_MEASURE_GATE_REF]  = fh_fixed_gate_best(&kept->truth, NULL);
      score->value[FH_MEASURE_SPEEX_REF] = fh_speex_score(&kept->truth, &kept->scene);
    }
    if (plan->trace_dir) {
      write_trace(plan->trace_dir, request, &kept->truth, &through);
    }
  }
  fh_through_free(&through);
  return ok;
}

/// Minutes without soloist, one after the other through the same engine
static bool
score_minutes(FhSceneRequest request, FhRig* const rig, const FhJobPlan* const plan, Kept* const kept, FhScore* const score)
{
  static const FhMeasure weighed[] = {FH_MEASURE_FALSE_OPEN, FH_MEASURE_FALSE_RATE, FH_MEASURE_REMOVED};
  FhScore                sum       = {0};
  const int              minutes   = plan->minutes ? plan->minutes : 10;
  for (request.minute = 0; request.minute < minutes; ++request.minute) {
    if (!score_scene(&request, rig, plan, kept, score)) {
      return false;
    }
    sum.rest_s += score->rest_s;
    sum.value[FH_MEASURE_CHATTER] += score->value[FH_MEASURE_CHATTER];
    for (int i = 0; i < 3; ++i) {
      sum.value[weighed[i]] += score->rest_s * score->value[weighed[i]];
    }
  }
  score->rest_s                     = sum.rest_s;
  score->value[FH_MEASURE_CHATTER] = sum.value[FH_MEASURE_CHATTER];
  for (int i = 0; i < 3; ++i) {
    score->value[weighed[i]] = sum.value[weighed[i]] / sum.rest_s;
  }
  return true;
}

static void
score_one(FhResult* const result, const FhJobPlan* const plan, Kept* const kept)
{
  const FhSceneRequest* const q = &result->request;
  FhRig                       rig;
  if (!fh_rig_make(&rig, q->rate, q->spec->technique == FH_MIC_UNDER ? 2 : 1)) {
    return;
  }
  for (int i = 0; i < (result->defaults ? 0 : plan->setting_count); ++i) {
    rig.controls[plan->setting[i]] = plan->value[i];
  }
  rig.meters   = plan->trace_dir != NULL;
  rig.unlearnt = plan->unlearnt;
  result->done = q->condition >= FH_NO_SOLO ? score_minutes(*q, &rig, plan, kept, &result->score)
                                            : score_scene(q, &rig, plan, kept, &result->score);
  fh_rig_free(&rig);
}

/// Requests that share stems go to one process, or both would render them
static bool
same_stems(const FhSceneRequest* const a, const FhSceneRequest* const b)
{
  return a->spec == b->spec && a->seed == b->seed;
}

/// All jobs, and what they share
typedef struct {
  FhResult*        results;
  size_t           count;
  const FhJobPlan* plan;
} Work;

static void
run_group(const int group, void* const what)
{
  const Work* const w    = (const Work*)what;
  int               g    = -1;
  Kept              kept = {.valid = false};
  for (size_t i = 0; i < w->count; ++i) {
    g += i == 0 || !same_stems(&w->results[i].request, &w->results[i - 1].request);
    if (g == group) {
      score_one(&w->results[i], w->plan, &kept);
    }
  }
  drop(&kept);
}

size_t
fh_jobs_run(FhResult* const results, const size_t count, const FhJobPlan* const plan)
{
  Work work   = {results, count, plan};
  int  groups = count > 0;
  for (size_t i = 1; i < count; ++i) {
    groups += !same_stems(&results[i].request, &results[i - 1].request);
  }
  fh_spread(plan->processes, groups, run_group, &work);
  size_t failed = 0;
  for (size_t i = 0; i < count; ++i) {
    failed += !results[i].done;
  }
  return failed;
}
