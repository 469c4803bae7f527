// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_faults.c
/// What breaks on a field, broken on purpose in a made take of which soloist and field are known: at rest, in a note and while
/// learning, at the lowest, the usual and the highest rate. Each is held against the same take without the fault.

#include "check.h"
#include "fault_run.h"

#include <stdio.h>

#define SETTLED 40u       ///< Blocks in the 200 ms after which all is well again

typedef struct {
  const char* name;
  FaultKind   kind;
  FhFault     says;   ///< FH_FAULT_NONE: nothing to complain of
  bool        hears;  ///< The close microphone still delivers the soloist
  bool        thumps; ///< The close microphone hears it begin or end
  unsigned    blocks; ///< How long
} FaultCase;

/// The soloist plays from block 600 to 1000: a fault at rest, just before, and in the middle of the phrase
static const unsigned firsts[] = {150, 550, 700};

static const FaultCase cases[] = {
  {"ambient silent for 10 ms", AMBIENT_SILENT, FH_FAULT_NONE, true, false, 2},
  {"ambient silent for 1 s", AMBIENT_SILENT, FH_FAULT_NO_AMBIENT, true, false, 200},
  {"ambient not connected", AMBIENT_GONE, FH_FAULT_NO_AMBIENT, true, false, 200},
  {"ambient unplugged", AMBIENT_NOISE, FH_FAULT_NO_AMBIENT, true, false, 400},
  {"close drops out for 50 ms", CLOSE_SILENT, FH_FAULT_NONE, false, true, 10},
  {"close drops out for 1 s", CLOSE_SILENT, FH_FAULT_NO_CLOSE, false, true, 200},
  {"close drops out for 5 s", CLOSE_SILENT, FH_FAULT_NO_CLOSE, false, true, 1000},
  {"close receiver without transmitter", CLOSE_NOISE, FH_FAULT_NO_CLOSE, false, true, 400},
  {"polarity of close", CLOSE_FLIPPED, FH_FAULT_NONE, true, true, 200},
  {"polarity of ambient", AMBIENT_FLIPPED, FH_FAULT_NONE, true, false, 200},
  {"close on both inputs", AMBIENT_COPIED, FH_FAULT_AMBIENT_IS_CLOSE, true, false, 200},
  {"close on both inputs, turned over and softer", AMBIENT_TURNED, FH_FAULT_AMBIENT_IS_CLOSE, true, false, 200},
  {"close clips", CLOSE_CLIPPED, FH_FAULT_CLIPPING, true, true, 200},
  {"ambient clips", AMBIENT_CLIPPED, FH_FAULT_CLIPPING, true, false, 400},
  {"ambient bursts", AMBIENT_HUGE, FH_FAULT_CLIPPING, true, false, 20},
  {"close is no number for 10 ms", CLOSE_BROKEN, FH_FAULT_BROKEN, false, true, 2},
  {"close is no number for 50 ms", CLOSE_BROKEN, FH_FAULT_BROKEN, false, true, 10},
  {"close is no number for 1 s", CLOSE_BROKEN, FH_FAULT_BROKEN, false, true, 200},
  {"ambient is no number for 10 ms", AMBIENT_BROKEN, FH_FAULT_BROKEN, true, false, 2},
  {"ambient is no number for 50 ms", AMBIENT_BROKEN, FH_FAULT_BROKEN, true, false, 10},
  {"ambient is no number for 1 s", AMBIENT_BROKEN, FH_FAULT_BROKEN, true, false, 200},
  {"samples are infinite", BOTH_SPECKLED, FH_FAULT_BROKEN, true, true, 200},
  {"offset on close for 1 s", CLOSE_OFFSET, FH_FAULT_OFFSET, true, true, 200},
  {"offset on ambient for 1 s", AMBIENT_OFFSET, FH_FAULT_OFFSET, true, false, 200},
  {"offset on both for 3 s", BOTH_OFFSET, FH_FAULT_OFFSET, true, true, 600},
  {"small offset on both for 3 s", BOTH_OFF_A_LITTLE, FH_FAULT_NONE, true, true, 600},
};

typedef struct {
  const FaultCase* fault;
  double           rate;
  uint32_t         frames; ///< Of a block
  unsigned         first, end;
  const Record *   clean, *hit;
} Trial;

#define LATE 24u // blocks of 5 ms: after a note hold begins where the evidence was last enough, which chance decides

/// What else chance decides after a fault, as a network that remembers goes another way: blocks by which a note may be heard later;
/// dB while the soloist plays, and at rest. At 8 kHz, at which nothing was trained, more
typedef struct {
  unsigned onset;
  double   apart, rest_apart;
} Chance;

static Chance
chance(const double rate)
{
  return rate < 16000.0 ? (Chance){30, 2.5, 6.0} : (Chance){8, 1.0, 3.0};
}

#define check_trial(t, condition, ...)                                                            \
  do {                                                                                            \
    if (!(condition)) {                                                                           \
      print_error("%s, at %.0f Hz, block %u: ", (t)->fault->name, (t)->rate, (t)->first);         \
      print_error(__VA_ARGS__);                                                                   \
      print_error("\n");                                                                          \
      fail();                                                                                     \
    }                                                                                             \
  } while (0)

/// The port says it within 150 ms, broken samples within 30, an offset within 350, clipping with the next
/// loud beat, and no more 200 ms after; what may last no time is shown for a
/// second longer
static void
check_port(const Trial* const t)
{
  const bool     broken = t->fault->says == FH_FAULT_BROKEN;
  const unsigned shown  = broken || t->fault->says == FH_FAULT_CLIPPING ? 200u : 0u;
  const unsigned notice[FH_FAULT_COUNT] = {
    30u, 30u, 30u, 30u, [FH_FAULT_CLIPPING] = 100u, [FH_FAULT_BROKEN] = 6u, [FH_FAULT_OFFSET] = 70u};
  const unsigned from   = t->first + notice[t->fault->says];
  const unsigned to     = t->fault->blocks < 30u && shown ? t->end + shown - 5u : t->end; // a short one is still shown
  for (unsigned i = 0; i < RUN_BLOCKS; ++i) {
    const int got = t->hit->block[i].fault;
    if (i < t->first || i >= t->end + SETTLED + shown) {
      check_trial(t, got == FH_FAULT_NONE, "fault %d in block %u", got, i);
    } else if (i >= from && i < to) {
      check_trial(t, got == (int)t->fault->says, "fault %d in block %u", got, i);
    }
  }
}

#define QUIET (-66.0) // dBFS: below, nobody hears a difference

/// By how many dB a level is above or below what comes out without the fault; at rest, then or up to LATE sooner or later
static double
outside(const Trial* const t, const unsigned i, const bool plays, const double got)
{
  const unsigned late = plays ? 0u : LATE, end = i + WINDOW + late < RUN_BLOCKS ? i + late : i;
  double         low = 0.0, high = QUIET;
  for (unsigned k = i - late; k <= end; k += LATE / 6u) {
    const double want = fmax(level(t->clean, k, t->frames), QUIET);
    low               = fmin(low, want);
    high              = fmax(high, want);
  }
  return fmax(fmax(got, QUIET) - high, low - fmax(got, QUIET));
}

/// The soloist is heard within 6 dB of what he plays throughout (12 dB until the fault is noticed), and 200 ms after as without
/// the fault, within 1 dB; a note that begins then, or is heard again, may lose its first 40 ms (see Chance).
/// At rest all is within 3 dB (at 8 kHz 6) of what comes out without it, then or 120 ms sooner or later, or below -66 dBFS: 220 ms after a fault of the ambient; what the close microphone hears of the
/// fault, its step or thump, opens the gate as any sound does, and it closes after 0.19 s hold and 0.08 s release.
static void
check_sound(const Trial* const t)
{
  const Chance now = chance(t->rate);
  for (unsigned i = 0; i + WINDOW < RUN_BLOCKS; ++i) {
    const double solo = solo_level(t->hit, i, t->frames), got = level(t->hit, i, t->frames);
    const bool   in_fault = i + WINDOW > t->first && i < t->end;
    const double some_ago = t->hit->block[i > now.onset ? i - now.onset : 0u].solo;
    const bool   plays    = t->hit->block[i].solo > 0.0 && t->hit->block[i + WINDOW - 1u].solo > 0.0;
    const bool   back     = !t->fault->hears && i >= t->end && i < t->end + now.onset;
    if ((solo > QUIET && !(some_ago > 0.0)) || back) {
      continue;
    }
    if (plays && (t->fault->hears || !in_fault)) {
      const double less = i >= t->first + 30u ? 6.0 : 12.0;
      check_trial(t, got > solo - less, "soloist at %.1f dB comes out at %.1f in block %u", solo, got, i);
    }
    const double want = level(t->clean, i, t->frames);
    if (i >= t->end + SETTLED + (plays ? 0u : t->fault->thumps ? 54u : 4u)) {
      const double off = outside(t, i, plays, got);
      check_trial(t, off < (plays ? now.apart : now.rest_apart), "%.1f dB come out instead of %.1f in block %u", got, want, i);
    }
  }
}

/// Polarity and offsets do not open the gate at rest, but for 470 ms after they begin with a step (0.19 s hold and 0.08 s
/// release included), and 50 ms around the moves it makes without them
static void
check_rest(const Trial* const t)
{
  const FaultKind kind = t->fault->kind;
  if (kind != CLOSE_FLIPPED && kind != AMBIENT_FLIPPED && kind < CLOSE_OFFSET) {
    return;
  }
  for (unsigned i = t->first + SETTLED + 54u; i + WINDOW < t->end; ++i) {
    bool rests = true;
    for (unsigned j = i - WINDOW; j <= i + WINDOW; ++j) {
      rests = rests && t->clean->block[j].closed;
    }
    check_trial(t, !rests || t->hit->block[i].closed, "opens in block %u", i);
  }
}

/// Within 1 dB of what is known without the fault
static void
check_memory(const Trial* const t)
{
  const float* const got  = (const float*)&t->hit->learnt;
  const float* const want = (const float*)&t->clean->learnt;
  for (size_t i = 0; i < FH_LEARNT_1; ++i) {
    check_trial(t, fabsf(got[i] - want[i]) < 1.0f, "value %zu of what was learnt went from %.2f to %.2f", i,
                (double)want[i], (double)got[i]);
  }
  check_trial(t, fabs(t->hit->floor - t->clean->floor) < 2.0, "the floor went from %.1f to %.1f dB", t->clean->floor,
              t->hit->floor);
  check_trial(t, fabs(t->hit->band_level - t->clean->band_level) < 2.0, "the band's level went from %.1f to %.1f dB",
              t->clean->band_level, t->hit->band_level);
}

/// One line of the table: softest moment of the soloist against what he plays, largest change of what was learnt, dB; what the
/// port says, and when, ms after the fault began; when all is as without it again, ms after it ended, playing and resting
static void
print_row(const Trial* const t)
{
  double       soloist = 0.0, memory = 0.0;
  int          says = FH_FAULT_NONE;
  unsigned     said = 0, back[2] = {0, 0};
  for (unsigned i = 0; i + WINDOW < RUN_BLOCKS; ++i) {
    const bool   plays = t->hit->block[i].solo > 0.0 && t->hit->block[i + WINDOW - 1u].solo > 0.0;
    const double got = level(t->hit, i, t->frames), want = level(t->clean, i, t->frames);
    const double off = fabs(fmax(got, -80.0) - fmax(want, -80.0));
    if (plays && i + WINDOW > t->first && i < t->end) {
      soloist = fmin(soloist, got - solo_level(t->hit, i, t->frames));
    }
    if (i >= t->end && off > (plays ? 1.0 : 3.0)) {
      back[plays ? 0 : 1] = i + 1u - t->end;
    }
    if (i >= t->first && says == FH_FAULT_NONE && t->hit->block[i].fault != FH_FAULT_NONE) {
      says = t->hit->block[i].fault;
      said = i - t->first;
    }
  }
  for (size_t i = 0; i < FH_LEARNT_1; ++i) {
    const float off = ((const float*)&t->hit->learnt)[i] - ((const float*)&t->clean->learnt)[i];
    memory          = fmax(memory, fabs((double)off));
  }
  printf("%-46s %5.2f %8.1f %8.2f %6d %6u %8u %8u\n", t->fault->name, 0.005 * t->first, soloist, memory, says, 5u * said,
         5u * back[0], 5u * back[1]);
}

static void
check_rate(const double rate, const unsigned* const starts, const size_t count)
{
  static Record clean, hit;
  Stage         s = stage_new(rate);
  run(&s, NO_FAULT, 0, 0, &clean);
  for (size_t c = 0; c < sizeof(cases) / sizeof(cases[0]); ++c) {
    for (size_t f = 0; f < count; ++f) {
      const unsigned end = starts[f] + cases[c].blocks;
      const Trial    t   = {&cases[c], rate, s.take.block, starts[f], end, &clean, &hit};
      run(&s, cases[c].kind, starts[f], cases[c].blocks, &hit);
      check_port(&t);
      check_sound(&t);
      check_rest(&t);
      check_memory(&t);
    }
  }
  stage_free(&s);
}

static void
faults_at_48_kHz(void** const state)
{
  (void)state;
  check_rate(48000.0, firsts, 3);
}

static void
faults_at_8_kHz(void** const state)
{
  (void)state;
  check_rate(8000.0, firsts, 3);
}

static void
faults_at_192_kHz(void** const state)
{
  (void)state;
  check_rate(192000.0, firsts + 1, 1);
}

/// Learning while a microphone is missing or off zero throughout keeps what was known; missing for a part, it learns from the rest
static void
learning_in_a_fault(void** const state)
{
  (void)state;
  static const FaultKind kinds[] = {AMBIENT_SILENT, AMBIENT_GONE,   AMBIENT_NOISE, CLOSE_SILENT, CLOSE_NOISE,
                                    AMBIENT_COPIED, AMBIENT_BROKEN, CLOSE_BROKEN,  CLOSE_OFFSET, BOTH_OFFSET};
  Stage                  s       = stage_new(48000.0);
  FhLearnt               before, after;
  fh_engine_get_learnt(s.rig.engine, &before);
  const size_t size = fh_engine_size(48000.0, 1);
  for (size_t k = 0; k < sizeof(kinds) / sizeof(kinds[0]); ++k) {
    for (int part = 0; part < 2; ++part) {
      memcpy(s.rig.engine, s.memory, size);
      s.take         = s.take_then;
      s.take.resting = true;
      if (part) {
        s.rig.controls[FH_LEARN] = (float)FH_LEARN_AMBIENT;
        for (unsigned i = 0; i < LEARN_BLOCKS; ++i) {
          play(&s, i >= 300u && i < 500u ? kinds[k] : NO_FAULT, NULL);
        }
        s.rig.controls[FH_LEARN] = (float)FH_LEARN_OFF;
        play(&s, NO_FAULT, NULL);
      } else {
        learn(&s, kinds[k], LEARN_BLOCKS);
      }
      fh_engine_get_learnt(s.rig.engine, &after);
      assert_true(after.known > 0.0f);
      for (int p = 0; p < FH_LOOKS; ++p) {
        for (int b = 0; b < FH_BANDS; ++b) {
          const double near = !part ? 0.05 : p == FH_LOOKS - 1 ? 1.0 : 2.0; // 3 s hold few louder moments to be held
          check_near((double)after.ratio[p][0][b], (double)before.ratio[p][0][b], near);
        }
      }
    }
  }
  stage_free(&s);
}

/// A sine at 0.9995 of full scale is loud, not clipped; cut off by 0.1 dB it is
static void
a_peak_is_no_clip(void** const state)
{
  (void)state;
  static float close[480], ambient[480], out[480];
  for (int clipped = 0; clipped < 2; ++clipped) {
    Rig   rig = rig_new(48000.0, 1);
    Noise n   = {3};
    for (int b = 0; b < 100; ++b) {
      for (int i = 0; i < 480; ++i) {
        const double x = (clipped ? 1.011 : 0.9995) * sin(tau * 997.0 * (double)(b * 480 + i) / 48000.0);
        close[i]       = (float)fmax(-1.0, fmin(1.0, x));
        ambient[i]     = (float)(0.1 * (noise_uniform(&n) - 0.5));
      }
      rig_run(&rig, close, ambient, out, 480);
    }
    assert_int_equal((int)rig.controls[FH_FAULT], clipped ? FH_FAULT_CLIPPING : FH_FAULT_NONE);
    rig_free(&rig);
  }
}

/// Print what each fault does instead of judging it
static int
print_table(const double rate)
{
  static Record clean, hit;
  Stage         s = stage_new(rate);
  run(&s, NO_FAULT, 0, 0, &clean);
  printf("%-46s %5s %8s %8s %6s %6s %8s %8s\n", "fault at 0.75, 2.75 and 3.5 s of 8", "from", "soloist", "memory", "port",
         "says", "back", "rests");
  for (size_t c = 0; c < sizeof(cases) / sizeof(cases[0]); ++c) {
    for (size_t f = 0; f < sizeof(firsts) / sizeof(firsts[0]); ++f) {
      const Trial t = {&cases[c], rate, s.take.block, firsts[f], firsts[f] + cases[c].blocks, &clean, &hit};
      run(&s, cases[c].kind, t.first, cases[c].blocks, &hit);
      print_row(&t);
    }
  }
  stage_free(&s);
  return 0;
}

int
main(const int argc, char** const argv)
{
  if (argc > 1 && !strcmp(argv[1], "--table")) {
    return print_table(argc > 2 ? atof(argv[2]) : 48000.0);
  }
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(faults_at_48_kHz),    cmocka_unit_test(faults_at_8_kHz),  cmocka_unit_test(faults_at_192_kHz),
    cmocka_unit_test(learning_in_a_fault), cmocka_unit_test(a_peak_is_no_clip),
  };
  return cmocka_run_group_tests_name("faults", tests, NULL, NULL);
}
