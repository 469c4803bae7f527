// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// What happens now and then and is no music: gaps of a radio link, pops of a contact, thumps of a hand or of breath

#include "command/check/check.h"
#include "command/measure/filter.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>

#define FH_GAP_DEEP 1e-4    // power of a gap against what is before it: 40 dB, within a millisecond
#define FH_GAP_SHORT 8      // ms
#define FH_GAP_LONG 300     // ms
#define FH_GAP_LOUD 1e-3    // power before a gap against the loudest
#define FH_GAP_EMPTY 0.1    // power against the microphone's own noise: a rest between notes keeps that
#define FH_GAPS 2           // one may be an edit
#define FH_POP_STEP 0.03    // step against the loudest sample
#define FH_POP_SHARP 3.0    // step against the other steps around it
#define FH_POP_STAYS 0.4    // of the step that is left over the next 2 ms
#define FH_POPS 2
#define FH_THUMP_HZ 45.0
#define FH_THUMP_BLOCK 0.02 // s
#define FH_THUMP_ABOVE 400.0 // power over what is usual around it
#define FH_THUMP_LOUD 0.1   // power against the loud moments
#define FH_THUMP_OWN 6.0    // times more than the ambient microphone has of it
#define FH_THUMPS 3
#define FH_BEGINS 6.0       // dB louder than 60 ms ago: a note begins

/// Mean power of blocks; free it. @return NULL without memory.
static double*
block_power(const float* const x, const size_t frames, const size_t block, size_t* const count)
{
  *count            = frames / block;
  double* const out = calloc(*count + 1, sizeof(double));
  for (size_t k = 0; out && k < *count; ++k) {
    for (size_t i = k * block; i < (k + 1) * block; ++i) {
      out[k] += (double)x[i] * (double)x[i] / (double)block;
    }
  }
  return out;
}

static double
most_of(const double* const p, const size_t from, const size_t to)
{
  double most = 0.0;
  for (size_t k = from; k < to; ++k) {
    most = fmax(most, p[k]);
  }
  return most;
}

/// What a microphone never falls below by itself: the quietest moments that are no digital silence
static double
floor_of(const double* const p, const size_t count)
{
  double* const held = malloc((count + 1) * sizeof(double));
  size_t        n    = 0;
  for (size_t k = 0; held && k < count; ++k) {
    if (p[k] > 1e-13) {
      held[n++] = p[k];
    }
  }
  const double least = n ? fh_percentile(held, n, 0.02) : 0.0;
  free(held);
  return least;
}

/// Sound that is gone from one millisecond to the next, and comes back
static bool
check_gaps(const FhSoundcheck* const take, const size_t mic, FhFindings* const findings)
{
  size_t        count = 0, gaps = 0, first = 0;
  double        longest = 0.0;
  double* const p       = block_power(take->mic[mic], take->frames, (size_t)(0.001 * take->rate), &count);
  const double  loud    = p ? most_of(p, 0, count) : 0.0;
  const double  least   = p ? floor_of(p, count) : 0.0;
  for (size_t k = 6; p && k + 6 < count; ++k) {
    const double before = most_of(p, k - 5, k - 1);
    size_t       end    = k;
    while (end + 6 < count && end < k + FH_GAP_LONG && p[end] <= FH_GAP_DEEP * before) {
      ++end;
    }
    const bool gap = before > FH_GAP_LOUD * loud && end - k >= FH_GAP_SHORT && end - k < FH_GAP_LONG &&
                     p[k - 2] > 10.0 * FH_GAP_DEEP * before && most_of(p, k + 1, end - 1) < FH_GAP_EMPTY * least &&
                     most_of(p, end, end + 5) > 10.0 * fmax(most_of(p, k, end - 1), 1e-12);
    if (gap) {
      first   = gaps++ ? first : k;
      longest = fmax(longest, (double)(end - k));
    }
    k = end > k ? end : k;
  }
  if (gaps >= FH_GAPS) {
    fh_find(findings, true, "dropouts", (double)gaps, "times",
            "The %s drops out %zu times, up to %.0f ms, first at %.1f s: bring the receiver into sight of the "
            "transmitter, change battery and channel, or use a cable.",
            fh_mic_name(take, mic), gaps, longest, 0.001 * (double)first);
  }
  free(p);
  return p != NULL;
}

static double
mean_of(const float* const x, const size_t from, const size_t to)
{
  double sum = 0.0;
  for (size_t i = from; i < to; ++i) {
    sum += (double)x[i];
  }
  return sum / (double)(to - from);
}

/// Does the signal jump at `at` as nothing around it does, and stay there?
static bool
is_pop(const float* const x, const size_t at, const size_t around)
{
  const double step  = (double)x[at] - (double)x[at - 1];
  double       other = 0.0, before = 0.0;
  for (size_t i = at - around; i < at + around; ++i) {
    const double d = fabs((double)x[i] - (double)x[i - 1]);
    other          = i + 1 < at || i > at + 1 ? fmax(other, d) : other;
    before         = i + 1 < at ? fmax(before, d) : before;
    if (FH_POP_SHARP * other >= fabs(step)) {
      return false; // as most do, after a few frames
    }
  }
  const double stays = mean_of(x, at, at + around / 2) - mean_of(x, at - around / 2, at);
  return before > 0.0 && stays * step > 0.0 &&
         fabs(stays) > FH_POP_STAYS * fabs(step);
}

static void
check_pops(const FhSoundcheck* const take, const size_t mic, FhFindings* const findings)
{
  if (fh_found_at(findings, "dropouts", fh_mic_name(take, mic))) {
    return; // whose ends are steps, too
  }
  const float* const x      = take->mic[mic];
  const size_t       around = (size_t)(0.004 * take->rate);
  double             peak   = 0.0;
  size_t             pops   = 0, first = 0;
  for (size_t i = 0; i < take->frames; ++i) {
    peak = fmax(peak, fabs((double)x[i]));
  }
  for (size_t i = around + 1; i + around < take->frames; ++i) {
    const double step = fabs((double)x[i] - (double)x[i - 1]);
    if (step > FH_POP_STEP * peak && step > FH_POP_SHARP * fabs((double)x[i - 1] - (double)x[i - 2]) &&
        step > 2.0 * fabs((double)x[i + 2] - (double)x[i + 1]) && is_pop(x, i, around)) {
      first = pops++ ? first : i;
      i += around;
    }
  }
  if (pops >= FH_POPS) {
    fh_find(findings, true, "pops", (double)pops, "times",
            "The %s pops %zu times, first at %.1f s: a contact breaks under phantom power: exchange the cable, then the "
            "input; mute before you unplug.",
            fh_mic_name(take, mic), pops, (double)first / take->rate);
  }
}

/// Low part of a microphone in blocks
static double*
low_blocks(const FhSoundcheck* const take, const size_t mic, size_t* const count)
{
  float* const low = malloc(take->frames * sizeof(float));
  FhFilter     f[2] = {fh_filter_make(take->rate, 8.0, FH_THUMP_HZ), fh_filter_make(take->rate, 8.0, FH_THUMP_HZ)};
  double*      out  = NULL;
  for (size_t i = 0; low && i < take->frames; ++i) {
    low[i] = (float)fh_filter_run(&f[1], fh_filter_run(&f[0], (double)take->mic[mic][i]));
  }
  if (low) {
    out = block_power(low, take->frames, (size_t)(FH_THUMP_BLOCK * take->rate), count);
  }
  free(low);
  return out;
}

/// A block far above what is usual a second around it, that comes and goes within a fifth of a second
static bool
is_thump(const double* const p, const size_t count, const size_t k, double* const scratch)
{
  const size_t wide = 50, brief = 10;
  const size_t from = k > wide ? k - wide : 0;
  const size_t to   = k + wide < count ? k + wide : count;
  for (size_t i = from; i < to; ++i) {
    scratch[i - from] = p[i];
    if (i + 4 > k && i < k + 5 && p[i] > p[k]) {
      return false;
    }
  }
  const double usual  = fh_percentile(scratch, to - from, 0.5);
  const double before = k > brief ? p[k - brief] : 0.0;
  const double after  = k + 2 * brief < count ? p[k + 2 * brief] : 0.0;
  return p[k] > FH_THUMP_ABOVE * usual && before < 0.05 * p[k] && after < 0.05 * p[k];
}

/// Does playing begin within a twentieth of a second of that time?
static bool
begins(const FhActivity* const a, const double rate, const double seconds)
{
  const double frame = seconds * rate / (double)a->hop;
  const size_t from  = frame > 25.0 ? (size_t)(frame - 5.0) : 20;
  for (size_t i = from; i < from + 10 && i < a->count; ++i) {
    if (a->close[i] > a->close[i - 6] + FH_BEGINS && a->active[i]) {
      return true;
    }
  }
  return false;
}

static bool
check_thumps(const FhSoundcheck* const take, const FhActivity* const a, const bool sings, const size_t mic,
             FhFindings* const findings)
{
  size_t        count = 0, thumps = 0, begun = 0;
  double        loudest = 0.0;
  double* const p       = low_blocks(take, mic, &count);
  double* const q       = low_blocks(take, take->closes, &count);
  double* const scratch = malloc(128 * sizeof(double));
  const bool    ok      = p && q && scratch;
  const double  loud    = pow(10.0, a->peak[mic] / 10.0);
  const double  other   = pow(10.0, a->peak[take->closes] / 10.0);
  for (size_t k = 10; ok && k + 10 < count; ++k) {
    if (p[k] > FH_THUMP_LOUD * loud && p[k] / loud > FH_THUMP_OWN * q[k] / other && is_thump(p, count, k, scratch)) {
      ++thumps;
      loudest = fmax(loudest, p[k]);
      begun += begins(a, take->rate, FH_THUMP_BLOCK * ((double)k + 0.5));
    }
  }
  if (ok && thumps >= FH_THUMPS && sings && 5 * begun >= 3 * thumps) {
    fh_find(findings, true, "plosive", fh_decibels(loudest), "dBFS",
            "Breath pops into the %s %zu times where notes begin: turn it out of the air stream, fit a foam, and cut the "
            "lows at the desk.",
            fh_mic_name(take, mic), thumps);
  } else if (ok && thumps >= FH_THUMPS) {
    fh_find(findings, true, "handling", fh_decibels(loudest), "dBFS",
            "The %s is knocked %zu times: see that nobody touches stand or clip, hang it softly, and lay the cable in a "
            "loop.",
            fh_mic_name(take, mic), thumps);
  }
  free(p);
  free(q);
  free(scratch);
  return ok;
}

bool
fh_check_events(const FhSoundcheck* const take, const FhActivity* const activity, const bool sings,
                FhFindings* const findings)
{
  bool ok = true;
  for (size_t mic = 0; ok && mic <= take->closes; ++mic) {
    if (activity->peak[mic] > -80.0) {
      ok = check_gaps(take, mic, findings);
      check_pops(take, mic, findings);
    }
    ok = ok && (mic == take->closes || check_thumps(take, activity, sings, mic, findings));
  }
  return ok;
}
