// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A loudspeaker that gives the soloist back: the close microphone hears everything once more, some 25 to 70 ms later.
// The power cepstrum shows such echoes (Bogert, Healy and Tukey, 1963). Pitch shows in it, too, but elsewhere for every
// note: only what quarters of the take agree on is an echo.

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define FH_SIZE 16384
#define FH_HOP 4096
#define FH_PARTS 4
#define FH_LOW 300.0    // Hz
#define FH_HIGH 4500.0  // Hz
#define FH_SMOOTH 45.0  // Hz to each side: what is wider is colour, no ripple
#define FH_LATE 0.070   // s
#define FH_EARLIEST 0.02 // s
#define FH_AROUND 0.012 // s by which an echo in the close microphone may come before or after what reaches the ambient one
#define FH_LEAST 16     // windows
#define FH_ECHO 0.07    // of the direct sound
#define FH_CLEARLY 9.5  // times what is usual at other times
#define FH_LOUD_ECHO 0.12 // of the direct sound: without a field to compare with
#define FH_DIRECT 7.0   // times the usual correlation: the direct sound reaches the ambient microphone, too

typedef struct {
  FhSpectrum   spectrum;
  FhTransform* transform;
  size_t*      at;                ///< Windows in which the soloist plays
  size_t       windows;
  double*      mean;              ///< Logarithm of power per bin
  FhBin*       in;
  double*      cepstrum[FH_PARTS];
  double*      scratch;
} FhWork;

static bool
work_init(FhWork* const w, const FhSoundcheck* const take)
{
  memset(w, 0, sizeof(*w));
  bool ok      = fh_spectrum_init(&w->spectrum, FH_SIZE, FH_SIZE);
  w->transform = fh_transform_new(FH_SIZE);
  w->at        = malloc((take->frames / FH_HOP + 1) * sizeof(*w->at));
  w->mean      = malloc((FH_SIZE / 2 + 1) * sizeof(double));
  w->in        = malloc((FH_SIZE / 2 + 1) * sizeof(FhBin));
  w->scratch   = malloc(FH_SIZE * sizeof(double));
  for (int part = 0; part < FH_PARTS; ++part) {
    w->cepstrum[part] = malloc(FH_SIZE * sizeof(double));
    ok                = ok && w->cepstrum[part];
  }
  return ok && w->transform && w->at && w->mean && w->in && w->scratch;
}

static void
work_free(FhWork* const w)
{
  fh_spectrum_free(&w->spectrum);
  fh_transform_free(w->transform);
  free(w->at);
  free(w->mean);
  free(w->in);
  free(w->scratch);
  for (int part = 0; part < FH_PARTS; ++part) {
    free(w->cepstrum[part]);
  }
}

/// Cepstrum of some windows, so that an echo of a gain g gives g
static void
run_part(const FhSoundcheck* const take, FhWork* const w, const int part)
{
  const double width = take->rate / FH_SIZE;
  const size_t low   = (size_t)(FH_LOW / width);
  const size_t high  = (size_t)(FH_HIGH / width);
  const size_t half  = (size_t)(FH_SMOOTH / width);
  const size_t from  = w->windows * (size_t)part / FH_PARTS;
  const size_t to    = w->windows * (size_t)(part + 1) / FH_PARTS;
  double       sum   = 0.0;
  memset(w->mean, 0, (FH_SIZE / 2 + 1) * sizeof(double));
  memset(w->in, 0, (FH_SIZE / 2 + 1) * sizeof(FhBin));
  for (size_t i = from; i < to; ++i) {
    fh_spectrum_run(&w->spectrum, take->mic[0], take->frames, (ptrdiff_t)w->at[i]);
    for (size_t bin = low - half; bin <= high + half; ++bin) {
      w->mean[bin] += log(fh_spectrum_power(&w->spectrum, bin) + 1e-14) / (double)(to - from);
    }
  }
  for (size_t bin = low; bin < high; ++bin) {
    double around = 0.0;
    for (size_t k = bin - half; k <= bin + half; ++k) {
      around += w->mean[k] / (double)(2 * half + 1);
    }
    const double taper = 0.5 - 0.5 * cos(2.0 * PI * (double)(bin - low) / (double)(high - low));
    w->in[bin][0]      = taper * (w->mean[bin] - around);
    sum += taper;
  }
  fh_transform_back(w->transform, (const FhBin*)w->in, w->cepstrum[part]);
  for (size_t i = 0; i < FH_SIZE / 2; ++i) {
    w->cepstrum[part][i] /= 2.0 * sum;
  }
}

/// What the parts agree on at a time: their second smallest, 0 where their signs differ
static double
agreed(const FhWork* const w, const size_t at)
{
  double values[FH_PARTS];
  for (int part = 0; part < FH_PARTS; ++part) {
    values[part] = w->cepstrum[part][at];
  }
  fh_percentile(values, FH_PARTS, 0.5); // sorts
  return values[1] > 0.0 ? values[1] : values[2] < 0.0 ? values[2] : 0.0;
}

/// The strongest echo between two times, of the direct sound. @param at Receives when, points.
static double
strongest(const FhWork* const w, const double rate, const double from, const double to, size_t* const at)
{
  const size_t end = (size_t)fmin(to * rate, FH_SIZE / 2);
  *at              = (size_t)(from * rate);
  for (size_t i = *at; i < end; ++i) {
    *at = fabs(agreed(w, i)) > fabs(agreed(w, *at)) ? i : *at;
  }
  return fabs(agreed(w, *at));
}

static double
usual_echo(const FhWork* const w, const double rate)
{
  const size_t from = (size_t)(FH_EARLIEST * rate);
  const size_t to   = (size_t)fmin(FH_LATE * rate, FH_SIZE / 2);
  for (size_t i = from; i < to; ++i) {
    w->scratch[i - from] = fabs(w->cepstrum[0][i]);
  }
  return fh_percentile(w->scratch, to - from, 0.5);
}

/// What reaches the ambient microphone late comes from a loudspeaker, if the field is not late there as well, or if the direct sound
/// is there, too, and the close microphone has an echo of about that time; else its whole channel is late. An echo in the close
/// microphone alone is no proof: drummed rhythms and the lowest notes have such ripples of their own.
static void
judge(const FhSoundcheck* const take, const FhWork* const w, const FhArrivals* const arrivals, FhFindings* const findings)
{
  const bool   in_place = arrivals->field_in_place;
  const double far      = arrivals->list[FH_ARRIVES_FAR].lag.delay / take->rate;
  size_t       at;
  const double gain = strongest(w, take->rate, fmax(far - FH_AROUND, FH_EARLIEST), far + FH_AROUND, &at);
  const bool   echo = gain > (in_place ? FH_ECHO : FH_LOUD_ECHO) && gain > FH_CLEARLY * usual_echo(w, take->rate);
  if (echo && (in_place || arrivals->list[FH_ARRIVES_DIRECT].stands > FH_DIRECT)) {
    fh_find(findings, true, "return", 20.0 * log10(gain), "dB",
            "A loudspeaker gives the soloist back to the close microphone, %.0f ms late and %.0f dB under the direct sound: "
            "mute the monitor or turn it away, and check with the main speakers down.",
            1000.0 * (double)at / take->rate, -20.0 * log10(gain));
  } else if (in_place) {
    fh_find(findings, true, "return", 1000.0 * far, "ms",
            "The soloist reaches the ambient microphone %.0f ms late, which the field does not, as from a loudspeaker: mute the monitor "
            "or turn it away, and check with the main speakers down.",
            1000.0 * far);
  }
}

bool
fh_check_return(const FhSoundcheck* const take, const FhActivity* const a, const FhArrivals* const arrivals, const FhCheckOptions* const options,
                FhFindings* const findings)
{
  double       slack;
  const double latest = fmax(0.0, fh_expected_arrival(options, &slack) + slack); // an ambient microphone may stand that far away
  if (arrivals->first != FH_ARRIVES_FAR || !arrivals->clear || arrivals->list[FH_ARRIVES_FAR].lag.delay < latest * take->rate) {
    return true;
  }
  FhWork     w;
  const bool ok = work_init(&w, take);
  for (size_t at = 0; ok && at + FH_SIZE <= take->frames; at += FH_HOP) {
    const size_t frame = (at + FH_SIZE / 2) / a->hop;
    if (frame < a->count && a->solo[frame]) {
      w.at[w.windows++] = at;
    }
  }
  if (ok && w.windows >= FH_LEAST) {
    for (int part = 0; part < FH_PARTS; ++part) {
      run_part(take, &w, part);
    }
    judge(take, &w, arrivals, findings);
  }
  work_free(&w);
  return ok;
}
