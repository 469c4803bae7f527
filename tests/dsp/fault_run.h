// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file fault_run.h
/// An engine that has learnt a take, run on with a fault in it, and what came of that block by block.

#ifndef FRONTHASH_TESTS_FAULT_RUN_H
#define FRONTHASH_TESTS_FAULT_RUN_H

#include "fault_take.h"

#include "dsp/engine_state.h"

#define LEARN_BLOCKS 800u ///< 4 s
#define RUN_BLOCKS 1600u  ///< 8 s; soloist rests 3 s, plays 2 s, and so on
#define WINDOW 10u        ///< Blocks in the 50 ms over which levels are taken

/// What one block of 5 ms was
typedef struct {
  double out, out_sum; ///< Sums of squares and of samples
  double solo;         ///< Sum of squares of the soloist alone
  int    fault;
  bool   closed;
} Block;

typedef struct {
  Block    block[RUN_BLOCKS];
  FhLearnt learnt;     ///< At the end
  double   floor;      ///< Sum over all bands, dB
  double   band_level; ///< dB
} Record;

/// An engine that has learnt, its take, and a copy of both to start again from
typedef struct {
  Rig    rig;
  Take   take;
  void*  memory;
  Take   take_then;
  Sound* sounds; ///< The blocks of a run, without a fault
} Stage;

static inline void
play_sound(Stage* const s, Sound sound, const FaultKind kind, Block* const b)
{
  static float out[MAX_BLOCK];
  take_hit(&sound, kind, s->take.block);
  rig_run(&s->rig, sound.close, sound.ambient_gone ? NULL : sound.ambient, out, s->take.block);
  if (b) {
    *b = (Block){.fault = (int)s->rig.controls[FH_FAULT], .closed = fh_engine_gate(s->rig.engine) < 0.02f};
    for (uint32_t i = 0; i < s->take.block; ++i) {
      assert_true(isfinite(out[i]));
      b->out += (double)out[i] * (double)out[i];
      b->out_sum += (double)out[i];
      b->solo += (double)sound.solo[i] * (double)sound.solo[i];
    }
  }
}

static inline void
play(Stage* const s, const FaultKind kind, Block* const b)
{
  Sound sound;
  take_block(&s->take, &sound);
  play_sound(s, sound, kind, b);
}

static inline void
learn(Stage* const s, const FaultKind kind, const unsigned blocks)
{
  s->rig.controls[FH_LEARN] = (float)FH_LEARN_AMBIENT;
  for (unsigned i = 0; i < blocks; ++i) {
    play(s, kind, NULL);
  }
  s->rig.controls[FH_LEARN] = (float)FH_LEARN_OFF;
  play(s, NO_FAULT, NULL);
}

static inline Stage
stage_new(const double rate)
{
  Stage s = {.rig = rig_new(rate, 1), .take = take_new(rate)};
  s.take.resting = true;
  play(&s, NO_FAULT, NULL);
  learn(&s, NO_FAULT, LEARN_BLOCKS);
  s.take.resting = false;
  s.take.blocks  = 0;
  for (unsigned i = 0; i < 1000u; ++i) { // one round of rest and phrase
    play(&s, NO_FAULT, NULL);
  }
  const size_t size = fh_engine_size(rate, 1);
  s.memory          = malloc(size);
  memcpy(s.memory, s.rig.engine, size);
  s.take_then = s.take;
  s.sounds    = (Sound*)malloc(RUN_BLOCKS * sizeof(Sound));
  assert_non_null(s.sounds);
  for (unsigned i = 0; i < RUN_BLOCKS; ++i) {
    take_block(&s.take, &s.sounds[i]);
  }
  return s;
}

static inline void
stage_free(Stage* const s)
{
  rig_free(&s->rig);
  free(s->memory);
  free(s->sounds);
}

/// Play the run with a fault in blocks from `first` on
static inline void
run(Stage* const s, const FaultKind kind, const unsigned first, const unsigned blocks, Record* const r)
{
  memcpy(s->rig.engine, s->memory, fh_engine_size(s->take.rate, 1)); // the same place: pointers within it stay true
  for (unsigned i = 0; i < RUN_BLOCKS; ++i) {
    play_sound(s, s->sounds[i], i >= first && i < first + blocks ? kind : NO_FAULT, &r->block[i]);
  }
  fh_engine_get_learnt(s->rig.engine, &r->learnt);
  r->floor      = 10.0 * log10((double)fh_v8_sum(s->rig.engine->running.detector.floor.close));
  r->band_level = 10.0 * log10((double)s->rig.engine->learnt.usual.band_level);
}

/// Level in dB over the window that starts at a block, without its mean
static inline double
level(const Record* const r, const unsigned at, const uint32_t frames)
{
  double squares = 0.0, sum = 0.0;
  for (unsigned i = at; i < at + WINDOW; ++i) {
    squares += r->block[i].out;
    sum += r->block[i].out_sum;
  }
  const double n = (double)(WINDOW * frames);
  return 10.0 * log10((squares - sum * sum / n) / n + 1e-12);
}

static inline double
solo_level(const Record* const r, const unsigned at, const uint32_t frames)
{
  double squares = 0.0;
  for (unsigned i = at; i < at + WINDOW; ++i) {
    squares += r->block[i].solo;
  }
  return 10.0 * log10(squares / (double)(WINDOW * frames) + 1e-12);
}

#endif
