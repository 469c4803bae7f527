// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file correlate.h
/// Which of two microphones hears a sound first, by how much, and whether they agree on its sign.
///
/// Generalised cross-correlation (Knapp and Carter, IEEE Trans. ASSP 24(4), 1976) with the phase transform, each
/// frequency weighted by how coherent the two microphones are there; or, where the first microphone is a close one, their
/// maximum likelihood for that: by the noise of the second.
/// Thread: main.

#ifndef FRONTHASH_COMMAND_CORRELATE_H
#define FRONTHASH_COMMAND_CORRELATE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
  double delay;    ///< Frames by which the second microphone is later; fractions by interpolation
  bool   inverted; ///< The second has the opposite polarity
  double strength; ///< Peak, 0..1: 1 where both hear the same and nothing else
  double clarity;  ///< Peak over the highest other peak farther than a millisecond; 1 is a toss-up
} FhLag;

/// A stretch to listen to, frames
typedef struct {
  size_t start;
  size_t end;
} FhSpan;

/// How frequencies weigh
typedef enum {
  FH_WEIGH_ALIKE,    ///< By coherence
  FH_WEIGH_BY_NOISE, ///< The first microphone hears little but the source
} FhWeigh;

/// Two microphones compared over spans: how they correlate at each lag, and their averages per frequency
typedef struct FhCorrelationImpl FhCorrelation;

/// Compare two microphones over the spans, up to `most` frames either way. Pair: fh_correlation_free.
/// @return NULL where the spans are too short, silent or unrelated, or without memory.
FhCorrelation* fh_correlate(const float*  first,
                            const float*  second,
                            size_t        frames,
                            double        rate,
                            const FhSpan* spans,
                            size_t        count,
                            size_t        most,
                            FhWeigh       how);
void fh_correlation_free(FhCorrelation* correlation); ///< NULL is fine

/// The highest peak between two lags, s; its clarity is against all others. @param stands Receives, if not NULL, by how
/// many times it is over what the correlation has at most lags.
FhLag fh_correlation_peak(const FhCorrelation* correlation, double from, double to, double* stands);

/// How much louder the second microphone hears, between two frequencies, what arrives there within half a millisecond of a
/// lag (s), dB. What only one of them hears counts for nothing at the second, so this needs no quiet.
/// @return NAN where nothing stands out there.
double fh_correlation_gain(const FhCorrelation* correlation, double low, double high, double lag);

/// The lag of the highest peak of all
/// @return False where there is no correlation, as above (`lag` untouched).
bool fh_find_lag(const float*  first,
                 const float*  second,
                 size_t        frames,
                 double        rate,
                 const FhSpan* spans,
                 size_t        count,
                 size_t        most,
                 FhLag*        lag);

/// The same for a source that moves between spans, as strokes on bars do: each span on its own, then what most agree
/// on. Of each span the window of the correlation, about three times `most`, is heard from its start.
bool fh_find_lag_of_each(const float*  first,
                         const float*  second,
                         size_t        frames,
                         double        rate,
                         const FhSpan* spans,
                         size_t        count,
                         size_t        most,
                         FhLag*        lag);

#endif
