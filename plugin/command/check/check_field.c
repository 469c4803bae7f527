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
#define FH_BRIDGE 0.19     // s, the hold the plugin comes with
#define FH_ONE_WAY 74      // % of all pairs of steps; music by itself reaches 71

/// Mean powers of the close microphones together and of the ambient one, dBFS
typedef struct {
  double close, ambient;
} FhPlaying;

static double
power_of(const double db)
{
  return pow(10.0, db / 10.0);
}

/// Over the stretches in which the soloist plays, short rests within them included, as the gate holds over these; or over the
/// field's. To take only the moments in which the soloist is loud would flatter.
static FhPlaying
playing(const FhSoundcheck* const take, const FhActivity* const a, const bool solo)
{
  const size_t bridge = (size_t)(FH_BRIDGE * take->rate) / a->hop;
  double       close = 0.0, ambient = 0.0;
  size_t       since = bridge + 1, n = 0; // frames since the soloist was heard
  for (size_t i = 0; i < a->count; ++i) {
    since              = a->audible[i] && a->solo[i] ? 0 : since + 1;
    bool between       = since == 0;
    for (size_t k = i + 1; !between && since <= bridge && k <= i + bridge - since && k < a->count; ++k) {
      between = a->audible[k] && a->solo[k];
    }
    if (a->audible[i] && between == solo) {
      close += power_of(a->close[i]);
      ambient += power_of(a->level[take->closes][i]);
      ++n;
    }
  }
  const double count = fmax((double)n, 1.0);
  return (FhPlaying){fh_decibels(close / count), fh_decibels(ambient / count)};
}

/// How far the level difference rises when the soloist sets in over the field: where the take has the soloist without
/// the field, the field that is missing is added, as the ambient microphone hears it
static FhStanding
standing_of(const FhPlaying* const solo, const FhPlaying* const field)
{
  const double missing = fmax(0.0, power_of(field->ambient) - power_of(solo->ambient));
  const double ratio   = power_of(field->close - field->ambient);
  const double close   = power_of(solo->close) + missing * ratio;
  return (FhStanding){fh_decibels(close / (power_of(solo->ambient) + missing) / ratio), fh_decibels(close) - field->close,
                      FH_VERDICT_UNKNOWN, false};
}

static void
report_separation(const FhActivity* const a, const FhPlaying* const solo, const FhPlaying* const field,
                  FhReport* const report)
{
  FhFindings* const findings = &report->findings;
  if (!a->field) {
    fh_find(findings, false, "level_difference", a->solo_difference, "dB",
            "Close is %.1f dB above ambient while the soloist plays; record some field without the soloist to know the "
            "separation.", a->solo_difference);
    return;
  }
  const FhStanding standing = standing_of(solo, field);
  report->verdict           = fh_verdict(&standing);
  const bool asks           = fh_verdict_asks(report->verdict);
  if (report->verdict == FH_VERDICT_AMBIENT && !fh_found(findings, "ambient_near") && !fh_found(findings, "off_axis")) {
    fh_find(findings, true, "ambient_near", standing.separation, "dB",
            "The soloist stands %.1f dB over the field in the close microphone, and only %.1f dB against the ambient one: %s.",
            standing.rise, standing.separation, fh_verdict_advice(report->verdict));
  }
  fh_find(findings, asks && report->verdict != FH_VERDICT_AMBIENT, "separation", standing.separation, "dB",
          "Separation is %.1f dB (close over ambient %.1f dB for the soloist, %.1f dB for the field): %s%s%s.", standing.separation,
          a->solo_difference, a->field_difference, asks ? "too little for any setting: " : fh_verdict_word(report->verdict),
          asks ? "" : ". ", fh_verdict_advice(report->verdict));
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
    const FhPlaying solo  = playing(take, activity, true);
    const FhPlaying field = playing(take, activity, false);
    report_separation(activity, &solo, &field, report);
    ok = !activity->field || check_drift(take, activity, field.ambient - FH_SOUNDS, scratch, findings);
  }
  free(scratch);
  return ok;
}
