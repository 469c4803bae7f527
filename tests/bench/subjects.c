// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "subject.h"

#include <stdlib.h>
#include <string.h>

// How many second-order sections the engine is worth, counted three ways. A microphone's tree has seven crossovers; each
// is two low-passes and an all-pass, the high branch being their difference. Joining the bands of a close microphone
// takes four all-passes for the quarters and three for each half; the ambient is measured only.
//   as the engine does it, where one section gives low-pass and all-pass: 7 * 2 + 10 and 7 * 2
//   as plain sections with one output each:                               7 * 3 + 10 and 7 * 3
//   as a row per band (three crossovers twice, four all-passes):          8 * 10     and 8 * 6
enum { OWN_SOLO = 38, OWN_PAIR = 62, PLAIN_SOLO = 52, PLAIN_PAIR = 83, ROWS_SOLO = 128, ROWS_PAIR = 208 };

#define ANY 0, fh_chain_open, fh_chain_run, fh_plain_close
#define APART 0, fh_chain_open, fh_chains_run, fh_plain_close

const FhSubject fh_subjects[] = {
  {"plugin solo", 1, 0, fh_plugin_open, fh_plugin_run, fh_plugin_close, 0},
  {"plugin pair", 2, 0, fh_plugin_open, fh_plugin_run, fh_plugin_close, 0},
  {"baseline solo", 1, 0, fh_baseline_open, fh_baseline_run, fh_baseline_close, 0},
  {"baseline pair", 2, 0, fh_baseline_open, fh_baseline_run, fh_baseline_close, 0},
  {"gain loop", 1, 0, fh_gain_open, fh_gain_run, fh_plain_close, 0},
  {"chain of 38", 1, ANY, OWN_SOLO},
  {"chain of 52", 1, ANY, PLAIN_SOLO},
  {"chain of 128", 1, ANY, ROWS_SOLO},
  {"chain of 62", 2, ANY, OWN_PAIR},
  {"chain of 83", 2, ANY, PLAIN_PAIR},
  {"chain of 208", 2, ANY, ROWS_PAIR},
  {"2 chains, 52", 1, APART, PLAIN_SOLO},
  {"2 chains, 83", 2, APART, PLAIN_PAIR},
#ifdef FH_HAVE_SPEEX
  {"speexdsp", 1, 256, fh_speex_open, fh_speex_run, fh_speex_close, 0},
#endif
#ifdef FH_HAVE_WEBRTC
  {"webrtc", 1, 480, fh_webrtc_open, fh_webrtc_run, fh_webrtc_close, 0},
#endif
  {NULL, 0, 0, NULL, NULL, NULL, 0},
};

const char* const fh_subjects_missing[] = {
#ifndef FH_HAVE_SPEEX
  "speexdsp: skipped, libspeexdsp-dev was not found when building",
#endif
#ifndef FH_HAVE_WEBRTC
  "webrtc: skipped, libwebrtc-audio-processing-dev or a C++ compiler was not found when building",
#endif
  NULL,
};

const FhSubject*
fh_subject_find(const char* const name)
{
  for (const FhSubject* s = fh_subjects; s->name; ++s) {
    if (!strcmp(s->name, name)) {
      return s;
    }
  }
  return NULL;
}

void
fh_plain_close(void* const self)
{
  free(self);
}
