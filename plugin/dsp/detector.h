// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file detector.h
/// Pickup model and excess: how far the close microphones stand above what the field alone would put there.
///
/// Coupling, the level difference while the target is absent, is learnt and the excess is taken over it, not over
/// zero (J.-H. Choi, J.-H. Chang, IEEE/ACM TASLP 22(6), 2014). That is what is shown and what the network (ears.h) goes by, which
/// decides. Thread: audio, once a tick.

#ifndef FRONTHASH_DSP_DETECTOR_H
#define FRONTHASH_DSP_DETECTOR_H

#include "dsp/engine.h"
#include "dsp/past.h"
#include "dsp/quantiles.h"

#include <stdbool.h>

/// Mean squares per band of both microphones
typedef struct {
  fh_v8 close;   ///< Mean of the close microphones
  fh_v8 ambient; ///< Ambient microphone
} FhPowers;

/// Added to every mean square, so that it has a logarithm: -120 dBFS
#define FH_QUIET 1e-12f

/// One way to look at the level difference: averages of one length, and how their ratio behaves at rest
typedef struct {
  FhPowers    average;
  fh_v8       held;       ///< Ambient of it, or what is left of a louder one shortly before
  FhQuantiles ratio;      ///< Close over held ambient per band at rest, dB
  fh_v8       pickup;     ///< Predicted mean square of the field in the close microphones
  fh_v8       over;       ///< Close over predicted pickup per band, power ratio
  fh_v8       now;        ///< Close over held ambient per band, dB; once a hop
  unsigned    blocks;     ///< Length of the average in blocks
  float       held_fall;  ///< Factor per hop on the held ambient; 0 where it is not held
  fh_v8       coupling;   ///< Predicted pickup over held ambient, power ratio: from what was learnt, made anew once a hop
} FhPath;

_Static_assert(FH_PATHS + 1 == FH_LOOKS, "what is saved covers every path");

#define FH_HOP_TICKS 8  ///< The longer averages are sums of blocks of so many ticks; learning and tracking go by them
#define FH_FLOORS (FH_STRETCHES - 1)
#define FH_MAX_BLOCKS 64 ///< More than 80 ms of them, a power of two

/// What one tick may be used for
typedef enum {
  FH_WATCH,       ///< Nothing but the decision
  FH_WATCH_REST,  ///< The soloist rests by the last decision: tracking may move
  FH_WATCH_PLAY,  ///< The soloist plays
  FH_WATCH_LEARN, ///< Learn the field
  FH_WATCH_SOLO,  ///< Learn the soloist
} FhWatch;

typedef struct {
  float ticks_per_second, hops_per_second;
  fh_v8 usable;          ///< 1 for bands below Nyquist, else 0
  fh_v8 share;           ///< Likewise, adding up to 1
  fh_v8 duck_pole;       ///< One-pole coefficients per tick

  fh_v8 key;        ///< Weight of each band by the key filter, 0..1
  float trim;       ///< Added to the predicted pickup, dB
  float track_s;    ///< How far tracking looks back, s; 0 when held

  FhPath      path[FH_PATHS];
  fh_v8       weight;     ///< Of each band in the key excess; they sum to 1, or to 0 where the key filter leaves nothing
  float       key_excess; ///< Close over predicted pickup over the key bands as one figure, dB; once a hop
  FhQuantiles key_rest;   ///< The same at rest, dB (all lanes alike)
  float       rest;       ///< Key excess that the field alone hardly ever passes, dB
  FhPowers duck;    ///< 10 ms one-pole averages for ducking
  FhPowers floor;   ///< What is always there: noise of the microphones themselves, crowd
  FhPowers floor_now, floor_past[FH_FLOORS]; ///< Least mean squares of this and the last stretches of 4 s
  int      floor_hops, floor_next;
  FhPowers last[4];              ///< The last four blocks
  FhPowers fours[FH_MAX_BLOCKS]; ///< Sums of four in a row, in the place of the newest of them
  FhPowers block;   ///< Sum of the ticks of the block now filling
  int      filled;  ///< Ticks in it
  unsigned newest;  ///< Place of the last full block in either ring

  FhQuantiles common; ///< At rest, of the excess that only a few bands stay under, dB (all lanes alike)
  float shift;        ///< By how much the coupling of all bands has moved since it was learnt, dB
  float before;       ///< The shift before it was last caught up with
  float before_s;     ///< For how long that may be what is right after all
  float beyond_s;     ///< For how long the common excess has been where it never was while learning; sign: to which side
  float lifted_s;     ///< For how long without a gap
  float catch_s;      ///< Time left to catch up with another level
  float band_level;   ///< Mean square of the ambient microphone over some seconds
  float band_hops;    ///< Hops that count toward it
  bool  learnt;       ///< By request or restored: from then on tracking only moves the shift

  float misfit_s;     ///< For how long it has been predicted far louder than it is, on balance
  bool  misfits;      ///< Too long: what was learnt was not the field

  float seen_s;     ///< Time with a field to look at since nothing was known
  bool  known;      ///< Learnt, or tracked for long enough
  FhPast past;      ///< Of what is being learnt from

  fh_v8 solo;       ///< Mean excess of the soloist per band, dB
  float solo_s;     ///< Time of the soloist so far; 0 where never learnt
  float separation; ///< Median key excess while the soloist plays, dB
} FhDetector;

void fh_detector_init(FhDetector* detector, double ticks_per_second, int usable);

/// Clear the averages, keep what was learnt and what is always there
void fh_detector_reset(FhDetector* detector);

/// Forget what was learnt, and what of the soloist
void fh_detector_forget(FhDetector* detector);
void fh_detector_forget_solo(FhDetector* detector);

/// Begin to learn the field anew
void fh_detector_learn(FhDetector* detector);

/// Let new settings and what was learnt take effect, which each hop does by itself
void fh_detector_refresh(FhDetector* detector);

/// Take one tick's mean squares. @return Whether this tick ended a hop, and fh_detector_hop() is due
bool fh_detector_tick(FhDetector* detector, fh_v8 close, fh_v8 ambient);

/// Look at the longer averages, and learn or track as far as `watch` allows. @param sounds Whether the soloist does, by the decision
void fh_detector_hop(FhDetector* detector, FhWatch watch, bool sounds);

/// Nothing has moved since the field was learnt
static inline void
fh_detector_stay(FhDetector* const detector)
{
  detector->shift = detector->beyond_s = detector->lifted_s = detector->catch_s = detector->before_s = 0.0f;
}

/// Let go of what is held of the ambient: it was beyond belief
static inline void
fh_detector_let_go(FhDetector* const detector)
{
  for (int p = 0; p < FH_PATHS; ++p) {
    detector->path[p].held = fh_v8_set(0.0f);
  }
}

/// Predicted pickup of a path for what the ambient microphone hears, and what is always there: mean squares per band
static inline fh_v8
fh_detector_expects(const FhDetector* const detector, const int path, const fh_v8 ambient)
{
  const fh_v8 floor = detector->floor.close + detector->floor.close; // it is a minimum, 3 dB under
  return fh_v8_fma(detector->path[path].coupling, ambient, floor);
}

/// Predicted pickup in the ducking averages, mean squares per band
static inline fh_v8
fh_detector_pickup(const FhDetector* const detector)
{
  return fh_v8_fma(detector->path[FH_PATH_PHRASE].coupling, detector->duck.ambient, detector->floor.close);
}

#endif
