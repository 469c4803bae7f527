// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/watch.h"
#include "command/live/glance.h"

#include "ui/fault_words.h"

#include <math.h>
#include <stdio.h>

#define FAULT_SECONDS 1.0  ///< A fault that stays as long is noted
#define SETTLE_SECONDS 0.4 ///< Until the ports tell what came of a Learn
#define XRUN_SECONDS 60.0 ///< Between two notes of blocks that came too late

void
fh_watch_begin(FhWatch* const watch, const FhRig* const rig)
{
  *watch = (FhWatch){.xruns_at = -XRUN_SECONDS};
  for (size_t i = 0; i < rig->count; ++i) {
    watch->stand[i].soloist = rig->stand[i].soloist;
  }
}

static void
watch_fault(FhWatched* const w, const FhRigStand* const stand, FhNotes* const notes, const double now)
{
  const int fault = (int)lrintf(fh_rig_value(stand, FH_FAULT));
  if (fault != w->seen) {
    w->seen    = fault;
    w->seen_at = now;
  }
  if (w->seen != w->fault && now - w->seen_at >= FAULT_SECONDS) {
    w->fault = w->seen;
    fh_note(notes, "%s: %s%s%s", stand->stand->name, fault ? fh_fault_word(fault) : "no fault any more", fault ? ". " : "",
            fault ? fh_glance_advice(stand, fault) : "");
  }
}

/// What came of a Learn of the field
static const char*
result_text(const FhRigStand* const stand)
{
  static const char* const texts[FH_RESULT_COUNT] = {
    [FH_RESULT_NONE]  = "nothing was learnt; what was known before stays",
    [FH_RESULT_WHOLE] = "the field is learnt",
    [FH_RESULT_PART]  = "learnt from the part in which the soloist rested",
    [FH_RESULT_SHORT] = "too little field was heard; what was known before stays. Learn again while the band plays",
    [FH_RESULT_SOLO]  = "the soloist played nearly all the time; what was known before stays. Learn again while the soloist rests",
    [FH_RESULT_AGAIN] = "what was learnt does not fit the field; learn again",
  };
  return texts[(int)lrintf(fh_rig_value(stand, FH_LEARN_RESULT))];
}

static void
watch_learn(FhWatched* const w, const FhRigStand* const stand, FhNotes* const notes, const double now)
{
  if (w->ended_at > 0.0 && now - w->ended_at >= SETTLE_SECONDS) {
    w->ended_at = 0.0;
    fh_note(notes, "%s: %s", stand->stand->name, result_text(stand));
  }
  const int learning = (int)lrintf(fh_rig_value(stand, FH_LEARN));
  if (learning != w->learning) {
    const char* const name = stand->stand->name;
    if (learning == FH_LEARN_AMBIENT || learning == FH_LEARN_SOLO) {
      fh_note(notes, "%s: learning the %s", name, learning == FH_LEARN_SOLO ? "soloist" : "field");
    } else if (learning == FH_LEARN_BACK) {
      fh_note(notes, "%s: the last Learn or Clear is taken back", name);
    } else if (w->learning == FH_LEARN_SOLO) {
      fh_note(notes, "%s: the Learn has ended", name);
    }
    w->ended_at = !learning && w->learning == FH_LEARN_AMBIENT ? now : 0.0;
    w->learning = learning;
  }
}

void
fh_watch_tick(FhWatch* const watch, const FhRig* const rig, const FhServerState* const server, FhNotes* const notes, const double now)
{
  for (size_t i = 0; i < rig->count && i < FH_SHOW_STANDS; ++i) {
    const FhRigStand* const stand = &rig->stand[i];
    FhWatched* const        w     = &watch->stand[i];
    if (server->running) {
      watch_fault(w, stand, notes, now);
    }
    watch_learn(w, stand, notes, now);
    if (stand->soloist != w->soloist) {
      w->soloist = stand->soloist;
      fh_note(notes, "%s: %s comes", stand->stand->name, fh_rig_soloist_name(stand, stand->soloist));
    }
  }
  if (server->xruns != watch->xruns && now - watch->xruns_at >= XRUN_SECONDS) {
    fh_note(notes, "%u xrun%s since the start", server->xruns, server->xruns == 1 ? "" : "s");
    watch->xruns    = server->xruns;
    watch->xruns_at = now;
  }
}
