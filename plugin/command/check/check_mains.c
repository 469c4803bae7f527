// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What is there all the time and is no music: mains hum and its harmonics; and what comes in gusts: wind

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_LINE_WINDOW 2.0   // s: lines 1 Hz apart are told apart
#define FH_HARMONICS 8
#define FH_LINE_ABOVE 6.0    // dB over its surroundings makes a line
#define FH_LINES 2           // of one mains frequency, which music without it does not show
#define FH_AUDIBLE_HUM 55.0  // dB under the loud moments it no longer matters
#define FH_WIND_LOW 10.0     // Hz
#define FH_WIND_HIGH 40.0    // Hz: under the lowest tuba
#define FH_WIND_BELOW 25.0   // dB under the playing it no longer matters
#define FH_WIND_SHARE 0.7    // of the time it is weaker; thumps are rarer
#define FH_WIND_LULL 0.1     // of the time it is weaker still
#define FH_WIND_SWINGS 2.5   // dB from lulls to gusts, at least: an even breeze, 1.5, is learnt with the field
#define FH_WIND_STORM 3.0    // dB under the playing from where on even wind is too much
#define FH_WIND_COHERENCE 0.65
#define FH_WIND_SLOPE 3.5    // dB by which its density falls from there to two octaves higher, at least
#define FH_WIND_GENTLE 1.0   // the same where the microphones have nothing in common there
#define FH_WIND_APART 0.25   // coherence of that

/// Spectra of one microphone over time
typedef struct {
  size_t  windows, bins; ///< Bins up to 1 kHz
  double  width;         ///< Hz between bins
  double* power;         ///< [window][bin]
  double* loud;          ///< Power 100 Hz to 8 kHz per window
} FhSlow;

static void
slow_free(FhSlow* const slow)
{
  free(slow->power);
  free(slow->loud);
  memset(slow, 0, sizeof(*slow));
}

static bool
slow_init(FhSlow* const slow, const FhSoundcheck* const take, const size_t mic)
{
  const size_t length = (size_t)(FH_LINE_WINDOW * take->rate);
  const size_t hop    = length / 2;
  FhSpectrum   s;
  memset(slow, 0, sizeof(*slow));
  slow->windows = take->frames > length ? (take->frames - length) / hop + 1 : 0;
  if (!fh_spectrum_init(&s, length, fh_power_of_two((double)length))) {
    return false;
  }
  slow->width = take->rate / (double)s.size;
  slow->bins  = (size_t)(1000.0 / slow->width);
  slow->power = malloc((slow->windows * slow->bins + 1) * sizeof(double));
  slow->loud  = malloc((slow->windows + 1) * sizeof(double));
  const bool ok = slow->power && slow->loud;
  for (size_t w = 0; ok && w < slow->windows; ++w) {
    fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)(w * hop));
    for (size_t bin = 0; bin < slow->bins; ++bin) {
      slow->power[w * slow->bins + bin] = fh_spectrum_power(&s, bin);
    }
    slow->loud[w] = fh_spectrum_band(&s, take->rate, 100.0, 8000.0);
  }
  fh_spectrum_free(&s);
  if (!ok) {
    slow_free(slow);
  }
  return ok;
}

/// Power of a band that is there nearly all the time: the lower fifth over time
static double
lasting(const FhSlow* const slow, const double low, const double high, double* const scratch)
{
  for (size_t w = 0; w < slow->windows; ++w) {
    scratch[w] = 0.0;
    for (size_t bin = (size_t)ceil(low / slow->width); (double)bin * slow->width <= high && bin < slow->bins; ++bin) {
      scratch[w] += slow->power[w * slow->bins + bin];
    }
  }
  return fh_percentile(scratch, slow->windows, 0.2);
}

/// Power of a lasting line near `hz`; 0 where nothing stands out from both sides
static double
line(const FhSlow* const slow, const double hz, double* const scratch)
{
  const double half   = 1.3; // Hz: a Hann main lobe of two seconds and a generator 0.3 Hz off
  const double here   = lasting(slow, hz - half, hz + half, scratch);
  const double below  = lasting(slow, hz - 3.0 * half, hz - half, scratch);
  const double above  = lasting(slow, hz + half, hz + 3.0 * half, scratch);
  return fh_decibels(here) > fh_decibels(fmax(below, above)) + FH_LINE_ABOVE ? here : 0.0;
}

static void
check_hum(const FhSoundcheck* const take, const size_t mic, const FhSlow* const slow, double* const scratch,
          FhFindings* const findings)
{
  for (size_t i = 0; i < slow->windows; ++i) {
    scratch[i] = slow->loud[i];
  }
  const double loud      = fh_decibels(fh_percentile(scratch, slow->windows, 0.95));
  double       best      = 0.0;
  double       mains     = 0.0;
  int          harmonics = 0;
  for (double hz = 50.0; hz <= 60.0; hz += 10.0) {
    double sum   = 0.0;
    int    lines = 0;
    for (int h = 1; h <= FH_HARMONICS; ++h) {
      const double power = line(slow, hz * h, scratch);
      // 300 Hz belongs to both; count what only one of them explains
      const bool shared = (int)lround(hz * h) % 300 == 0;
      sum += power;
      lines += power > 0.0 && !shared;
    }
    if (lines && sum > best) {
      best      = sum;
      mains     = hz;
      harmonics = lines;
    }
  }
  const double level = fh_decibels(best);
  // A lone line may be a sustained note; mains nearly always bring several
  if (harmonics >= FH_LINES && level > loud - FH_AUDIBLE_HUM) {
    fh_find(findings, true, "hum", level, "dBFS",
            "The %s hums at %.0f Hz, %.0f dBFS in %d lines: look for a second earth, a supply beside the cable or a "
            "broken shield; never lift a safety earth.",
            fh_mic_name(take, mic), mains, level, harmonics);
  }
}

/// Coherence of two microphones below the music: wind is each one's own, a rumble in the ground is not
static bool
low_coherence(const FhSoundcheck* const take, const size_t a, const size_t b, double* const coherence)
{
  const size_t length = 2 * (size_t)(0.125 * take->rate);
  FhSpectrum   s[2];
  bool         ok = fh_spectrum_init(&s[0], length, length);
  ok              = fh_spectrum_init(&s[1], length, length) && ok;
  double power[2] = {0.0, 0.0};
  double weighted = 0.0;
  double cross[16][4];
  memset(cross, 0, sizeof(cross));
  for (size_t at = 0; ok && at + length <= take->frames; at += length / 2) {
    fh_spectrum_run(&s[0], take->mic[a], take->frames, (ptrdiff_t)at);
    fh_spectrum_run(&s[1], take->mic[b], take->frames, (ptrdiff_t)at);
    for (size_t bin = 3; bin <= 10; ++bin) { // 12 to 40 Hz
      const double* const x = s[0].out[bin];
      const double* const y = s[1].out[bin];
      cross[bin][0] += x[0] * y[0] + x[1] * y[1];
      cross[bin][1] += x[0] * y[1] - x[1] * y[0];
      cross[bin][2] += x[0] * x[0] + x[1] * x[1];
      cross[bin][3] += y[0] * y[0] + y[1] * y[1];
    }
  }
  for (size_t bin = 3; bin <= 10; ++bin) {
    const double* const c = cross[bin];
    weighted += sqrt(c[0] * c[0] + c[1] * c[1]);
    power[0] += c[2];
    power[1] += c[3];
  }
  *coherence = power[0] > 0.0 && power[1] > 0.0 ? weighted * weighted / (power[0] * power[1]) : 1.0;
  fh_spectrum_free(&s[0]);
  fh_spectrum_free(&s[1]);
  return ok;
}

/// Power of a band in windows, and of those what a share of the time is weaker than, dB
static double
gust_level(const FhSlow* const slow, const double low, const double high, const double share, double* const scratch)
{
  for (size_t w = 0; w < slow->windows; ++w) {
    scratch[w] = 0.0;
    for (size_t bin = (size_t)(low / slow->width); (double)bin * slow->width <= high; ++bin) {
      scratch[w] += slow->power[w * slow->bins + bin];
    }
  }
  return fh_decibels(fh_percentile(scratch, slow->windows, share));
}

static bool
check_wind(const FhSoundcheck* const take, const size_t mic, const FhSlow* const slow, double* const scratch,
           FhFindings* const findings)
{
  const double gusts = gust_level(slow, FH_WIND_LOW, FH_WIND_HIGH, FH_WIND_SHARE, scratch);
  const double lull  = gust_level(slow, FH_WIND_LOW, FH_WIND_HIGH, FH_WIND_LULL, scratch);
  const double above = gust_level(slow, 4.0 * FH_WIND_LOW, 4.0 * FH_WIND_HIGH, FH_WIND_SHARE, scratch) -
                       10.0 * log10(4.0); // as dense
  for (size_t w = 0; w < slow->windows; ++w) {
    scratch[w] = slow->loud[w];
  }
  const double loud      = fh_decibels(fh_percentile(scratch, slow->windows, 0.9));
  double       coherence = 0.0;
  static const char* const brief[] = {"plosive", "handling", "pops"}; // come and go, which wind does not
  for (size_t i = 0; i < sizeof(brief) / sizeof(brief[0]); ++i) {
    if (fh_found_at(findings, brief[i], fh_mic_name(take, mic))) {
      return true;
    }
  }
  if (gusts < loud - FH_WIND_BELOW || gusts < -70.0 || gusts < above + FH_WIND_GENTLE ||
      (gusts < lull + FH_WIND_SWINGS && gusts < loud - FH_WIND_STORM)) {
    return true;
  }
  if (!low_coherence(take, mic, mic == take->closes ? 0 : take->closes, &coherence)) {
    return false;
  }
  if (coherence < FH_WIND_APART || (coherence < FH_WIND_COHERENCE && gusts > above + FH_WIND_SLOPE)) {
    fh_find(findings, true, "wind", gusts, "dBFS",
            "Wind on the %s: gusts of %.0f dBFS below %.0f Hz, %.0f dB %s the playing: fit a windscreen, find "
            "shelter, and cut the lows at the desk.",
            fh_mic_name(take, mic), gusts, FH_WIND_HIGH, fabs(loud - gusts), gusts > loud ? "over" : "under");
  }
  return true;
}

bool
fh_check_mains_and_wind(const FhSoundcheck* const take, FhFindings* const findings)
{
  bool ok = true;
  for (size_t mic = 0; ok && mic <= take->closes; ++mic) {
    FhSlow slow;
    ok                    = slow_init(&slow, take, mic);
    double* const scratch = ok ? malloc((slow.windows + 1) * sizeof(double)) : NULL;
    if (scratch && slow.windows >= 3) {
      check_hum(take, mic, &slow, scratch, findings);
      ok = check_wind(take, mic, &slow, scratch, findings);
    }
    ok = ok && scratch;
    free(scratch);
    slow_free(&slow);
  }
  return ok;
}
