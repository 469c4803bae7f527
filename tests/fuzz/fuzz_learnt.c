// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A saved state of any bytes. Refused, it changes nothing; taken, the plugin runs on with finite output and meters in their
// ranges, and what it then saves can be restored again.

#include "instance.h"

#define FRAMES 256

unsigned long fh_fuzz_taken;

static Kept learnt; // what a plugin really saved

/// Learn from noise, once
static void
prepare(void)
{
  static float close[FRAMES], ambient[FRAMES], out[FRAMES];
  if (learnt.size) {
    return;
  }
  uint32_t        seed = 7u;
  Instance* const self = instance_new();
  for (int b = 0; b < (int)(20.0 * RATE) / FRAMES; ++b) {
    self->controls[FH_LEARN] = b > 40 && b < 560 ? (float)FH_LEARN_AMBIENT : (float)FH_LEARN_OFF;
    instance_noise(close, ambient, FRAMES, &seed);
    instance_run(self, close, ambient, out, FRAMES);
  }
  instance_save(self, &learnt);
  fh_promise(learnt.size > 0, "something is learnt of noise");
  instance_free(self);
}

size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  prepare();
  memcpy(to, learnt.data, learnt.size);
  return learnt.size;
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  static float close[FRAMES], ambient[FRAMES], out[FRAMES];
  static Kept  given, before, after;
  prepare();
  if (size > KEPT_MAX) {
    return 0;
  }
  Instance* const self = instance_new();
  fh_promise(instance_restore(self, &learnt) == LV2_STATE_SUCCESS, "what was saved can be restored");
  instance_run(self, close, ambient, out, 0);
  instance_save(self, &before);

  given      = learnt;
  given.size = size;
  if (size) {
    memcpy(given.data, data, size);
  }
  const LV2_State_Status status = instance_restore(self, &given);
  fh_promise(status == LV2_STATE_SUCCESS || status == LV2_STATE_ERR_BAD_TYPE, "a state is taken or refused");
  uint32_t seed = 9u;
  fh_fuzz_taken += status == LV2_STATE_SUCCESS;
  if (status != LV2_STATE_SUCCESS) {
    instance_run(self, close, ambient, out, 0);
    instance_save(self, &after);
    fh_promise(after.size == before.size && !memcmp(after.data, before.data, after.size), "a refused state changes nothing");
  }
  for (int b = 0; b < 4; ++b) {
    instance_noise(close, ambient, FRAMES, &seed);
    instance_run(self, close, ambient, out, FRAMES);
    instance_check(self, out, FRAMES);
  }
  instance_save(self, &after);
  fh_promise(!after.size || instance_restore(self, &after) == LV2_STATE_SUCCESS, "what was saved can be restored");
  instance_free(self);
  return 0;
}
