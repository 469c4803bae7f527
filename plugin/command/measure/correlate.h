// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file correlate.h
/// Which of two microphones hears a sound first, by how much, and whether they agree on its sign.
///
/// Generalised cross-correlation (Knapp and Carter, IEEE Trans. ASSP 24(4), 1976) with the phase transform, each
/// frequency weighted by how coherent the two microphones are there.
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

/// Compare two microphones over the spans, up to `most` frames either way.
/// @return False where the spans are too short, silent or unrelated (`lag` untouched), or without memory.
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
