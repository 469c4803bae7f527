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
#define FH_AMBIENT_NEAR 1.0   // m more than the close one
#define FH_SURE_OF_SIGN 10.5  // times the usual correlation: below, low instruments in music have either sign
#define FH_SIGN_OVER_FIELD 6.0 // times what the field has at that lag
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

double
fh_expected_arrival(const FhCheckOptions* const o, double* const slack)
{
  const double expected = o->ambient_distance > 0.0 ? (o->ambient_distance - o->mic_distance) / fh_speed_of_sound(o->celsius) : (double)NAN;
  *slack                = 0.0015 + 0.15 * fabs(expected);
  return expected;
}

/// Arrival at the ambient microphone behind a close one, against what the distance allows
static void
report_arrival(const FhSoundcheck* const take, const size_t mic, const FhLag* const lag, const FhCheckOptions* const o,
               FhFindings* const findings)
{
  const double speed    = fh_speed_of_sound(o->celsius);
  const double seconds  = lag->delay / take->rate;
  double       slack;
  const double expected = fh_expected_arrival(o, &slack);
  if (fh_found(findings, "return")) {
    return; // which covers it
  }
  const bool elsewhere = fabs(seconds - expected) > slack;
  const bool nowhere   = seconds < -FH_NEAREST || seconds > FH_FARTHEST;
  const bool odd       = isnan(expected) ? nowhere : elsewhere && (nowhere || !o->planned);
  if (!odd && isnan(expected) && seconds * speed < FH_AMBIENT_NEAR && take->closes == 1) {
    fh_find(findings, true, "ambient_near", seconds * speed, "m",
            "The ambient microphone hears the soloist only %.1f ms after the %s, as if %.2f m farther away: take it "
            "farther from the soloist, nearer to the band.",
            1000.0 * seconds, fh_mic_name(take, mic), seconds * speed);
  } else if (!odd && elsewhere) {
    fh_find(findings, false, "arrival", 1000.0 * seconds, "ms",
            "The ambient microphone hears the soloist %.2f ms (%.1f frames) after the %s: %.2f m farther away, where the plan has %.2f m.",
            1000.0 * seconds, lag->delay, fh_mic_name(take, mic), seconds * speed, expected * speed);
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

static void
report_unread(const FhSoundcheck* const take, const size_t mic, FhFindings* const findings)
{
  fh_find(findings, false, "arrival", (double)NAN, "ms",
          "The arrival at the ambient microphone behind the %s cannot be read: the soloist is too soft there, or plays too little.",
          fh_mic_name(take, mic));
}

/// One close microphone, and a soloist or players that stay where they are
static void
report_one(const FhSoundcheck* const take, const FhArrivals* const arrivals, const FhCheckOptions* const o, FhFindings* const findings)
{
  const FhArrives        first = arrivals->first;
  const FhArrival* const a     = &arrivals->list[first];
  const bool             clean = !fh_found_at(findings, "noise", fh_mic_name(take, 0)); // else it hears more than the soloist
  const bool             apart = arrivals->clear && clean;
  // Where nothing tells what the field does by itself, it may be the field that comes before
  const bool field = first == FH_ARRIVES_BEFORE && o->kind == FH_CHECK_SOLOIST && !arrivals->field_heard;
  if (first == FH_ARRIVES_NEVER || field || ((first == FH_ARRIVES_BEFORE || first == FH_ARRIVES_FAR) && !apart)) {
    report_unread(take, 0, findings);
    return;
  }
  report_arrival(take, 0, &a->lag, o, findings);
  if (apart && a->stands > FH_SURE_OF_SIGN && a->stands > FH_SIGN_OVER_FIELD * a->field) {
    report_polarity(take, &a->lag, findings);
  }
}

/// Strokes over bars, each elsewhere, and two close microphones
static void
report_bars(const FhSoundcheck* const take, const FhSpans spans[FH_MICS], const FhCheckOptions* const options, FhFindings* const findings)
{
  FhLag  lags[FH_MICS];
  bool   read[FH_MICS] = {false};
  size_t count         = 0;
  for (size_t mic = 0; mic < take->closes; ++mic) {
    lags[mic] = (FhLag){0};
    read[mic] = fh_check_lag(take, &spans[mic], mic, take->closes, &lags[mic]);
    count += read[mic];
  }
  const bool late = take->closes == 2 && report_pair(take, &spans[2], count == 2, findings);
  for (size_t mic = 0; mic < take->closes; ++mic) {
    // Of a pair with a delay in one channel, that one has been named; the other still tells where the ambient stands
    const bool named = late && count == 2 && lags[mic].delay < lags[1 - mic].delay;
    if (read[mic] && !named) {
      report_arrival(take, mic, &lags[mic], options, findings);
    } else if (!named) {
      report_unread(take, mic, findings);
    }
  }
  if (count == take->closes) {
    report_polarity(take, lags, findings);
  }
}

void
fh_check_wiring(const FhSoundcheck* const   take,
                const FhSpans               spans[FH_MICS],
                const FhArrivals* const     arrivals,
                const FhCheckOptions* const options,
                FhFindings* const           findings)
{
  if (fh_found(findings, "no_signal") || fh_found(findings, "same_signal")) { // nothing to compare but a pair
    if (take->closes == 2) {
      report_pair(take, &spans[2], false, findings);
    }
  } else if (take->closes == 1 && !spans->moving) {
    report_one(take, arrivals, options, findings);
  } else {
    report_bars(take, spans, options, findings);
  }
}
