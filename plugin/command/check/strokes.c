// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Strokes of a mallet run. Onsets: rise of the compressed spectrum (spectral flux, as in Bello et al., IEEE TSAP 13(5),
// 2005). Pitch: what is new against the moment before the onset, so that bars still ringing do not count, matched with
// the fundamental and the tuned partials of a bar.

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_WINDOW 0.04     // s, for onsets
#define FH_HOP 0.005       // s
#define FH_APART 0.07      // s between two strokes
#define FH_LISTEN 0.35     // s of a stroke at most, for its pitch
#define FH_LEVEL_TIME 0.25 // s of a stroke at most, for its level
#define FH_FAINTEST 50.0   // dB under the loudest stroke it is no stroke
#define FH_SEMITONE 1.0594630943592953

/// Rise of the spectrum from frame to frame
typedef struct {
  size_t  count, hop;
  double* rise;
  double* scratch;
} FhFlux;

static void
flux_free(FhFlux* const flux)
{
  free(flux->rise);
  free(flux->scratch);
}

/// Largest bin power of the close microphones together, for the compression
static double
strongest_bin(const FhSoundcheck* const take, FhSpectrum* const s)
{
  double most = 1e-12;
  for (size_t at = 0; at < take->frames; at += s->length) {
    for (size_t mic = 0; mic < take->closes; ++mic) {
      fh_spectrum_run(s, take->mic[mic], take->frames, (ptrdiff_t)at);
      for (size_t bin = 0; bin < s->bins; ++bin) {
        most = fmax(most, fh_spectrum_power(s, bin));
      }
    }
  }
  return most;
}

static bool
flux_find(const FhSoundcheck* const take, FhFlux* const flux)
{
  const size_t length = (size_t)(FH_WINDOW * take->rate);
  FhSpectrum   s;
  memset(flux, 0, sizeof(*flux));
  if (!fh_spectrum_init(&s, length, fh_power_of_two((double)length))) {
    return false;
  }
  flux->hop     = (size_t)(FH_HOP * take->rate);
  flux->count   = take->frames / flux->hop + 1;
  flux->rise    = calloc(flux->count, sizeof(double));
  flux->scratch = malloc(flux->count * sizeof(double));
  double* const history = calloc(3 * s.bins, sizeof(double)); // this frame and the two before
  const bool    ok      = flux->rise && flux->scratch && history;
  const double  gain    = ok ? 1e6 / strongest_bin(take, &s) : 0.0; // down to 60 dB under the strongest
  for (size_t i = 0; ok && i < flux->count; ++i) {
    double* const       now    = history + (i % 3) * s.bins;
    const double* const before = history + ((i + 1) % 3) * s.bins;
    memset(now, 0, s.bins * sizeof(*now));
    for (size_t mic = 0; mic < take->closes; ++mic) {
      fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)(i * flux->hop) - (ptrdiff_t)(length / 2));
      for (size_t bin = 0; bin < s.bins; ++bin) {
        now[bin] += fh_spectrum_power(&s, bin);
      }
    }
    for (size_t bin = 2; bin < s.bins; ++bin) {
      now[bin] = log1p(gain * now[bin]);
      flux->rise[i] += i >= 2 ? fmax(0.0, now[bin] - before[bin]) : 0.0;
    }
  }
  free(history);
  fh_spectrum_free(&s);
  if (!ok) {
    flux_free(flux);
  }
  return ok;
}

/// Is frame i a peak of the flux: the highest near it, and well above what is usual around it and in the take?
static bool
is_onset(const FhFlux* const flux, const size_t i, const double least)
{
  const size_t near = (size_t)(FH_APART / FH_HOP);
  const size_t wide = (size_t)(0.5 / FH_HOP);
  for (size_t k = i > near ? i - near : 0; k <= i + near && k < flux->count; ++k) {
    if (flux->rise[k] > flux->rise[i] || (k < i && flux->rise[k] == flux->rise[i])) {
      return false;
    }
  }
  const size_t from = i > wide ? i - wide : 0;
  const size_t to   = i + wide < flux->count ? i + wide : flux->count - 1;
  memcpy(flux->scratch, flux->rise + from, (to - from + 1) * sizeof(double));
  const double usual = fh_percentile(flux->scratch, to - from + 1, 0.5);
  return flux->rise[i] > least && flux->rise[i] > 2.5 * usual;
}

static bool
find_onsets(const FhSoundcheck* const take, FhStrokes* const strokes)
{
  FhFlux flux;
  if (!flux_find(take, &flux)) {
    return false;
  }
  memcpy(flux.scratch, flux.rise, flux.count * sizeof(double));
  const double least = 0.15 * fh_percentile(flux.scratch, flux.count, 0.99);
  bool         ok    = true;
  for (size_t i = 0; ok && i < flux.count; ++i) {
    if (is_onset(&flux, i, least)) {
      const FhStroke stroke = {.start = i * flux.hop, .end = take->frames};
      if (strokes->count) {
        strokes->list[strokes->count - 1].end = stroke.start;
      }
      ok = fh_strokes_add(strokes, &stroke);
    }
  }
  flux_free(&flux);
  return ok;
}

/// What a stroke brought: power per bin just after its onset, less the power just before
typedef struct {
  size_t  bins;
  double  width; ///< Hz
  double  lobe;  ///< Half the main lobe of the window, Hz
  double* fresh; ///< Never below zero
  double* after;
} FhFresh;

static bool
fresh_find(const FhSoundcheck* const take, const size_t mics[2], const size_t onset, const size_t length,
           FhFresh* const fresh)
{
  const size_t edge = (size_t)(0.01 * take->rate);
  FhSpectrum   s;
  memset(fresh, 0, sizeof(*fresh));
  if (!fh_spectrum_init(&s, length, fh_power_of_two(fmax(0.7 * take->rate, (double)length)))) {
    return false;
  }
  fresh->bins  = s.bins;
  fresh->width = take->rate / (double)s.size;
  fresh->lobe  = 2.0 * take->rate / (double)length;
  fresh->fresh = calloc(s.bins, sizeof(double));
  fresh->after = calloc(s.bins, sizeof(double));
  const bool ok = fresh->fresh && fresh->after;
  for (size_t mic = mics[0]; ok && mic < mics[1]; ++mic) {
    fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)(onset + edge / 2));
    for (size_t bin = 0; bin < s.bins; ++bin) {
      fresh->after[bin] += fh_spectrum_power(&s, bin);
      fresh->fresh[bin] += fh_spectrum_power(&s, bin);
    }
    fh_spectrum_run(&s, take->mic[mic], take->frames, (ptrdiff_t)onset - (ptrdiff_t)(edge + length));
    for (size_t bin = 0; bin < s.bins; ++bin) {
      fresh->fresh[bin] -= fh_spectrum_power(&s, bin);
    }
  }
  for (size_t bin = 0; ok && bin < s.bins; ++bin) {
    fresh->fresh[bin] = fmax(fresh->fresh[bin], 0.0);
  }
  fh_spectrum_free(&s);
  return ok;
}

static void
fresh_free(FhFresh* const fresh)
{
  free(fresh->fresh);
  free(fresh->after);
}

/// Power round a frequency, as far as the main lobe or half a semitone reaches
static double
power_round(const FhFresh* const fresh, const double* const power, const double hz)
{
  const double reach = fmax(fresh->lobe, 0.03 * hz);
  double       sum   = 0.0;
  for (size_t bin = (size_t)fmax(ceil((hz - reach) / fresh->width), 0.0);
       bin < fresh->bins && (double)bin * fresh->width <= hz + reach; ++bin) {
    sum += power[bin];
  }
  return sum;
}

/// Strongest new bin within 0.8 semitone of a frequency, finer by a parabola through the logarithms
static double
refine(const FhFresh* const fresh, const double hz)
{
  const double reach = pow(FH_SEMITONE, 0.8);
  size_t       best  = (size_t)(hz / fresh->width + 0.5);
  for (size_t bin = (size_t)ceil(hz / reach / fresh->width); bin + 1 < fresh->bins &&
       (double)bin * fresh->width <= hz * reach;
       ++bin) {
    best = fresh->fresh[bin] > fresh->fresh[best] ? bin : best;
  }
  if (best < 1 || best + 1 >= fresh->bins) {
    return hz;
  }
  const double left  = log(fresh->fresh[best - 1] + 1e-30);
  const double peak  = log(fresh->fresh[best] + 1e-30);
  const double right = log(fresh->fresh[best + 1] + 1e-30);
  const double bend  = left - 2.0 * peak + right;
  const double shift = bend < 0.0 ? 0.5 * (left - right) / bend : 0.0;
  return ((double)best + (fabs(shift) <= 1.0 ? shift : 0.0)) * fresh->width;
}

static double
note_hz(const int note)
{
  return 440.0 * pow(FH_SEMITONE, note - 69);
}

/// Match each note of the range; 0 where nothing new is tonal
static double
find_pitch(const FhFresh* const fresh, const FhCheckOptions* const o)
{
  double best = 0.0;
  double hz   = 0.0;
  for (int note = o->low - 1; note <= o->high + 1; ++note) {
    const double f     = note_hz(note);
    const double score = sqrt(power_round(fresh, fresh->fresh, f)) +
                         0.7 * sqrt(power_round(fresh, fresh->fresh, f * o->partials[0])) +
                         0.3 * sqrt(power_round(fresh, fresh->fresh, f * o->partials[1]));
    if (score > best) {
      best = score;
      hz   = f;
    }
  }
  if (hz <= 0.0 || power_round(fresh, fresh->fresh, hz) < 0.5 * power_round(fresh, fresh->after, hz)) {
    return 0.0; // the power did not even double: an echo, not a stroke
  }
  return refine(fresh, hz);
}

static double
partial_power(const FhFresh* const fresh, const FhCheckOptions* const o, const double hz)
{
  return power_round(fresh, fresh->fresh, hz) + power_round(fresh, fresh->fresh, hz * o->partials[0]) +
         power_round(fresh, fresh->fresh, hz * o->partials[1]);
}

static bool
measure_stroke(const FhSoundcheck* const take, const FhCheckOptions* const o, const size_t level_length,
               FhStroke* const stroke)
{
  const double gap    = (double)(stroke->end - stroke->start) / take->rate;
  const size_t length = (size_t)(fmin(fmax(gap - 0.02, 0.05), FH_LISTEN) * take->rate);
  FhFresh      fresh;
  bool         ok = fresh_find(take, (size_t[]){0, take->closes}, stroke->start, length, &fresh);
  stroke->hz      = ok ? find_pitch(&fresh, o) : 0.0;
  stroke->note    = stroke->hz > 0.0 ? (int)lround(69.0 + 12.0 * log2(stroke->hz / 440.0)) : 0;
  fresh_free(&fresh);
  double total = 0.0;
  for (size_t mic = 0; ok && stroke->hz > 0.0 && mic < take->closes; ++mic) {
    ok = fresh_find(take, (size_t[]){mic, mic + 1}, stroke->start, level_length, &fresh);
    if (ok) {
      const double power = partial_power(&fresh, o, stroke->hz);
      stroke->level[mic] = fh_decibels(power);
      total += power;
    }
    fresh_free(&fresh);
  }
  stroke->total = fh_decibels(total);
  return ok;
}

/// The same time for every stroke, so that levels compare: what most gaps leave
static size_t
common_length(const FhSoundcheck* const take, const FhStrokes* const strokes)
{
  double* const gaps = malloc((strokes->count + 1) * sizeof(double));
  double        gap  = FH_LEVEL_TIME;
  if (gaps) {
    for (size_t i = 0; i < strokes->count; ++i) {
      gaps[i] = (double)(strokes->list[i].end - strokes->list[i].start) / take->rate;
    }
    const double quick = fh_percentile(gaps, strokes->count, 0.1);
    gap                = fmin(fmax(quick - 0.02, 0.06), FH_LEVEL_TIME);
  }
  free(gaps);
  return (size_t)(gap * take->rate);
}

bool
fh_find_strokes(const FhSoundcheck* const take, const FhCheckOptions* const options, FhStrokes* const strokes)
{
  if (!find_onsets(take, strokes)) {
    return false;
  }
  const size_t length  = strokes->count ? common_length(take, strokes) : 0;
  double       loudest = -200.0;
  for (size_t i = 0; i < strokes->count; ++i) {
    if (!measure_stroke(take, options, length, &strokes->list[i])) {
      return false;
    }
    loudest = strokes->list[i].hz > 0.0 ? fmax(loudest, strokes->list[i].total) : loudest;
  }
  size_t kept = 0;
  for (size_t i = 0; i < strokes->count; ++i) {
    const FhStroke stroke = strokes->list[i];
    if (stroke.hz > 0.0 && stroke.total > loudest - FH_FAINTEST) {
      strokes->list[kept++] = stroke;
    }
  }
  strokes->count = kept;
  return true;
}
