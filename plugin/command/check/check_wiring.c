// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// How the microphones stand to each other: polarity, arrival, separation

#include "command/check/check.h"
#include "command/measure/acoustics.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_CLEAR 1.3          // peak over the next best: below, say nothing about it
#define FH_SURE 0.15          // strength below which two microphones hear different things
#define FH_SURE_OF_EACH 0.05  // the same where several agree
#define FH_FARTHEST 0.03      // s: and at most this, 10 m
#define FH_LATEST 0.085       // s
#define FH_DIRECT 0.02        // s
#define FH_FAR_STANDS 18.0    // times what the correlation has at most lags; music by itself reaches 14
#define FH_FAR_SHARE 0.5      // of the strongest within what the distance allows
#define FH_AMBIENT_NEAR 1.0   // m more than the close one
#define FH_SAME_LAG 0.001     // s: the field comes from many places, so its lag is one of several, up to 0.75 ms apart in scenes to tune by
#define FH_FIELD_SHARE 0.6    // of its strongest arrival, at a lag that no soloist has, since the close microphone is the nearer one
#define FH_COVERED 6.0        // dB by which the ambient microphone must hear less of the field while the soloist plays,
#define FH_RISES 3.0          // or more of the soloist
#define FH_ONE_SOURCE 0.5     // strength that a field, from many places, does not reach
#define FH_PAIR_MS 3.0        // ms between two close microphones in the middle: a metre

bool
fh_check_lag(const FhSoundcheck* const take, const FhSpans* const spans, const size_t first, const size_t second,
             FhLag* const lag)
{
  const bool apart = second == take->closes; // as sound through air needs time
  return (spans->moving ? fh_find_lag_of_each : fh_find_lag)(take->mic[first], take->mic[second], take->frames,
                                                             take->rate,
                                                             spans->list, spans->count,
                                                             (size_t)(FH_MOST_DELAY * take->rate), lag) &&
         lag->strength > (spans->moving ? FH_SURE_OF_EACH : FH_SURE) && (spans->moving || lag->clarity > FH_CLEAR) &&
         (!apart || fabs(lag->delay) > FH_NEAREST * take->rate);
}

FhFar
fh_find_far(const FhSoundcheck* const take, const FhCorrelation* const c)
{
  FhFar far = {0};
  if (c && take->closes == 1) {
    double       stands[2];
    const FhLag  ends[2] = {fh_correlation_peak(c, FH_FARTHEST, FH_LATEST, &stands[0]),
                            fh_correlation_peak(c, -FH_LATEST, -FH_FARTHEST, &stands[1])};
    const int    side    = ends[1].strength > ends[0].strength;
    const double usual   = fh_correlation_peak(c, -FH_FARTHEST, FH_FARTHEST, NULL).strength;
    fh_correlation_peak(c, FH_NEAREST, FH_DIRECT, &far.direct);
    if (stands[side] > FH_FAR_STANDS && ends[side].strength > FH_FAR_SHARE * usual) {
      far.lag = ends[side];
    }
  }
  return far;
}

static void
find_polarity(const FhSoundcheck* const take, const size_t odd, const char* const others, const double strength,
              FhFindings* const findings)
{
  fh_find(findings, true, "polarity", strength, "",
          "The %s has the opposite polarity of the %s (correlation -%.2f): flip it at the desk, or mend the cable.",
          fh_mic_name(take, odd), others, strength);
}

/// One microphone of the opposite polarity; of three, the one that disagrees with both others
static void
report_polarity(const FhSoundcheck* const take, const FhLag* const lags, FhFindings* const findings)
{
  if (take->closes == 1) {
    if (lags[0].inverted) {
      find_polarity(take, 1, "close microphone", lags[0].strength, findings);
    }
  } else if (lags[0].inverted || lags[1].inverted) {
    const size_t odd = lags[0].inverted == lags[1].inverted ? 2 : lags[0].inverted ? 0 : 1;
    find_polarity(take, odd, "two others", lags[odd == 1].strength, findings);
  }
}

/// Two close microphones under one instrument: in its middle they hear the same, at nearly the same time
/// @return True where one of them is late.
static bool
report_pair(const FhSoundcheck* const take, const FhSpans* const spans, const bool polarity_known,
            FhFindings* const findings)
{
  FhLag lag = {0};
  if (!fh_check_lag(take, spans, 0, 1, &lag)) {
    return false;
  }
  const double ms = 1000.0 * lag.delay / take->rate;
  if (!polarity_known && lag.inverted) {
    find_polarity(take, 1, "close microphone 1", lag.strength, findings);
  }
  if (fabs(ms) > FH_PAIR_MS) {
    fh_find(findings, true, "pair_delay", ms, "ms",
            "Close microphone %d hears the middle of the instrument %.2f ms (%.1f frames) after the other: look for a "
            "delay in its channel, or set both equally far from the middle.",
            ms > 0.0 ? 2 : 1, fabs(ms), fabs(lag.delay));
  } else {
    fh_find(findings, false, "pair_delay", ms, "ms",
            "The close microphones hear the middle of the instrument %.2f ms (%.1f frames) apart.", fabs(ms),
            fabs(lag.delay));
  }
  return fabs(ms) > FH_PAIR_MS;
}

/// Arrival at the ambient microphone behind a close one, against what the distance allows
static void
report_arrival(const FhSoundcheck* const take, const size_t mic, const FhLag* const lag, const FhCheckOptions* const o,
               FhFindings* const findings)
{
  const double speed    = fh_speed_of_sound(o->celsius);
  const double seconds  = lag->delay / take->rate;
  const double expected = o->ambient_distance > 0.0 ? (o->ambient_distance - o->mic_distance) / speed : (double)NAN;
  const double slack    = 0.0015 + 0.15 * fabs(expected);
  if (fh_found(findings, "return")) {
    return; // which covers it
  }
  const bool   odd      = o->ambient_distance > 0.0 ? fabs(seconds - expected) > slack
                                                    : seconds < -FH_NEAREST || seconds > FH_FARTHEST;
  if (!odd && o->ambient_distance <= 0.0 && seconds * speed < FH_AMBIENT_NEAR && take->closes == 1) {
    fh_find(findings, true, "ambient_near", seconds * speed, "m",
            "The ambient microphone hears the soloist only %.1f ms after the %s, as if %.2f m farther away: take it "
            "farther from the soloist, nearer to the band.",
            1000.0 * seconds, fh_mic_name(take, mic), seconds * speed);
  } else if (!odd) {
    fh_find(findings, false, "arrival", 1000.0 * seconds, "ms",
            "The ambient microphone hears the soloist %.2f ms (%.1f frames) after the %s: %.2f m farther away.",
            1000.0 * seconds, lag->delay, fh_mic_name(take, mic), seconds * speed);
  } else if (!isnan(expected)) {
    fh_find(findings, true, "arrival", 1000.0 * seconds, "ms",
            "The ambient microphone hears the soloist %.2f ms (%.1f frames) %s the %s, where the distance gives "
            "%.1f ms after: look for a delay or a wireless link in one of the channels, or measure again.",
            1000.0 * fabs(seconds), fabs(lag->delay), seconds < 0.0 ? "before" : "after", fh_mic_name(take, mic), 1000.0 * expected);
  } else {
    fh_find(findings, true, "arrival", 1000.0 * seconds, "ms",
            "The ambient microphone hears the soloist %.2f ms (%.1f frames) %s the %s, as if %.1f m %s: look for a "
            "delay or a wireless link in one of the channels.",
            1000.0 * fabs(seconds), fabs(lag->delay), seconds < 0.0 ? "before" : "after", fh_mic_name(take, mic),
            fabs(seconds) * speed, seconds < 0.0 ? "nearer" : "farther away");
  }
}

/// Has the field by itself its strongest arrival at this lag, or, before the close microphone, one of its stronger ones?
static bool
field_arrives(const FhSoundcheck* const take, const FhSpans* const spans, const size_t mic, const double seconds)
{
  FhCorrelation* const c = fh_correlate(take->mic[mic], take->mic[take->closes], take->frames, take->rate, spans->list, spans->count,
                                        (size_t)(FH_MOST_DELAY * take->rate));
  const FhLag all  = c ? fh_correlation_peak(c, -FH_MOST_DELAY, FH_MOST_DELAY, NULL) : (FhLag){0};
  const FhLag here = c ? fh_correlation_peak(c, seconds - FH_SAME_LAG, seconds + FH_SAME_LAG, NULL) : (FhLag){0};
  fh_correlation_free(c);
  return all.strength > 0.0 && (fabs(all.delay / take->rate - seconds) < FH_SAME_LAG ||
                                (seconds < -FH_NEAREST && here.strength > FH_FIELD_SHARE * all.strength));
}

/// While the field plays, the ambient microphone may hear it above the soloist, and so may the correlation
/// @return True where the lag is the field's own; it has been reported as such.
static bool
is_field(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic, const FhLag* const lag,
         FhFindings* const findings)
{
  FhSpans* const spans = a->field ? malloc(sizeof(*spans)) : NULL;
  bool* const    field = a->field ? malloc(a->count * sizeof(*field)) : NULL;
  bool           same  = false;
  if (spans && field) {
    for (size_t i = 0; i < a->count; ++i) {
      field[i] = a->audible[i] && !a->solo[i];
    }
    fh_marked_spans(take, a, field, spans);
    same = field_arrives(take, spans, mic, lag->delay / take->rate);
  }
  free(spans);
  free(field);
  if (same) {
    fh_find(findings, false, "field_arrival", -1000.0 * lag->delay / take->rate, "ms",
            "The field reaches the ambient microphone %.2f ms (%.1f frames) %s the %s; it covers the soloist's own "
            "arrival, which takes a moment without the field.",
            1000.0 * fabs(lag->delay) / take->rate, fabs(lag->delay), lag->delay < 0.0 ? "before" : "after",
            fh_mic_name(take, mic));
  }
  return same;
}

/// Does the ambient microphone hear the field as loudly while the soloist plays? Then it is the field that correlates.
static bool
is_covered(const FhSoundcheck* const take, const FhActivity* const a)
{
  double* const levels = a->field ? malloc(a->count * sizeof(double)) : NULL;
  double        median[2] = {0.0, 1e9};
  for (int solo = 0; levels && solo < 2; ++solo) {
    size_t n = 0;
    for (size_t i = 0; i < a->count; ++i) {
      if (a->audible[i] && a->solo[i] == solo) {
        levels[n++] = a->level[take->closes][i];
      }
    }
    median[solo] = fh_percentile(levels, n, 0.5);
  }
  free(levels);
  return median[1] > median[0] - FH_COVERED && median[1] < median[0] + FH_RISES;
}

bool
fh_check_wiring(const FhSoundcheck* const   take,
                const FhActivity* const     activity,
                const FhSpans               spans[FH_MICS],
                const FhFar* const          far,
                const FhCheckOptions* const options,
                FhFindings* const           findings)
{
  if (fh_found(findings, "no_signal") || fh_found(findings, "same_signal")) { // nothing to compare but a pair
    if (take->closes == 2) {
      report_pair(take, &spans[2], false, findings);
    }
    return true;
  }
  FhLag  lags[FH_MICS];
  bool   read[FH_MICS] = {false}, own[FH_MICS] = {false};
  size_t count         = 0;
  const bool covered   = is_covered(take, activity);
  const bool odd       = fabs(far->lag.delay) > 0.0; // whatever it is that arrives
  for (size_t mic = 0; mic < take->closes; ++mic) {
    lags[mic] = (FhLag){0};
    read[mic] = fh_check_lag(take, &spans[mic], mic, take->closes, &lags[mic]);
    own[mic]  = odd || (read[mic] && (!covered || lags[mic].strength > FH_ONE_SOURCE));
    lags[mic] = odd ? far->lag : lags[mic];
    count += own[mic];
  }
  const bool late = take->closes == 2 && report_pair(take, &spans[2], count == 2, findings);
  for (size_t mic = 0; mic < take->closes; ++mic) {
    // Of a pair with a delay in one channel, that one has been named; the other still tells where the ambient stands
    const bool named = late && count == 2 && lags[mic].delay < lags[1 - mic].delay;
    if (read[mic] && !odd && !named && is_field(take, activity, mic, &lags[mic], findings)) {
      count = 0; // nor does it tell the soloist's polarity
    } else if (own[mic] && !named) {
      report_arrival(take, mic, &lags[mic], options, findings);
    } else if (!named) {
      fh_find(findings, false, "arrival", (double)NAN, "ms",
              "The arrival at the ambient microphone behind the %s cannot be read: the soloist is too soft there, or "
              "plays too little.", fh_mic_name(take, mic));
    }
  }
  if (count == take->closes) {
    report_polarity(take, lags, findings);
  }
  return true;
}
