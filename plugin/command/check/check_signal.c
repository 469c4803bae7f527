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
#define FH_NOISY 25.0        // dB between loud and quietest moments
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

bool
fh_same_sound(const FhSoundcheck* const take, const size_t first, const size_t second)
{
  const float* const a          = take->mic[first];
  const float* const b          = take->mic[second];
  double             difference = 0.0, sum = 0.0;
  for (size_t i = 0; i < take->frames; ++i) {
    difference += ((double)a[i] - (double)b[i]) * ((double)a[i] - (double)b[i]);
    sum += (double)a[i] * (double)a[i];
  }
  return sum > 0.0 && difference < 1e-6 * sum;
}

static void
check_inputs(const FhSoundcheck* const take, const FhActivity* const a, FhFindings* const findings)
{
  for (size_t mic = 0; mic <= take->closes; ++mic) {
    const char* const name = fh_mic_name(take, mic);
    if (a->peak[mic] < FH_DEAD) {
      fh_find(findings, true, "no_signal", a->peak[mic], "dBFS",
              "The %s is silent (%.0f dBFS): check its cable, its power and the input it is plugged into.", name,
              a->peak[mic]);
    } else if (a->peak[mic] < FH_LOW_LEVEL) {
      fh_find(findings, true, "low_level", a->peak[mic], "dBFS",
              "The %s reads only %.0f dBFS when it is loud: turn its input gain up by %.0f dB.", name, a->peak[mic],
              -20.0 - a->peak[mic]);
    }
    for (size_t other = 0; other < mic; ++other) {
      if (a->peak[mic] > FH_DEAD && fh_same_sound(take, other, mic)) {
        fh_find(findings, true, "same_signal", 0.0, "dB",
                "The %s and the %s carry the same sound: plug the second microphone into its own input.",
                fh_mic_name(take, other), name);
      }
    }
  }
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
    const bool        rests = !a->field && above > 6.0;
    const bool        noisy = rests && mic < take->closes && above < FH_NOISY;
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

bool
fh_check_signal(const FhSoundcheck* const take, const FhActivity* const activity, FhFindings* const findings)
{
  check_clipping(take, findings);
  check_inputs(take, activity, findings);
  check_noise(take, activity, findings);
  return true;
}
