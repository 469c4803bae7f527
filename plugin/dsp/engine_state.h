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
#include "dsp/tuning.h"

/// Output controls between polls: levels fall by the F time weighting, the rest is held for a moment
typedef struct {
  fh_v4 level;       ///< Mean squares: first close, ambient, predicted pickup, second close
  fh_v8 band_excess; ///< dB
  fh_v8 band_gain;   ///< Amplitude
  float excess;      ///< dB
  float excess_age;  ///< Ticks since it was last reached
  float gate;        ///< Amplitude
  float widest;      ///< Largest gain of the gate since the last hop, amplitude
  float duck;        ///< Power
  float state;
  float state_age;   ///< Ticks since the shown state was last true
  float separation;  ///< Median excess while a soloist was heard, dB
  float played;      ///< For how long one was heard, s
} FhMeters;

/// Microphones before the split, of the last hop; a lane per microphone, the last unused
typedef struct {
  fh_v4 mean;
  fh_v4 squares; ///< Mean
  fh_v4 product; ///< Mean of close microphone times ambient
  fh_v4 peak;    ///< Largest magnitude
  bool  clipped; ///< Some microphone clipped
  bool  broken;  ///< Any sample not a number, or too large
} FhInputs;

/// What is wrong with the microphones. Times are in ticks, in whole hops
typedef struct {
  float   no_ambient;          ///< Time since the ambient was last there
  float   same;                ///< Time since the ambient was last another microphone than a close one
  float   no_close;            ///< Time since any close microphone was last there
  float   lost[FH_MAX_CLOSES]; ///< Time since each of them was
  float   closes;              ///< How many close microphones count: those that are there, or all where none is
  float   settle;              ///< Time until the averages no longer hold what was wrong
  float   regained;            ///< Time until an ambient that was lost during the show counts as back
  float   squashed;            ///< Time until the averages no longer hold what was clipped
  float   wild;                ///< Time until the ambient is believed again after a level that no microphone gives
  float   clipped, broken;     ///< Time for which that fault is still shown
  fh_v4   offset_now;          ///< DC offset, amplitude, followed by one pole; a lane for each microphone
  fh_v4   offset;              ///< The same, followed by another
  fh_v4   off;                 ///< Time for which that has been too far from zero; its sign says to which side
  bool    off_zero;            ///< For one of them too long
  int     heard;               ///< Hops to judge by so far; at most FH_HEARD_HOPS
  bool    blind;               ///< The ambient is missing or is a close microphone: nothing can be decided
  FhFault fault;               ///< What is shown
} FhFaults;

/// A microphone hears nothing, or the ambient is the close one
static inline bool
fh_faults_missing(const FhFaults* const f)
{
  return f->no_ambient > 0.0f || f->same > 0.0f || f->no_close > 0.0f;
}

typedef struct {
  FhLearn mode;
  float   ticks;      ///< So far
  float   last;       ///< Value of the port in the last block
  float   clear_last; ///< Likewise of Clear
} FhLearning;

#define FH_PHASE_TICKS (FH_HOP_TICKS * FH_EARS_TICKS) ///< Hop and look begin together
_Static_assert(FH_HOP_TICKS == 8 && FH_EARS_TICKS == 3, "fh_engine_phase() goes by these");

typedef void (*FhEngineTick)(FhEngine* engine);
typedef void (*FhMetersShow)(const FhEngine* engine, float controls[FH_CONTROL_COUNT]);

// All of an engine is in four structs, by what changes them. Whatever is added goes into one of these

/// Set up once, when the engine is made
typedef struct {
  FhKernelRun  kernel_run; ///< The fastest that this processor has, as the next two
  FhEngineTick tick_run;
  FhMetersShow meters_show;

  double   rate;   ///< Hz
  uint32_t closes; ///< 1 or 2
  uint32_t tick;   ///< Frames
  uint32_t max_latency; ///< Frames
  float    ticks_per_second;
  float    hops_per_second;
  float    hop_s;     ///< Length of a hop, s
  float    mix_slope; ///< Largest change of a weight per tick

  fh_v8    usable;              ///< 1 for bands below Nyquist, else 0
  fh_v8    share;               ///< Likewise, adding up to 1
  fh_v8    duck_pole;           ///< One-pole coefficients per tick
  unsigned blocks[FH_PATHS];    ///< Length of the averages in blocks
  float    held_fall[FH_PATHS]; ///< Factor per hop on the held ambient; 0 where it is not held
  int      moment_hops;         ///< Hops from one moment to learn from to the next
} FhSetup;

/// Set by the host's controls. Latency is the kernel's
typedef struct {
  float      given[FH_INPUT_COUNT];      ///< Control values as the host gave them, in the order of fh_inputs
  float      controls[FH_CONTROL_COUNT]; ///< The same within their ranges; of inputs only
  FhDecision decision;
  FhDuck     duck;
  fh_v8      key;           ///< Weight of each band by the key filter, 0..1
  float      trim;          ///< Added to the predicted pickup, dB
  float      track_s;       ///< How far tracking looks back, s; 0 when held
  uint32_t   ambient_delay; ///< Ticks
} FhSettings;

/// What was learnt, and what came before it: a reset keeps it
typedef struct {
  FhField       field;
  FhUsual       usual;
  FhLearnt      before;       ///< As it was before the last Learn or Clear, or after it when that was taken back
  bool          is_before;    ///< There was one
  double        age_s;        ///< Since a Learn of the field ended, s; negative where that is not known
  double        before_age_s; ///< The same of `before`
  FhLearnResult result;       ///< Of the last Learn of the field
} FhMemory;

/// What a reset clears
typedef struct {
  bool     fresh;       ///< No control values seen since init, reset or restore
  bool     silent;      ///< No frame has run since init or reset: nothing to ramp from
  uint32_t hops;        ///< So far, as the next two also over resets
  uint32_t news;        ///< Counts what changes meters
  uint32_t learnt_news; ///< Counts what changes what was learnt: what goes on all the time only now and then

  fh_v8      delay[FH_MAX_DELAY_TICKS]; ///< Ambient mean squares of the last ticks
  uint32_t   delay_position;
  FhDetector detector;
  FhEars     ears;
  float      evidence; ///< That the soloist sounds, power ratio: what the gate goes by
  FhGate     gate;
  bool       rests; ///< The soloist rested when what is known was saved, and has not been heard since: the gate has yet to close
  fh_v8      duck_gain; ///< Amplitude per band, now
  FhMix      mix;       ///< Where the kernel's ramp is heading
  FhMix      wanted;    ///< Where that goes by controls and faults
  FhLearning learning;
  FhInputs   inputs;
  FhFaults   faults;
  FhMeters   meters;
  FhGuard    guard;
  FhSwapped  swapped;
} FhRunning;

struct FhEngine {
  FhSetup    setup;
  FhSettings settings;
  FhMemory   learnt;
  FhRunning  running;
  FhKernel   kernel; ///< What runs once a sample, with set-up, setting and running state of its own
};

/// What of the set-up is the detector's, from rates and usable bands. Thread: instantiation
void fh_detector_setup(FhSetup* setup);

/// What is wanted at the outputs, by controls and faults
void fh_engine_want(FhEngine* engine);

/// Something was asked for that may change meters and what was learnt
static inline void
fh_engine_tell(FhEngine* const e)
{
  ++e->running.news;
  ++e->running.learnt_news;
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
  const bool muted = e->settings.controls[FH_MUTED] > 0.0f;
  return e->settings.controls[FH_ENABLED] <= 0.0f || (e->running.faults.blind && !muted);
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

/// Forget what is known
void fh_learning_clear(FhEngine* engine);

/// Once a hop: end learning when its time is up
void fh_learning_hop(FhEngine* engine);

#endif
