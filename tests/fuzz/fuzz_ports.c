// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Controls of any value, at any block cut, on sound that may be broken. Two plugins are given the same, one in other cuts
// (and runs of no length between): both put out the same bits, all finite, with meters in their ranges.
//
// An input is a row of events of eight bytes: control, length in 4 frames, cut, kind of sound, value of the control.

#include "instance.h"

#define EVENT 8
#define EVENTS_MAX 64
#define LONGEST 1024

unsigned long fh_fuzz_taken;

size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  for (int i = 0; i < 40; ++i) {
    uint8_t* const event   = to + i * EVENT;
    const int      control = fh_inputs[i % FH_INPUT_COUNT];
    const float    value   = i % 2 ? fh_controls[control].max : fh_controls[control].def;
    event[0]               = (uint8_t)control;
    event[1]               = (uint8_t)(i * 37);
    event[2]               = (uint8_t)(i * 11);
    event[3]               = (uint8_t)(i % 9 == 8 ? i : 0);
    memcpy(event + 4, &value, sizeof(value));
  }
  return 40 * EVENT;
}

/// Sound of an event: mostly a field, else silence, values out of all reason, or what is no number
static void
make_sound(float* const close, float* const ambient, const uint32_t frames, const uint8_t kind, uint32_t* const seed)
{
  static const float strange[] = {0.0f, INFINITY, NAN, 1e30f, 1e-42f, -INFINITY, 1.0f, -1e12f};
  instance_noise(close, ambient, frames, seed);
  for (uint32_t i = 0; i < frames && kind; ++i) {
    if (kind & 8 || i % 97 == 0) {
      close[i] = kind & 16 ? strange[kind % 8] : close[i];
      ambient[i] = kind & 32 ? strange[kind % 8] : ambient[i];
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  static float    close[LONGEST], ambient[LONGEST], whole[LONGEST], cut[LONGEST];
  Instance* const one  = instance_new();
  Instance* const two  = instance_new();
  uint32_t        seed = 5u;
  for (size_t e = 0; e < EVENTS_MAX && (e + 1) * EVENT <= size; ++e) {
    const uint8_t* const event   = data + e * EVENT;
    const int            control = fh_inputs[event[0] % FH_INPUT_COUNT];
    const uint32_t       frames  = event[1] * 4u;
    const uint32_t       step    = 1u + event[2];
    memcpy(&one->controls[control], event + 4, sizeof(float));
    memcpy(&two->controls[control], event + 4, sizeof(float));
    make_sound(close, ambient, frames, event[3], &seed);
    instance_run(one, close, ambient, whole, frames);
    for (uint32_t at = 0; at < frames; at += step) {
      instance_run(two, close + at, ambient + at, cut + at, frames - at < step ? frames - at : step);
      instance_run(two, NULL, NULL, NULL, 0);
    }
    if (!frames) {
      instance_run(two, close, ambient, cut, 0);
    }
    instance_check(one, whole, frames);
    instance_check(two, cut, frames);
    fh_promise(!memcmp(whole, cut, frames * sizeof(float)), "block cuts change nothing");
  }
  ++fh_fuzz_taken;
  instance_free(one);
  instance_free(two);
  return 0;
}
