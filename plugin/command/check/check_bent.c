// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A stage before the input that is overdriven bends the loud moments: they all end at one height, on both sides

#include "command/check/check.h"

#include <math.h>

#define FH_BLOCK 0.01    // s
#define FH_SOUND 0.18    // of the peak: 15 dB under it a block counts as sounding
#define FH_TOP 0.794     // of the peak: 2 dB
#define FH_SHARE 0.2     // of the sounding blocks that end there
#define FH_EVEN 0.3      // dB between the highest and the lowest sample
#define FH_CREST 2.0     // peak over effective value of the loud blocks, at most
#define FH_LOUD 0.85     // of the peak: a loud block

/// How the blocks of a channel end
typedef struct {
  double lift;  ///< Highest over lowest sample, dB
  double share; ///< Of the sounding blocks that come near the peak
  double crest; ///< Of the loud blocks, mean
} FhEnds;

static FhEnds
find_ends(const float* const x, const size_t frames, const size_t block)
{
  double up = 1e-9, down = 1e-9, crest = 0.0;
  size_t sounding = 0, near = 0, loud = 0;
  for (size_t i = 0; i < frames; ++i) {
    up   = fmax(up, (double)x[i]);
    down = fmax(down, -(double)x[i]);
  }
  const double peak = fmax(up, down);
  for (size_t at = 0; at + block <= frames; at += block) {
    double most = 0.0, power = 0.0;
    for (size_t i = at; i < at + block; ++i) {
      most = fmax(most, fabs((double)x[i]));
      power += (double)x[i] * (double)x[i] / (double)block;
    }
    sounding += most > FH_SOUND * peak;
    near += most > FH_TOP * peak;
    if (most > FH_LOUD * peak) {
      crest += most / sqrt(power);
      ++loud;
    }
  }
  return (FhEnds){20.0 * log10(up / down), sounding ? (double)near / (double)sounding : 0.0,
                  loud ? crest / (double)loud : 1e9};
}

void
fh_check_bent(const FhSoundcheck* const take, FhFindings* const findings)
{
  if (fh_found(findings, "clipping")) {
    return; // which ends all at one height, too, and says so
  }
  for (size_t mic = 0; mic < take->closes; ++mic) {
    const FhEnds e = find_ends(take->mic[mic], take->frames, (size_t)(FH_BLOCK * take->rate));
    if (e.share > FH_SHARE && fabs(e.lift) < FH_EVEN && e.crest < FH_CREST) {
      fh_find(findings, true, "overdriven", 100.0 * e.share, "%",
              "The %s is overdriven before the input: %.0f %% of what sounds ends within 2 dB of the peak, on both sides: "
              "turn down the transmitter or switch in the pad of the microphone.",
              fh_mic_name(take, mic), 100.0 * e.share);
    }
  }
}
