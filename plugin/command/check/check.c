// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_codes.h"

#include <stdlib.h>
#include <string.h>

/// Everything a check works on, found anew once swapped inputs are put right
typedef struct {
  FhSoundcheck take;
  FhActivity   activity;
  FhStrokes    strokes; ///< Of a mallet run
  FhSpans      spans[FH_MICS]; ///< Where each close one can be compared with the ambient, and last the two
} FhWork;

static void
work_free(FhWork* const work)
{
  fh_activity_free(&work->activity);
  fh_strokes_free(&work->strokes);
}

static bool
work_find(FhWork* const work, const FhCheckOptions* const options)
{
  const bool mallets = options->kind == FH_CHECK_MALLETS;
  work_free(work);
  if (!fh_activity_find(&work->take, options->kind != FH_CHECK_SOLOIST, &work->activity)) {
    return false;
  }
  if (mallets && !fh_find_strokes(&work->take, options, &work->strokes)) {
    return false;
  }
  const size_t closes = work->take.closes;
  bool         ok     = true;
  for (size_t mic = 0; mic < FH_MICS; ++mic) {
    if (!mallets) {
      fh_marked_spans(&work->take, &work->activity, work->activity.solo, &work->spans[mic]);
    } else {
      ok = ok && fh_stroke_spans(&work->take, &work->strokes, mic < closes ? mic : 0,
                                 mic < closes ? closes : closes - 1,
                                 &work->spans[mic]);
    }
  }
  return ok;
}

static bool
check_kind(const FhWork* const work, const FhCheckOptions* const options, FhReport* const report)
{
  switch (options->kind) {
  case FH_CHECK_SOLOIST:
    return fh_check_soloist(&work->take, &work->activity, options, report);
  case FH_CHECK_GROUP:
    return fh_check_group(&work->take, &work->activity, options, report);
  case FH_CHECK_MALLETS:
    return fh_check_mallets(&work->take, &work->strokes, report);
  }
  return false;
}

/// Swapped inputs first: then everything else is said of the right microphone
static bool
put_right(FhWork* const work, const FhCheckOptions* const options, FhFindings* const findings)
{
  if (!work_find(work, options)) {
    return false;
  }
  fh_check_inputs(&work->take, &work->activity, findings);
  // Over noise levels tell little, but arrivals still do
  const bool told = fh_found(findings, "no_signal") || fh_found(findings, "same_signal") ||
                    (work->activity.field && fh_found(findings, "noise"));
  findings->count = 0; // they are told again once the inputs are right
  return told || !fh_check_swapped(&work->take, &work->activity, work->spans, findings) || work_find(work, options);
}

static bool
check_all(FhWork* const work, const FhCheckOptions* const options, FhReport* const report)
{
  const FhSoundcheck* const take     = &work->take;
  const FhActivity* const   activity = &work->activity;
  const FhSpans* const      spans    = &work->spans[0];
  FhFindings* const         findings = &report->findings;
  FhArrivals                arrivals;
  if (!fh_arrivals_find(take, activity, spans, &arrivals)) {
    return false;
  }
  if (options->kind == FH_CHECK_MALLETS && !fh_is_run(&work->strokes)) {
    for (size_t mic = 0; mic < FH_MICS; ++mic) {
      work->spans[mic].count = 0; // who knows who struck
    }
  }
  fh_check_signal(take, activity, findings);
  bool ok = fh_check_events(take, activity, options->sings, findings) && fh_check_mains_and_wind(take, findings) &&
            fh_check_tone(take, activity, &arrivals, options, findings) && fh_check_return(take, activity, &arrivals, options, findings);
  fh_check_wiring(take, work->spans, &arrivals, options, findings);
  ok = ok && fh_check_field(take, activity, report) && check_kind(work, options, report);
  fh_arrivals_free(&arrivals);
  return ok;
}

bool
fh_check(const FhSoundcheck* const take, const FhCheckOptions* const options, FhReport* const report)
{
  memset(report, 0, sizeof(*report));
  report->kind       = options->kind;
  FhWork* const work = calloc(1, sizeof(*work));
  if (!work) {
    return false;
  }
  work->take    = *take;
  const bool ok = put_right(work, options, &report->findings) && check_all(work, options, report);
  report->heard = work->activity;
  report->heard.close = NULL;
  report->heard.audible = report->heard.active = report->heard.solo = NULL;
  memset(report->heard.level, 0, sizeof(report->heard.level));
  fh_order_findings(&report->findings);
  work_free(work);
  free(work);
  return ok;
}
