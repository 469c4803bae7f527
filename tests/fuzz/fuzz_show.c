// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A show file of any bytes is read with everything in its range, or refused with exactly one line. What was read can be read again,
// also after a soloist was given a preset.

#include "command/show/show.h"
#include "complaints.h"
#include "fuzz.h"

#include <string.h>

unsigned long fh_fuzz_taken;

size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  return (size_t)snprintf((char*)to, FH_FUZZ_MAX, "%s",
                          "fronthash-show 1 # version\n"
                          "title \"Tide \\\"Lines\\\"\"\nrate 48000\nambient 9\nambient-at 4m 7m\nband-at 0m 10m\n"
                          "band-size 30m 12m\nspeaker-at -8m -6m\n"
                          "stand \"Left corner\" # by the \xC3\xA9nd\n input 1\n family trumpet\n microphone stand\n distance 15cm\n"
                          " at -3m 0m\n soloist Mira preset \"Mira: Tide Lines\"\n soloist Jonas family mellophone\n"
                          "stand Bars\n input 3 4\n output 3 4\n family marimba\n microphone pair\n at 3m 1m\n soloist Ada\n"
                          "stand Trio\n input 5\n family brass-group\n microphone group\n players 3\n pattern omni\n");
}

static void
promise_stand(const FhStand* const stand)
{
  fh_promise(*stand->name && stand->family && stand->pattern && stand->distance >= 0.0 && stand->mic < FH_MIC_COUNT,
             "a stand has name, family, pattern, distance and microphone");
  fh_promise(stand->input[0] >= 1 && stand->input[0] <= FH_SHOW_CHANNELS && stand->input[1] <= FH_SHOW_CHANNELS,
             "inputs are channels");
  fh_promise(!stand->input[1] == !stand->output[1] && stand->output[0] >= 1, "as many outputs as inputs");
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    fh_promise(*stand->soloist[i].name && stand->soloist[i].family, "a soloist has name and family");
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  complaints         = 0;
  FhShow* const show = fh_show_parse("fuzzed", (const char*)data, size);
  fh_promise(complaints == !show, "exactly one line where a show is refused");
  if (!show) {
    return 0;
  }
  ++fh_fuzz_taken;
  fh_promise(show->stand_count >= 1 && show->ambient >= 1 && show->ambient <= FH_SHOW_CHANNELS, "a stand and an ambient channel");
  fh_promise(strlen(show->text) == size && !memcmp(show->text, data, size), "the text is kept");
  for (size_t i = 0; i < show->stand_count; ++i) {
    promise_stand(&show->stand[i]);
    if (show->stand[i].soloist_count) {
      fh_promise(fh_show_set_preset(show, i, 0, "New \"one\" #"), "a preset can be named");
      fh_promise(!strcmp(show->stand[i].soloist[0].preset, "New \"one\" #"), "and is the one that was named");
    }
  }
  fh_show_free(show);
  return 0;
}
