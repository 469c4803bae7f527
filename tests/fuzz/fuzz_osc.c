// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A datagram of any bytes is obeyed or refused; every control stays in its range, and a soloist stays one of the show.

#include "command/live/osc.h"
#include "fuzz.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

unsigned long fh_fuzz_taken;

static const char* const show_text = "fronthash-show 1\nambient 3\nstand A\ninput 1\nfamily flute\nsoloist One\nsoloist Two\n"
                                     "stand B\ninput 2\nfamily flute\n";

size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  static const char seed[] = "#bundle\0\0\0\0\0\0\0\0\1" // three messages, their lengths before them
                             "\0\0\0\x1C/stand/{1,2}/hold\0\0\0,f\0\0\x42\0\0\0"
                             "\0\0\0\x1C/stand/*/[lm]*\0\0,i\0\0\0\0\0\1\0\0\0\0"
                             "\0\0\0\x14/stand/1/soloist\0\0\0\0";
  memcpy(to, seed, sizeof(seed) - 1);
  return sizeof(seed) - 1;
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  static FhRig* rig;
  static FhOsc* osc;
  static double now;
  if (!rig) {
    setenv("LV2_PATH", getenv("FH_BUNDLE") ? getenv("FH_BUNDLE") : "", 0);
    FhShow* const show = fh_show_parse("fuzzed", show_text, strlen(show_text));
    rig                = show ? fh_rig_new(show, getenv("FH_BUNDLE")) : NULL;
    osc                = rig ? fh_osc_new(rig, NULL) : NULL;
    fh_promise(osc != NULL, "a rig starts");
  }
  _Alignas(16) char packet[FH_FUZZ_MAX];
  memcpy(packet, data, size);
  const float     before = fh_rig_value(&rig->stand[0], FH_HOLD);
  const FhAddress from   = {.size = sizeof(from.to)};
  fh_osc_take(osc, packet, size, &from, now += 0.01);
  fh_osc_tick(osc, &(FhServerState){.running = size % 2}, now);
  fh_fuzz_taken += fh_rig_value(&rig->stand[0], FH_HOLD) != before;
  for (size_t s = 0; s < rig->count; ++s) {
    for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
      const float value = fh_rig_value(&rig->stand[s], (FhControl)i);
      fh_promise(value >= fh_controls[i].min && value <= fh_controls[i].max, "a control is in its range");
    }
    fh_promise(rig->stand[s].soloist < rig->stand[s].soloist_count, "a soloist of the show is there");
  }
  fh_rig_set(&rig->stand[0], FH_HOLD, 100.0f, now);
  return 0;
}
