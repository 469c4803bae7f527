// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file ports.h
/// The one table of ports, shared by plugin, window, command and tests.
///
/// All three plugins list their audio ports first (close inputs, ambient, outputs), then every control of this
/// table in this order. Symbols, order and ranges are a public contract: after a release, only append. Who writes a port is said by
/// its flow alone, never by where it stands, so that anything may be appended.
/// Thread: constants, any thread.

#ifndef FRONTHASH_PORTS_H
#define FRONTHASH_PORTS_H

#include <stdbool.h>
#include <stdint.h>

#define FH_URI_SOLO "urn:fronthash:solo"
#define FH_URI_PAIR "urn:fronthash:pair"
#define FH_URI_TRACK "urn:fronthash:track"
#define FH_URI_UI "urn:fronthash:ui"

/// Number of frequency bands, in the engine and in the per-band ports
#define FH_BANDS 8

/// What a control port carries; decides how it is clamped, shown and declared
typedef enum {
  FH_KIND_VALUE,  ///< Continuous, linear
  FH_KIND_LOG,    ///< Continuous, shown on a logarithmic scale
  FH_KIND_TOGGLE, ///< On above 0
  FH_KIND_CHOICE, ///< Whole number with a named point each
} FhPortKind;

/// Who writes a control port, and for whom
typedef enum {
  FH_INPUT,  ///< The host, for the plugin
  FH_OUTPUT, ///< The plugin, for the host, which acts on it
  FH_METER,  ///< The plugin, for people
} FhPortFlow;

#ifndef FH_MORE_CONTROLS
#define FH_MORE_CONTROLS(X) ///< Rows that a test appends
#endif

// X(ENUM, symbol, "Name", "unit", flow, kind, min, default, max)
#define FH_CONTROLS(X)                                                                       \
  X(ENABLED, enabled, "Enabled", "", FH_INPUT, FH_KIND_TOGGLE, 0, 1, 1)                      \
  X(MUTED, muted, "Muted", "", FH_INPUT, FH_KIND_TOGGLE, 0, 0, 1)                            \
  X(LEARN, learn, "Learn", "", FH_INPUT, FH_KIND_CHOICE, 0, 0, 3)                            \
  X(CLEAR, clear, "Clear learnt", "", FH_INPUT, FH_KIND_TOGGLE, 0, 0, 1)                     \
  X(LISTEN, listen, "Listen", "", FH_INPUT, FH_KIND_CHOICE, 0, 0, 3)                         \
  X(OPEN_MARGIN, open_margin, "Open margin", "dB", FH_INPUT, FH_KIND_VALUE, -6, 1, 24)       \
  X(HYSTERESIS, hysteresis, "Hysteresis", "dB", FH_INPUT, FH_KIND_VALUE, 0, 1, 12)           \
  X(ATTACK, attack, "Attack", "ms", FH_INPUT, FH_KIND_LOG, 0.1, 1, 50)                       \
  X(HOLD, hold, "Hold", "ms", FH_INPUT, FH_KIND_VALUE, 0, 120, 2000)                         \
  X(RELEASE, release, "Release", "ms", FH_INPUT, FH_KIND_LOG, 5, 80, 2000)                   \
  X(RANGE, range, "Range", "dB", FH_INPUT, FH_KIND_VALUE, 0, 40, 90)                         \
  X(LOOKAHEAD, lookahead, "Lookahead", "ms", FH_INPUT, FH_KIND_VALUE, 0, 0, 10)              \
  X(DUCK_DEPTH, duck_depth, "Duck depth", "dB", FH_INPUT, FH_KIND_VALUE, 0, 24, 40)          \
  X(DUCK_MARGIN, duck_margin, "Duck margin", "dB", FH_INPUT, FH_KIND_VALUE, -6, 3, 12)       \
  X(DUCK_RELEASE, duck_release, "Duck release", "ms", FH_INPUT, FH_KIND_LOG, 5, 20, 500)     \
  X(LOW_CUT, low_cut, "Key low cut", "Hz", FH_INPUT, FH_KIND_LOG, 20, 20, 2000)              \
  X(HIGH_CUT, high_cut, "Key high cut", "Hz", FH_INPUT, FH_KIND_LOG, 500, 20000, 20000)     \
  X(AMBIENT_DELAY, ambient_delay, "Ambient delay", "ms", FH_INPUT, FH_KIND_VALUE, 0, 0, 50)  \
  X(PICKUP_TRIM, pickup_trim, "Pickup trim", "dB", FH_INPUT, FH_KIND_VALUE, -12, 0, 12)      \
  X(TRACKING, tracking, "Tracking", "", FH_INPUT, FH_KIND_CHOICE, 0, 1, 1)                   \
  X(TRACKING_TIME, tracking_time, "Tracking time", "s", FH_INPUT, FH_KIND_LOG, 1, 10, 60)    \
  X(CLOSE_LEVEL, close_level, "Close level", "dBFS", FH_METER, FH_KIND_VALUE, -120, -120, 24)       \
  X(AMBIENT_LEVEL, ambient_level, "Ambient level", "dBFS", FH_METER, FH_KIND_VALUE, -120, -120, 24) \
  X(PICKUP_LEVEL, pickup_level, "Predicted pickup", "dBFS", FH_METER, FH_KIND_VALUE, -120, -120, 24) \
  X(EXCESS, excess, "Excess", "dB", FH_METER, FH_KIND_VALUE, -60, 0, 60)                    \
  X(OPEN_AT, open_at, "Opens at", "dB", FH_METER, FH_KIND_VALUE, -60, 0, 60)                \
  X(GATE_GAIN, gate_gain, "Gate gain", "dB", FH_METER, FH_KIND_VALUE, -90, 0, 0)            \
  X(DUCK_GAIN, duck_gain, "Duck gain", "dB", FH_METER, FH_KIND_VALUE, -40, 0, 0)            \
  X(STATE, state, "State", "", FH_METER, FH_KIND_CHOICE, 0, 0, 4)                           \
  X(SEPARATION, separation, "Separation", "dB", FH_METER, FH_KIND_VALUE, -20, 0, 60)        \
  X(FAULT, fault, "Fault", "", FH_METER, FH_KIND_CHOICE, 0, 0, 7)                           \
  X(LEARNT, learnt, "Learn progress", "%", FH_METER, FH_KIND_VALUE, 0, 0, 100)              \
  X(LATENCY, latency, "Latency", "frames", FH_OUTPUT, FH_KIND_VALUE, 0, 0, 1920)             \
  FH_BAND_CONTROLS(X, 1) FH_BAND_CONTROLS(X, 2) FH_BAND_CONTROLS(X, 3) FH_BAND_CONTROLS(X, 4) \
  FH_BAND_CONTROLS(X, 5) FH_BAND_CONTROLS(X, 6) FH_BAND_CONTROLS(X, 7) FH_BAND_CONTROLS(X, 8) \
  X(KNOWLEDGE, knowledge, "Knowledge", "", FH_METER, FH_KIND_CHOICE, 0, 0, 2)               \
  X(LEARNT_AGO, learnt_ago, "Learnt ago", "s", FH_METER, FH_KIND_VALUE, -1, -1, 1000000) \
  X(LEARN_RESULT, learn_result, "Learn result", "", FH_METER, FH_KIND_CHOICE, 0, 0, 5) \
  X(CLOSE_LEVEL_1, close_level_1, "Close 1 level", "dBFS", FH_METER, FH_KIND_VALUE, -120, -120, 24) \
  X(CLOSE_LEVEL_2, close_level_2, "Close 2 level", "dBFS", FH_METER, FH_KIND_VALUE, -120, -120, 24) \
  FH_MORE_CONTROLS(X)

#define FH_BAND_CONTROLS(X, n)                                                                         \
  X(BAND_EXCESS_##n, band_excess_##n, "Band " #n " excess", "dB", FH_METER, FH_KIND_VALUE, -60, 0, 60) \
  X(BAND_GAIN_##n, band_gain_##n, "Band " #n " gain", "dB", FH_METER, FH_KIND_VALUE, -130, 0, 0)

typedef enum {
#define FH_X(ENUM, ...) FH_##ENUM,
  FH_CONTROLS(FH_X)
#undef FH_X
    FH_CONTROL_COUNT
} FhControl;

/// One control port as the ttl declares it
typedef struct {
  const char* symbol;
  const char* name;
  const char* unit; ///< As printed to a person; empty where there is none
  FhPortFlow  flow;
  FhPortKind  kind;
  float       min, def, max;
} FhPortInfo;

static const FhPortInfo fh_controls[FH_CONTROL_COUNT] = {
#define FH_X(ENUM, symbol, name, unit, flow, kind, min, def, max) {#symbol, name, unit, flow, kind, min, def, max},
  FH_CONTROLS(FH_X)
#undef FH_X
};

#define FH_IF_FH_INPUT(...) __VA_ARGS__
#define FH_IF_FH_OUTPUT(...)
#define FH_IF_FH_METER(...)
#define FH_UNLESS_FH_INPUT(...)
#define FH_UNLESS_FH_OUTPUT(...) __VA_ARGS__
#define FH_UNLESS_FH_METER(...) __VA_ARGS__

/// The controls that the host writes, in their order
static const uint8_t fh_inputs[] = {
#define FH_X(ENUM, symbol, name, unit, flow, kind, min, def, max) FH_IF_##flow(FH_##ENUM, )
  FH_CONTROLS(FH_X)
#undef FH_X
};
enum { FH_INPUT_COUNT = sizeof(fh_inputs) / sizeof(fh_inputs[0]) };

/// And those that the plugin writes
static const uint8_t fh_outputs[] = {
#define FH_X(ENUM, symbol, name, unit, flow, kind, min, def, max) FH_UNLESS_##flow(FH_##ENUM, )
  FH_CONTROLS(FH_X)
#undef FH_X
};
enum { FH_OUTPUT_COUNT = sizeof(fh_outputs) / sizeof(fh_outputs[0]) };

/// Whether a control is a setting, which presets hold, and does not belong to the moment as what comes before the first does
static inline bool
fh_is_setting(const int control)
{
  return control >= FH_OPEN_MARGIN && fh_controls[control].flow == FH_INPUT;
}

typedef enum {
  FH_LEARN_OFF,
  FH_LEARN_AMBIENT,
  FH_LEARN_SOLO,
  FH_LEARN_BACK, ///< Takes the last Learn or Clear back; once more does it again
} FhLearn;
typedef enum { FH_LISTEN_OUTPUT, FH_LISTEN_CLOSE, FH_LISTEN_AMBIENT, FH_LISTEN_REMOVED } FhListen;
typedef enum { FH_STATE_CLOSED, FH_STATE_OPENING, FH_STATE_OPEN, FH_STATE_HOLDING, FH_STATE_CLOSING } FhState;
typedef enum {
  FH_FAULT_NONE,
  FH_FAULT_NO_AMBIENT,
  FH_FAULT_AMBIENT_IS_CLOSE,
  FH_FAULT_NO_CLOSE,
  FH_FAULT_CLIPPING,
  FH_FAULT_BROKEN, ///< Samples that are not numbers, or above +48 dBFS
  FH_FAULT_OFFSET, ///< Direct current: an input is more than 2 % of full scale off zero
  FH_FAULT_SWAPPED, ///< The soloist plays into the ambient microphone
  FH_FAULT_COUNT ///< Number of them
} FhFault;

/// Where what is known of the field comes from
typedef enum {
  FH_KNOWLEDGE_NOTHING,
  FH_KNOWLEDGE_FOLLOWING, ///< Tracking alone: it cannot know when the soloist rests
  FH_KNOWLEDGE_LEARNT,    ///< A Learn of the field, here or in an earlier session
} FhKnowledge;

/// What came of the last Learn of the field
typedef enum {
  FH_RESULT_NONE,  ///< Nobody asked, or it was cleared or taken back
  FH_RESULT_WHOLE, ///< Learnt from all that was heard
  FH_RESULT_PART,  ///< Learnt from the part in which the soloist rested
  FH_RESULT_SHORT, ///< Too little was heard: what was known before stays
  FH_RESULT_SOLO,  ///< The soloist played nearly all the time: what was known before stays
  FH_RESULT_AGAIN, ///< What was learnt no longer fits the field, which is followed: learn again
  FH_RESULT_COUNT  ///< Number of them
} FhLearnResult;

/// Audio ports of one plugin, in index order: close inputs, ambient, outputs
typedef struct {
  const char* uri;
  uint32_t    closes;     ///< Close microphones, and processed outputs
  uint32_t    outs;       ///< All audio outputs (track also passes the ambient through)
  const char* symbols[6]; ///< closes + 1 + outs of them
  const char* name;       ///< As a person reads it, after "Fronthash"
} FhVariant;

static const FhVariant fh_variants[] = {
  {FH_URI_SOLO, 1, 1, {"close", "ambient", "out"}, "Solo"},
  {FH_URI_PAIR, 2, 2, {"close_1", "close_2", "ambient", "out_1", "out_2"}, "Pair"},
  {FH_URI_TRACK, 1, 2, {"close", "ambient", "out", "thru"}, "Track"},
};
#define FH_VARIANT_COUNT (sizeof(fh_variants) / sizeof(fh_variants[0]))

/// Index of the first control port of a variant
static inline uint32_t
fh_first_control(const FhVariant* const variant)
{
  return variant->closes + 1u + variant->outs;
}

#endif
