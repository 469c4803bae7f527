// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/glance.h"

#include "ui/fault_words.h"
#include "ui/strip.h"
#include "ui/verdict.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char* const fh_mood_words[FH_MOOD_COUNT] = {"rest", "open", "hand", "fault"};

/// "12 min ago" without the last word, as a heading says it
static void
say_known(FhGlance* const glance)
{
  const float* const v         = glance->v;
  const int          knowledge = (int)lrintf(v[FH_KNOWLEDGE]);
  if (v[FH_LEARN] > 0.0f) {
    snprintf(glance->known, sizeof(glance->known), "%.0f %%", fmin(100.0, (double)v[FH_LEARNT]));
  } else if (knowledge != FH_KNOWLEDGE_LEARNT) {
    snprintf(glance->known, sizeof(glance->known), "%s", knowledge == FH_KNOWLEDGE_FOLLOWING ? "following" : "nothing");
  } else if (v[FH_LEARNT_AGO] < 0.0f) {
    snprintf(glance->known, sizeof(glance->known), "earlier");
  } else {
    fh_ago_text(v[FH_LEARNT_AGO], glance->known, sizeof(glance->known));
    char* const ago = strstr(glance->known, " ago");
    if (ago) {
      *ago = '\0';
    }
  }
}

const char*
fh_glance_advice(const FhRigStand* const stand, const int fault)
{
  const bool muted = fh_rig_value(stand, FH_MUTED) > 0.0f && fh_rig_value(stand, FH_ENABLED) > 0.0f;
  return fh_fault_advice(fault, FH_TOLD_IN_RIG, muted);
}

FhGlance
fh_glance(const FhRigStand* const stand, const bool running)
{
  FhGlance glance = {.fault = "", .advice = ""};
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    glance.v[i] = fh_rig_value(stand, (FhControl)i);
  }
  const float* const v     = glance.v;
  const int          fault = running ? (int)lrintf(v[FH_FAULT]) : FH_FAULT_NONE;
  glance.blind             = !running || fh_is_blind(v);
  glance.soloist           = fh_rig_soloist_name(stand, stand->soloist);
  glance.next              = fh_rig_soloist_name(stand, stand->soloist + 1);
  glance.previous          = stand->soloist ? fh_rig_soloist_name(stand, stand->soloist - 1) : "";
  if (fault != FH_FAULT_NONE) {
    glance.fault  = fh_fault_word(fault);
    glance.advice = fh_glance_advice(stand, fault);
  }
  const bool hand = v[FH_ENABLED] <= 0.0f || v[FH_MUTED] > 0.0f || v[FH_LEARN] > 0.0f;
  glance.state    = !running              ? "Silent"
                    : v[FH_ENABLED] <= 0.0f ? "Bypassed"
                    : v[FH_MUTED] > 0.0f  ? "Muted"
                    : v[FH_LEARN] > 0.0f  ? "Learning"
                    : glance.blind        ? "Passing"
                                          : fh_state_word((int)lrintf(v[FH_STATE]));
  glance.mood     = !running || fault != FH_FAULT_NONE ? FH_MOOD_FAULT : hand ? FH_MOOD_HAND : fh_is_open(v) ? FH_MOOD_OPEN : FH_MOOD_REST;
  say_known(&glance);
  if (running && !(v[FH_LEARN] > 0.0f) && fh_learn_is_due(v[FH_LEARN_RESULT])) {
    snprintf(glance.known, sizeof(glance.known), "doubtful");
    if (fault == FH_FAULT_NONE) {
      glance.advice = "What was learnt does not fit the field: learn again while the band plays and the soloist rests";
    }
  }
  return glance;
}
