// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/look.h"

#include "ui/fault_words.h"
#include "ui/model.h"
#include "ui/strip.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>

// The state port stands for 50 ms when the gate opens, and is looked at 25 to 30 times a second: an opening under 50 ms
// is seen for 33 to 66 or 40 to 80 ms, one that is longer for 80 ms and more
#define SHORT_SECONDS 0.075
#define LOST_SECONDS 0.5 ///< Nobody looked for so long: begin anew
#define NEAR_SECONDS 0.1 ///< A place so near to a mark is at the mark

bool
fh_track(FhTracker* const t, const FhFrame* const frame, FhMark* const mark)
{
  const float* const v        = frame->v;
  const int          state    = (int)lrintf(v[FH_STATE]);
  const double       now      = frame->seconds;
  const double       passed   = now - t->last;
  const bool         works    = v[FH_ENABLED] > 0.0f && v[FH_MUTED] <= 0.0f && !fh_is_blind(v);
  const bool         open     = fh_is_open(v);
  const bool         sounding = open && state != FH_STATE_HOLDING;
  if (!works || !t->known || passed > LOST_SECONDS) {
    *t = (FhTracker){.known = works, .open = open, .sounding = sounding, .last = now, .heard = 1.0, .closed = -1.0};
    return false;
  }
  bool found = false;
  t->heard += t->sounding ? passed : 0.0;
  if (open && !t->open) {
    found     = t->closed >= 0.0 && now - t->closed <= FH_CUT_SECONDS;
    *mark     = (FhMark){t->closed, now - t->closed, FH_MARK_CUT};
    t->opened = now;
    t->heard  = 0.0;
  } else if (!open && t->open) {
    found     = t->heard < SHORT_SECONDS;
    *mark     = (FhMark){t->opened, t->heard, FH_MARK_SHORT};
    t->closed = now;
  }
  t->open     = open;
  t->sounding = sounding;
  t->last     = now;
  return found;
}

double
fh_look_end(const FhModel* const model)
{
  return model->look.frozen ? model->look.still - model->look.back : model->now;
}

void
fh_look_freeze(FhModel* const model, const bool on)
{
  FhLook* const look = &model->look;
  if (on && !look->frozen) {
    model->kept = model->history;
  }
  look->still  = on ? model->now : 0.0;
  look->frozen = on;
  look->back   = 0;
  look->held   = false;
  if (!on && look->keyed) {
    look->keyed = look->pointed = false;
  }
}

void
fh_look_back(FhModel* const model, const int seconds)
{
  const int most   = (int)(FH_HISTORY_SECONDS - FH_SEEN_SECONDS);
  const int wanted = model->look.back + seconds;
  model->look.back = !model->look.frozen || wanted < 0 ? 0 : wanted > most ? most : wanted;
}

void
fh_look_point(FhModel* const model, const double ago)
{
  FhLook* const look = &model->look;
  if (ago >= 0.0) {
    look->pointed = true;
    look->keyed   = false;
    look->ago     = ago;
  } else if (!look->keyed) {
    look->pointed = false;
  }
  if (look->held && ago >= 0.0) {
    const int back = (int)lround(look->held_at - ago);
    look->moved    = look->moved || back != look->back;
    fh_look_back(model, back - look->back);
  }
}

void
fh_look_press(FhModel* const model, const double ago)
{
  FhLook* const look  = &model->look;
  const bool    first = !look->frozen;
  if (first) {
    fh_look_freeze(model, true);
  }
  look->held    = true;
  look->moved   = first;
  look->held_at = look->back + ago;
}

void
fh_look_release(FhModel* const model)
{
  if (model->look.held && !model->look.moved) {
    fh_look_freeze(model, false);
  }
  model->look.held = false;
}

/// Look at a time, and bring it in sight
static void
look_at(FhModel* const model, const double before_still)
{
  FhLook* const look = &model->look;
  const double  at   = fmin(fmax(before_still, 0.0), FH_HISTORY_SECONDS);
  if (at < look->back) {
    look->back = (int)floor(at);
  } else if (at > look->back + FH_SEEN_SECONDS) {
    fh_look_back(model, (int)ceil(at - FH_SEEN_SECONDS) - look->back);
  }
  look->ago     = at - look->back;
  look->pointed = look->keyed = true;
}

void
fh_look_step(FhModel* const model, const double seconds)
{
  if (model->look.frozen) {
    look_at(model, model->look.back + (model->look.pointed ? model->look.ago : 0.0) - seconds);
  }
}

/// Go through the marks of what is kept. @return how many of each kind; the nearest to `at` on the side `way` is put in
/// `found` (0: on either side), if there is one
static void
find_marks(const FhModel* const model, const double at, const int way, FhMark* const found, int count[3])
{
  FhTracker tracker = {0};
  FhMark    mark;
  for (size_t age = fh_model_frames(model); age-- > 0;) {
    if (fh_track(&tracker, fh_model_frame(model, age), &mark)) {
      const double off    = mark.seconds - at;
      const bool   side   = !way || off * way > 1e-6;
      const bool   nearer = !found->kind || fabs(off) < fabs(found->seconds - at);
      *found              = side && nearer ? mark : *found;
      ++count[mark.kind];
    }
  }
}

bool
fh_look_mark(FhModel* const model, const int way)
{
  const FhLook* const look     = &model->look;
  FhMark              found    = {0};
  int                 count[3] = {0};
  if (!look->frozen) {
    return false;
  }
  find_marks(model, fh_look_end(model) - (look->pointed ? look->ago : 0.0), way, &found, count);
  if (found.kind) {
    look_at(model, look->still - found.seconds);
  }
  return found.kind != FH_MARK_NONE;
}

/// The frame that held at a time, or NULL
static const FhFrame*
frame_at(const FhModel* const model, const double seconds)
{
  const size_t frames = fh_model_frames(model);
  size_t       age    = 0;
  while (age < frames && fh_model_frame(model, age)->seconds > seconds) {
    ++age;
  }
  return age < frames ? fh_model_frame(model, age) : NULL;
}

/// What the gate did, in a word
static const char*
state_text(const float v[FH_CONTROL_COUNT])
{
  return v[FH_ENABLED] <= 0.0f ? "Bypassed"
         : v[FH_MUTED] > 0.0f  ? "Muted"
         : lrintf(v[FH_FAULT]) ? fh_fault_word((int)lrintf(v[FH_FAULT]))
                               : fh_state_word((int)lrintf(v[FH_STATE]));
}

static void
place_text(const FhModel* const model, const bool brief, char* const text, const size_t size)
{
  const FhLook* const  look     = &model->look;
  const double         at       = fh_look_end(model) - look->ago;
  const FhFrame* const frame    = frame_at(model, at + 1e-6);
  const double         ago      = look->ago + look->back;
  FhMark               mark     = {0};
  int                  count[3] = {0};
  char                 close[24], excess[24], opens[24], note[48];
  if (!frame) {
    snprintf(text, size, "\u2212%.1f s: not looked at yet", ago);
    return;
  }
  find_marks(model, at, 0, &mark, count);
  const bool here = mark.kind && fabs(mark.seconds - at) <= NEAR_SECONDS;
  fh_value_text(FH_CLOSE_LEVEL, frame->v[FH_CLOSE_LEVEL], close, sizeof(close));
  fh_value_text(FH_EXCESS, frame->v[FH_EXCESS], excess, sizeof(excess));
  fh_value_text(FH_OPEN_AT, frame->v[FH_OPEN_AT], opens, sizeof(opens));
  snprintf(note, sizeof(note), "%s", state_text(frame->v));
  if (here && mark.kind == FH_MARK_CUT) {
    snprintf(note, sizeof(note), "Note cut, %.2f s", mark.length);
  } else if (here) {
    snprintf(note, sizeof(note), "Open under 50 ms");
  }
  const int length = snprintf(text, size, "\u2212%.1f s: %s. %s%s", ago, note, brief ? "" : "Close ", close);
  if (!fh_is_blind(frame->v) && length > 0 && (size_t)length < size) { // Else there is nothing that it exceeds
    snprintf(text + length, size - (size_t)length, ", excess %s, opens %s%s", excess, brief ? "" : "at ", opens);
  }
}

bool
fh_look_text(const FhModel* const model, const bool brief, char* const text, const size_t size)
{
  const FhLook* const look = &model->look;
  if (look->pointed) {
    place_text(model, brief, text, size);
  } else if (look->frozen) {
    FhMark mark     = {0};
    int    count[3] = {0};
    find_marks(model, model->now, 0, &mark, count);
    snprintf(text, size, "Frozen. In %.0f s: %d under 50 ms, %d cut. Drag goes back", FH_HISTORY_SECONDS, count[FH_MARK_SHORT],
             count[FH_MARK_CUT]);
  }
  return look->pointed || look->frozen;
}
