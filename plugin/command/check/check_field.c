// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The field against the soloist: separation, and trims that drift

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_DRIFT 5.5       // dB over the take
#define FH_SOUNDS 8.0      // dB under its median the field still sounds
#define FH_DRIFT_SPAN 6.0  // s of field, from its first moment to its last
#define FH_DRIFT_STEP 0.5  // s
#define FH_STEPS 256
#define FH_ONE_WAY 74      // % of all pairs of steps; music by itself reaches 71

static void
report_separation(const FhActivity* const a, const FhStandsOut* const standing, FhReport* const report)
{
  FhFindings* const findings = &report->findings;
  if (!a->field) {
    fh_find(findings, false, "level_difference", a->solo_difference, "dB",
            "Close is %.1f dB above ambient while the soloist plays; record some field without the soloist to know the "
            "separation.", a->solo_difference);
    return;
  }
  report->verdict = fh_verdict(&(FhStanding){standing->separation, standing->rise, FH_VERDICT_UNKNOWN, false});
  const bool asks = fh_verdict_asks(report->verdict);
  if (report->verdict == FH_VERDICT_AMBIENT && !fh_found(findings, "ambient_near") && !fh_found(findings, "off_axis")) {
    fh_find(findings, true, "ambient_near", standing->separation, "dB",
            "The soloist stands %.1f dB over the field in the close microphone, and only %.1f dB against the ambient one: %s.",
            standing->rise, standing->separation, fh_verdict_advice(report->verdict));
  }
  fh_find(findings, asks && report->verdict != FH_VERDICT_AMBIENT, "separation", standing->separation, "dB",
          "Separation is %.1f dB with the field beneath (close over ambient in the recording %.1f dB for the soloist, %.1f dB for the "
          "field): %s%s%s.", standing->separation,
          a->solo_difference, a->field_difference, asks ? "too little for any setting: " : fh_verdict_word(report->verdict),
          asks ? "" : ". ", fh_verdict_advice(report->verdict));
}

/// Of the field alone in the ambient microphone, mean power, dBFS
static double
field_level(const FhSoundcheck* const take, const FhActivity* const a)
{
  double sum = 0.0;
  size_t n   = 0;
  for (size_t i = 0; i < a->count; ++i) {
    const bool field = a->audible[i] && !a->solo[i];
    sum += field ? pow(10.0, a->level[take->closes][i] / 10.0) : 0.0;
    n += field;
  }
  return fh_decibels(sum / fmax((double)n, 1.0));
}

/// Median of the level difference of the field in steps. @return How many; `at` in s.
static size_t
field_steps(const FhSoundcheck* const take, const FhActivity* const a, const double least, double* const at, double* const level,
            double* const scratch)
{
  const size_t wide = (size_t)(FH_DRIFT_STEP * take->rate) / a->hop;
  size_t       n    = 0;
  for (size_t from = 0; from + wide <= a->count && n < FH_STEPS; from += wide) {
    size_t held = 0;
    for (size_t i = from; i < from + wide; ++i) {
      if (a->audible[i] && !a->solo[i] && a->level[take->closes][i] > least) {
        scratch[held++] = a->close[i] - a->level[take->closes][i];
      }
    }
    if (2 * held > wide) {
      at[n]      = ((double)from + 0.5 * (double)wide) * (double)a->hop / take->rate;
      level[n++] = fh_percentile(scratch, held, 0.5);
    }
  }
  return n;
}

/// A trim or an automatic gain that moves: the slope of the field's level difference (Theil and Sen: the median over all
/// pairs)
static bool
check_drift(const FhSoundcheck* const take, const FhActivity* const a, const double least, double* const scratch, FhFindings* const findings)
{
  double        at[FH_STEPS], level[FH_STEPS];
  const size_t  n      = field_steps(take, a, least, at, level, scratch);
  double* const slopes = malloc((n * n / 2 + 1) * sizeof(double));
  size_t        pairs  = 0, same = 0;
  for (size_t i = 0; slopes && i < n; ++i) {
    for (size_t k = i + 1; k < n; ++k) {
      slopes[pairs++] = (level[k] - level[i]) / (at[k] - at[i]);
    }
  }
  if (slopes && n > 4 && at[n - 1] - at[0] > FH_DRIFT_SPAN) {
    const double seconds = (double)take->frames / take->rate;
    const double drift   = fh_percentile(slopes, pairs, 0.5) * seconds;
    for (size_t i = 0; i < pairs; ++i) {
      same += slopes[i] * drift > 0.0;
    }
    const bool one_way = fabs(drift) > FH_DRIFT && 100 * same > FH_ONE_WAY * pairs;
    fh_find(findings, one_way, "drift", drift, "dB",
            one_way
              ? "Close over ambient drifts by %.1f dB over the take: switch off automatic gain and leave the trims alone, "
                "then learn anew."
              : "Close over ambient drifts by %.1f dB over the take.",
            drift);
  }
  free(slopes);
  return slopes != NULL;
}

bool
fh_check_field(const FhSoundcheck* const take, const FhActivity* const activity, FhReport* const report)
{
  FhFindings* const findings = &report->findings;
  if (fh_found(findings, "no_signal") || fh_found(findings, "same_signal")) {
    return true;
  }
  double* const scratch = malloc(activity->count * sizeof(double));
  bool          ok      = scratch != NULL;
  if (ok) {
    FhStandsOut standing;
    ok = fh_standing_of(take, activity, &standing);
    report_separation(activity, &standing, report);
    ok = ok && (!activity->field || check_drift(take, activity, field_level(take, activity) - FH_SOUNDS, scratch, findings));
  }
  free(scratch);
  return ok;
}
