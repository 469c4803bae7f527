// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file engine_state.h
/// Inside of the engine, for the files that share it. Thread: audio unless said.

#ifndef FRONTHASH_DSP_ENGINE_STATE_H
#define FRONTHASH_DSP_ENGINE_STATE_H

#include "dsp/decision.h"
#include "dsp/detector.h"
#include "dsp/duck.h"
#include "dsp/ears.h"
#include "dsp/engine.h"
#include "dsp/guard.h"
#include "dsp/kernel.h"
#include "dsp/swapped.h"

#define FH_MAX_DELAY_TICKS 256 ///< More than 50 ms of ticks
#define FH_LEARNT_HOPS 8u      ///< What was learnt is news once in so many hops: some 20 ms
#define FH_SETTLE_S 0.15f      ///< After that the longest average and the ambient delay are rid of what has been wrong

/// Output controls between polls: levels fall by the F time weighting, the rest is held for a moment
typedef struct {
  fh_v4 level;       ///< Mean squares: first close, ambient, predicted pickup, second close
  fh_v8 band_excess; ///< dB
  fh_v8 band_gain;   ///< Amplitude
  float excess;      ///< dB
  float excess_age;  ///< Ticks since it was last reached
  float gate;        ///< Amplitude
  float widest;      ///< Of the gate since the last hop, amplitude
  float duck;        ///< Power
  float state;
  float state_age;   ///< Ticks since the shown state was last true
  float separation;  ///< Median excess while a soloist was heard, dB
  float played;      ///< For how long that was, s
} FhMeters;

/// Microphones before the split, of the last hop; a lane per microphone, the last unused
typedef struct {
  fh_v4 mean;
  fh_v4 squares; ///< Mean
  fh_v4 product; ///< Mean of close microphone times ambient
  fh_v4 peak;    ///< Largest magnitude
  bool  clipped; ///< Any of them cut off
  bool  broken;  ///< Any sample not a number, or too large
} FhInputs;

/// Ticks, in whole hops
typedef struct {
  float   no_ambient, same, no_close; ///< For which that has been wrong
  float   lost[FH_MAX_CLOSES];        ///< Likewise, each close microphone for itself
  float   closes;                     ///< How many of them count: those that are there, or all where none is
  float   settle;                     ///< For which the averages still hold what was wrong
  float   regained;                   ///< For which the ambient has just come back from having been lost in the show
  float   squashed;                   ///< For which they still hold what was cut off
  float   wild;                       ///< For which the ambient is still beyond belief
  float   clipped, broken;            ///< For which that is still shown
  fh_v4   offset;                     ///< Of the microphones, slowly followed; a lane for each
  fh_v4   offset_now;                 ///< Likewise, half as slowly
  fh_v4   off;                        ///< For which a microphone has been off zero to one side, which the sign says
  bool    off_zero;                   ///< One of them is
  bool    blind;                      ///< Ambient is missing or is the close microphone: nothing can be decided
  FhFault fault;
} FhFaults;

typedef struct {
  FhLearn mode;
  float   ticks; ///< So far
  float   last;  ///< Value of the port in the last block; negative: not seen yet
} FhLearning;

typedef void (*FhEngineTick)(FhEngine* engine);
typedef void (*FhMetersShow)(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);

struct FhEngine {
  FhKernelRun  kernel_run;
  FhEngineTick tick_run;
  FhMetersShow meters_show;

  double      rate;
  uint32_t    closes;
  uint32_t    tick; ///< Frames
  float       ticks_per_second;
  uint32_t    max_latency;
  fh_v8*      delay; ///< Ambient mean squares of the last FH_MAX_DELAY_TICKS ticks

  float    given[FH_INPUT_COUNT];      ///< Control values as the host gave them, in the order of fh_inputs
  float    controls[FH_CONTROL_COUNT]; ///< The same within their ranges; of inputs only
  FhMix    mix;       ///< Where the kernel's ramp is heading
  FhMix    wanted;    ///< Where that goes by controls and faults
  float    mix_slope; ///< Largest change of a weight per tick
  uint32_t ambient_delay; ///< Ticks
  float    clear_last;
  bool     fresh; ///< No control values seen since init, reset or restore
  bool     silent; ///< No frame has run since init or reset: nothing to ramp from
  uint32_t news;  ///< Counts what changes meters
  uint32_t learnt_news; ///< Counts what changes what was learnt: what goes on all the time only now and then
  uint32_t hops;        ///< So far

  FhDetector detector;
  FhEars     ears;
  float      evidence;  ///< That the soloist sounds, power ratio: what the gate goes by
  FhLearnt   before;    ///< As it was before the last Learn or Clear, or after it when that was taken back
  bool       is_before; ///< There was one
  double     learnt_s;  ///< Since a Learn of the field ended, s; negative where that is not known
  double     before_s;  ///< The same of `before`
  FhLearnResult result; ///< Of the last Learn of the field

  FhKernel kernel;

  // Everything from here on is cleared by a reset
  uint32_t   delay_position;
  FhDecision decision;
  FhDuck     duck;
  FhLearning learning;
  FhInputs   inputs;
  FhFaults   faults;
  FhMeters   meters;
  FhGuard    guard;
  FhSwapped  swapped;
};

/// What is wanted at the outputs, by controls and faults
void fh_engine_want(FhEngine* engine);

/// Something was asked for that may change meters and what was learnt
static inline void
fh_engine_tell(FhEngine* const e)
{
  ++e->news;
  ++e->learnt_news;
}

/// Once a tick: measure, decide, set the ramps of the kernel for the next tick
void fh_engine_tick(FhEngine* engine);

/// The fastest of it this processor has. Thread: instantiation.
FhEngineTick fh_engine_tick_choose(void);

/// Once a hop: keep the fault in `engine->faults`
void fh_faults_hop(FhEngine* engine);

/// Whether the close microphones pass untouched whatever gate and duck do: bypass, or a fault that leaves nothing to decide by
static inline bool
fh_engine_passes(const FhEngine* const e)
{
  const bool muted = e->controls[FH_MUTED] > 0.0f;
  return e->controls[FH_ENABLED] <= 0.0f || (e->faults.blind && !muted);
}

/// What passes untouched shows no gain and no band standing out: meters never say what is not heard
static inline void
fh_meters_untouched(FhMeters* const m)
{
  m->gate = m->duck = 1.0f;
  m->band_gain      = fh_v8_set(1.0f);
  m->band_excess    = fh_v8_set(0.0f);
  m->state          = (float)FH_STATE_OPEN;
}

void fh_meters_hop(FhEngine* engine);

/// Write all output controls; the fastest of it this processor has. Threads: audio; instantiation.
void         fh_meters_show(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);
FhMetersShow fh_meters_show_choose(void);

/// Begin to learn, with FH_LEARN_OFF end it, or with FH_LEARN_BACK take the last Learn or Clear back
void fh_learning_start(FhEngine* engine, FhLearn mode);

/// Forget what was learnt
void fh_learning_clear(FhEngine* engine);

/// Once a hop: end learning when its time is up
void fh_learning_hop(FhEngine* engine);

#endif
