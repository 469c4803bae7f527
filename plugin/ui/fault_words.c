// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/fault_words.h"

#include <stddef.h>

/// Advice without and with Muted
typedef const char* Advice[2];

#define SAME(todo) {todo, todo}
#define PASSES(todo) {"Sound passes untouched: " todo, "Muted: " todo}

#define AS_IN_HOST {NULL, NULL}

static const struct {
  const char* word;
  const char* key;
  Advice      advice[FH_TOLD_COUNT]; ///< In the order of FhTold
} faults[] = {
  [FH_FAULT_NONE]             = {"No fault", "none", {SAME("Both microphones are heard")}},
  [FH_FAULT_NO_AMBIENT]       = {"No ambient signal", "no_ambient",
                                 {PASSES("check the ambient mic and the side chain"), PASSES("check the ambient mic, on the right"),
                                  PASSES("check the ambient mic and its channel"),
                                  SAME("the ambient channel is silent: check its cable and channel 2 of the take")}},
  [FH_FAULT_AMBIENT_IS_CLOSE] = {"Ambient is the close mic", "ambient_is_close",
                                 {PASSES("feed another microphone to the side chain"), PASSES("feed another microphone to the right"),
                                  PASSES("the ambient channel carries this microphone"),
                                  SAME("both channels carry the same sound: put the ambient microphone on channel 2")}},
  [FH_FAULT_NO_CLOSE]         = {"No close signal", "no_close",
                                 {SAME("Check the soloist's microphone, cable and channel"),
                                  SAME("Check the soloist's microphone, on the left, and its cable"), AS_IN_HOST,
                                  SAME("the close channel is silent: check its cable and channel 1 of the take")}},
  [FH_FAULT_CLIPPING]         = {"Clipping", "clipping",
                                 {SAME("An input is too hot: turn down the preamplifier"), AS_IN_HOST, AS_IN_HOST,
                                  SAME("the recording clips: turn the input gain down")}},
  [FH_FAULT_BROKEN]           = {"Broken samples", "broken",
                                 {SAME("Numbers that are no sound, silenced: restart what comes before"), AS_IN_HOST, AS_IN_HOST,
                                  SAME("samples far beyond full scale: export the take again")}},
  [FH_FAULT_OFFSET]           = {"DC offset", "offset",
                                 {SAME("An input is off zero, learning waits: check its cable and converter"), AS_IN_HOST, AS_IN_HOST,
                                  SAME("a channel is off zero: check its cable and converter, or cut below 20 Hz")}},
  [FH_FAULT_SWAPPED]          = {"Close and ambient swapped", "swapped",
                                 {PASSES("exchange both cables, or channel and side chain"), PASSES("exchange left and right"),
                                  PASSES("exchange this input and the ambient one"),
                                  SAME("the soloist is in the ambient channel: exchange the channels of the take")}},
};
_Static_assert(sizeof(faults) / sizeof(faults[0]) == FH_FAULT_COUNT, "a row for each fault");

FhTold
fh_told_by(const FhVariant* const variant)
{
  return variant && variant->outs > variant->closes ? FH_TOLD_ON_TRACK : FH_TOLD_IN_HOST;
}

const char*
fh_fault_word(const int fault)
{
  return fault >= FH_FAULT_NONE && fault < FH_FAULT_COUNT ? faults[fault].word : "?";
}

const char*
fh_fault_key(const int fault)
{
  return faults[fault].key;
}

const char*
fh_fault_advice(const int fault, const FhTold told, const bool muted)
{
  const Advice* const advice = faults[fault >= FH_FAULT_NONE && fault < FH_FAULT_COUNT ? fault : FH_FAULT_NONE].advice;
  return advice[advice[told][muted] ? told : FH_TOLD_IN_HOST][muted];
}
