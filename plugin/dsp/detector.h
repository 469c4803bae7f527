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

#include "dsp/ears.h"
#include "dsp/engine.h"
#include "dsp/past.h"
#include "dsp/quantiles.h"
#include "dsp/tuning.h"

#include <stdbool.h>

/// Mean squares per band of both microphones
typedef struct {
  fh_v8 close;   ///< Mean of the close microphones
  fh_v8 ambient; ///< Ambient microphone
} FhPowers;

/// One way to look at the level difference: averages of one length
typedef struct {
  FhPowers average;
  fh_v8    held;     ///< Ambient of it, or what is left of a louder one shortly before
  fh_v8    pickup;   ///< Predicted mean square of the field in the close microphones
  fh_v8    over;     ///< Close over predicted pickup per band, power ratio
  fh_v8    now;      ///< Close over held ambient per band, dB; once a hop
  fh_v8    coupling; ///< Predicted pickup over held ambient, power ratio: from what is known, made anew once a hop
} FhPath;

_Static_assert(FH_PATHS + 1 == FH_LOOKS && FH_EARS_UNITS == FH_MEMORY, "what is saved covers every path and all that is remembered");

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

/// What is known of field and soloist, by Learn or by tracking. Clear forgets it; it is saved, but for what is marked
typedef struct {
  bool        known;           ///< Learnt, or tracked for long enough
  bool        asked;           ///< By request or restored: from then on tracking only moves the shift
  float       seen_s;          ///< Time with a field to look at since nothing was known
  FhQuantiles ratio[FH_PATHS]; ///< Close over held ambient per band at rest, dB
  bool        partly;          ///< Asked for, but learnt from a part of what was heard, which may hold notes yet: followed on, never upward
  fh_v8       most[FH_PATHS];  ///< By no more than this then, the median of `ratio`
  fh_v8       stray[FH_PATHS]; ///< Likewise what 1 % pass
  FhQuantiles key_rest;        ///< Key excess at rest, dB (all lanes alike)
  FhQuantiles common;          ///< At rest, of the excess that only a few bands stay under, dB (all lanes alike)
  fh_v8       solo;            ///< Mean excess of the soloist per band, dB
  float       solo_s;          ///< Time of the soloist so far; 0 where never learnt

  float shift;          ///< By how much the coupling of all bands has moved since it was learnt, dB
  float shift_before;   ///< The shift before it was last caught up with
  float shift_before_s; ///< For how long that may be what is right after all
  float beyond_s;       ///< For how long the common excess has been where it never was while learning; sign: to which side
  float lifted_s;       ///< For how long without a gap
  float catch_s;        ///< Time left to catch up with another level

  float misfit_s;   ///< For how long it has been predicted far louder than it is, on balance; negative: softer
  bool  misfits;    ///< Too long: what was learnt was not the field
  float separation; ///< Median key excess while the soloist plays, dB. Not saved
} FhField;

/// What is usual at these microphones, found by itself within seconds. Clear keeps it; it is saved
typedef struct {
  FhPowers    floor_now;             ///< Least mean squares of this stretch of some seconds
  FhPowers    floor_past[FH_FLOORS]; ///< And of the last ones, in a ring
  int         floor_hops;            ///< Length of this stretch so far
  int         floor_next;            ///< Place of the next in the ring
  float       band_level;            ///< Mean square of the ambient microphone over some seconds
  float       band_hops;             ///< Hops that count toward it
  FhEarsUsual ears;
} FhUsual;

/// What a reset clears
typedef struct {
  FhPath   path[FH_PATHS];
  fh_v8    weight;               ///< Of each band in the key excess; they sum to 1, or to 0 where the key filter leaves nothing
  float    key_excess;           ///< Close over predicted pickup over the key bands as one figure, dB; once a hop
  float    rest;                 ///< Key excess that the field alone hardly ever passes, dB
  FhPowers duck;                 ///< 10 ms one-pole averages for ducking
  FhPowers floor;                ///< What is always there: noise of the microphones themselves, crowd
  FhPowers last[4];              ///< The last four blocks
  FhPowers fours[FH_MAX_BLOCKS]; ///< Sums of four in a row, in the place of the newest of them
  FhPowers block;                ///< Sum of the ticks of the block now filling
  int      filled;               ///< Ticks in it
  unsigned newest;               ///< Place of the last full block in either ring
  FhPast   past;                 ///< Of what is being learnt from
} FhDetector;

/// From now on the field may prove softer and to stray less than was learnt, but not more: that would be the soloist
static inline void
fh_field_heal(FhField* const field)
{
  field->partly = true;
  for (int p = 0; p < FH_PATHS; ++p) {
    field->most[p]  = field->ratio[p].mid;
    field->stray[p] = field->ratio[p].top;
  }
}

/// Close over ambient that the field is taken to have, dB per band: the median; where nobody asked to learn, judged from the low end,
/// which a soloist moves least
static inline fh_v8
fh_field_ratio(const FhField* const field, const int path)
{
  const FhQuantiles* const ratio = &field->ratio[path];
  return field->asked ? ratio->mid : fh_v8_min(ratio->mid, ratio->mid + ratio->low + fh_careful_db);
}

/// Nothing known of field and soloist
static inline FhField
fh_field_unknown(void)
{
  FhField field = {0};
  fh_quantiles_start(&field.key_rest, fh_v8_set(0.0f));
  fh_quantiles_start(&field.common, fh_v8_set(0.0f));
  for (int p = 0; p < FH_PATHS; ++p) {
    fh_quantiles_start(&field.ratio[p], fh_v8_set(0.0f));
  }
  return field;
}

/// Nothing is usual yet: whatever comes is less than these levels
static inline FhUsual
fh_usual_unknown(void)
{
  const FhPowers more  = {fh_v8_set(1e6f), fh_v8_set(1e6f)};
  FhUsual        usual = {.floor_now = more};
  for (int i = 0; i < FH_FLOORS; ++i) {
    usual.floor_past[i] = more;
  }
  return usual;
}

/// Nothing heard yet. @param moment_hops Hops from one moment to learn from to the next
static inline FhDetector
fh_detector_start(const int moment_hops)
{
  const fh_v8 quiet    = fh_v8_set(FH_QUIET);
  FhDetector  detector = {.floor = {quiet, quiet}};
  fh_past_begin(&detector.past, moment_hops);
  for (int p = 0; p < FH_PATHS; ++p) {
    detector.path[p].pickup = quiet;
    detector.path[p].over   = fh_v8_set(1.0f);
  }
  return detector;
}

/// Begin to learn the field anew
void fh_detector_learn(FhEngine* engine);

/// Let new settings and what is known take effect, which each hop does by itself
void fh_detector_refresh(FhEngine* engine);

/// Likewise what is always there, where that is known and nothing has been heard yet
void fh_detector_recall(FhEngine* engine);

/// Where nothing has been heard yet, let this have been heard
/// @param four Mean squares over four hops each, newest first @param ticks So many of the next hop
void fh_detector_fill(FhEngine* engine, const FhPowers four[FH_FOURS], int ticks);

/// Take one tick's mean squares. @return Whether this tick ended a hop, and fh_detector_hop() is due
bool fh_detector_tick(FhEngine* engine, fh_v8 close, fh_v8 ambient);

/// Look at the longer averages, and learn or track as far as `watch` allows. @param sounds Whether the soloist does, by the decision
void fh_detector_hop(FhEngine* engine, FhWatch watch, bool sounds);

/// Nothing has moved since the field was learnt
static inline void
fh_field_stay(FhField* const field)
{
  field->shift = field->beyond_s = field->lifted_s = field->catch_s = field->shift_before_s = 0.0f;
}

/// Know of the soloist nothing
static inline void
fh_field_forget_solo(FhField* const field)
{
  field->solo   = fh_v8_set(0.0f);
  field->solo_s = 0.0f;
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
