// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Is there a signal, is it clean: clipping, dead or equal inputs, level and noise

#include "command/check/check.h"
#include "command/measure/spectrum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FH_DEAD (-80.0)      // dBFS
#define FH_LOW_LEVEL (-50.0) // dBFS, loud moments; a converter has this to spare
#define FH_FAINT_DEAD (-50.0) // dBFS, below which crosstalk may be all there is
#define FH_BARE_DEAD (-62.0)  // dBFS, below which noise may be; a place with people in it is louder
#define FH_CROSSTALK 0.3     // correlation at no delay: what leaks over from another input
#define FH_BARE 8.0          // dB between loud and quietest moments of an input without a microphone
#define FH_BARE_BLOCK 0.04   // s
#define FH_COPY 0.99         // correlation at no delay of two inputs with one sound, whatever their gains
#define FH_NOISY 25.0        // dB between loud and quietest moments
#define FH_STEADY 0.6        // dB between the quietest moments: noise, and nothing that plays
#define FH_RUN 3             // equal samples at the top: not how a wave turns over

/// Count flat tops: runs of samples at the largest value there is, of either sign
static size_t
count_clips(const float* const x, const size_t frames, double* const level, size_t* const first)
{
  float peak = 0.0f;
  for (size_t i = 0; i < frames; ++i) {
    peak = fmaxf(peak, fabsf(x[i]));
  }
  size_t runs = 0;
  size_t run  = 0;
  for (size_t i = 0; i < frames; ++i) {
    const bool same = run && (x[i] > 0.0f) == (x[i - 1] > 0.0f);
    run             = fabsf(x[i]) >= 0.9995f * peak ? (same ? run + 1 : 1) : 0;
    if (run == FH_RUN) {
      *first = runs ? *first : i;
      ++runs;
    }
  }
  *level = 20.0 * log10(fmax((double)peak, 1e-10));
  return runs;
}

/// At full scale one flat top is enough; below, it takes many to be no chance
static void
check_clipping(const FhSoundcheck* const take, FhFindings* const findings)
{
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    double       level = 0.0;
    size_t       first = 0;
    const size_t runs  = count_clips(take->mic[mic], take->frames, &level, &first);
    if (level > FH_DEAD && (level > -0.2 ? runs >= 1 : runs >= 20 && runs > take->frames / (size_t)take->rate)) {
      fh_find(findings, true, "clipping", (double)runs, "times",
              "The %s clips %zu time%s at %.1f dBFS, first at %.1f s: turn its input gain down by 10 dB.",
              fh_mic_name(take, mic), runs, runs > 1 ? "s" : "", level, (double)first / take->rate);
    }
  }
}

/// How two inputs are alike at no delay
typedef struct {
  double strength; ///< Correlation, 0..1
  double gain;     ///< Of the second in the first
} FhLikeness;

static FhLikeness
likeness(const FhSoundcheck* const take, const size_t first, const size_t second)
{
  const float* const a     = take->mic[first];
  const float* const b     = take->mic[second];
  double             cross = 0.0, sum[2] = {0.0, 0.0};
  for (size_t i = 0; i < take->frames; ++i) {
    cross += (double)a[i] * (double)b[i];
    sum[0] += (double)a[i] * (double)a[i];
    sum[1] += (double)b[i] * (double)b[i];
  }
  const bool both = sum[0] > 0.0 && sum[1] > 0.0;
  return (FhLikeness){both ? fabs(cross) / sqrt(sum[0] * sum[1]) : 0.0, both ? cross / sum[1] : 0.0};
}

bool
fh_same_sound(const FhSoundcheck* const take, const size_t first, const size_t second)
{
  return likeness(take, first, second).strength > FH_COPY;
}

/// Is an input bare noise once what leaks over from another one is taken out? A microphone of its own hears the same
/// sound, too, but by other ways, and keeps the rise and fall of it
static bool
only_leaks(const FhSoundcheck* const take, const size_t mic, const size_t other)
{
  const FhLikeness alike  = likeness(take, mic, other);
  const size_t     block  = (size_t)(FH_BARE_BLOCK * take->rate);
  const size_t     count  = take->frames / block;
  double* const    levels = alike.strength > FH_CROSSTALK ? calloc(count + 1, sizeof(double)) : NULL;
  for (size_t k = 0; levels && k < count; ++k) {
    for (size_t i = k * block; i < (k + 1) * block; ++i) {
      const double left = (double)take->mic[mic][i] - alike.gain * (double)take->mic[other][i];
      levels[k] += left * left / (double)block;
    }
  }
  const bool bare = levels && fh_decibels(fh_percentile(levels, count, 0.95)) - fh_decibels(fh_percentile(levels, count, 0.03)) < FH_BARE;
  free(levels);
  return bare;
}

/// Is nothing plugged in there: silence, bare noise, or what leaks over from the next input?
static bool
is_dead(const FhSoundcheck* const take, const FhActivity* const a, const size_t mic)
{
  bool dead = a->peak[mic] < FH_DEAD || (a->peak[mic] < FH_BARE_DEAD && a->peak[mic] - a->rest[mic] < FH_BARE);
  for (size_t other = 0; !dead && other <= take->closes && a->peak[mic] < FH_FAINT_DEAD; ++other) {
    dead = other != mic && a->peak[other] > a->peak[mic] && only_leaks(take, mic, other);
  }
  return dead;
}

static void
check_inputs(const FhSoundcheck* const take, const FhActivity* const a, FhFindings* const findings)
{
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    const char* const name = fh_mic_name(take, mic);
    if (is_dead(take, a, mic)) {
      fh_find(findings, true, "no_signal", a->peak[mic], "dBFS",
              "The %s gives no signal of its own (%.0f dBFS): check its cable, its power and the input it is plugged into.", name,
              a->peak[mic]);
    } else if (a->peak[mic] < FH_LOW_LEVEL && (mic < take->closes || a->field)) { // without the field it may be soft
      fh_find(findings, true, "low_level", a->peak[mic], "dBFS",
              "The %s reads only %.0f dBFS when it is loud: turn its input gain up by %.0f dB.", name, a->peak[mic],
              -20.0 - a->peak[mic]);
    }
    for (size_t other = 0; other < mic; ++other) {
      if (a->peak[mic] > FH_FAINT_DEAD && fh_same_sound(take, other, mic)) {
        fh_find(findings, true, "same_signal", 0.0, "dB",
                "The %s and the %s carry the same sound: plug the second microphone into its own input.",
                fh_mic_name(take, other), name);
      }
    }
  }
}

/// Are the quietest moments all alike, as noise is?
static bool
rests_steadily(const FhActivity* const a, const size_t mic)
{
  double* const levels = malloc(a->count * sizeof(double));
  double        spread = 1e9;
  if (levels) {
    memcpy(levels, a->level[mic], a->count * sizeof(double));
    spread = -fh_percentile(levels, a->count, 0.01);
    spread += fh_percentile(levels, a->count, 0.06);
  }
  free(levels);
  return spread < FH_STEADY;
}

static void
check_noise(const FhSoundcheck* const take, const FhActivity* const a, FhFindings* const findings)
{
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    if (a->peak[mic] < FH_DEAD) {
      continue;
    }
    const char* const name  = fh_mic_name(take, mic);
    const double      above = a->peak[mic] - a->rest[mic];
    const bool        noisy = !is_dead(take, a, mic) && above > 6.0 && above < FH_NOISY && mic < take->closes &&
                       (!a->field || rests_steadily(a, mic));
    if (noisy) {
      fh_find(findings, true, "noise", a->rest[mic], "dBFS",
              "The noise of the %s is %.0f dBFS, only %.0f dB under the playing: come closer, or look for what makes "
              "it.",
              name, a->rest[mic], above);
    } else {
      fh_find(findings, false, "noise", a->rest[mic], "dBFS",
              "The %s rests at %.0f dBFS, %.0f dB under its loud moments.",
              name, a->rest[mic], above);
    }
  }
}

void
fh_check_inputs(const FhSoundcheck* const take, const FhActivity* const activity, FhFindings* const findings)
{
  check_inputs(take, activity, findings);
  check_noise(take, activity, findings);
}

void
fh_check_signal(const FhSoundcheck* const take, const FhActivity* const activity, FhFindings* const findings)
{
  check_clipping(take, findings);
  fh_check_inputs(take, activity, findings);
  fh_check_bent(take, findings);
}
