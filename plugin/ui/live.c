// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/live.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SPARE 64      ///< Columns kept beyond what is seen, so that the ends know their neighbours
#define FLAG 10.0      ///< Width of a flag, units
#define FLAG_TOP 12.0  ///< Below the ribbon of faults
#define POLE 26.0
#define GRID_EVERY 1.0 ///< Seconds between upright lines

/// Running index of a time; starts beyond one ring, so that what is seen never begins below 0
static size_t
index_of(const FhLive* const live, const double seconds)
{
  return live->count + (size_t)fmax(floor(seconds * live->per_second), 0.0);
}

/// Move the newest column to `index`, repeating the last values on the way
static void
move_to(FhLive* const live, const size_t index, const float v[FH_CONTROL_COUNT])
{
  size_t first = live->newest + 1;
  if (index > live->newest + live->count) {
    first = index - live->count + 1;
  }
  for (size_t i = first; i <= index; ++i) {
    FhColumn* const column = &live->columns[i % live->count];
    column->filled         = false;
    fh_column_add(column, v);
  }
  if (index > live->newest) {
    live->newest = index;
  }
  live->columns[(live->newest + 1) % live->count].filled = false; // Nothing is known of what comes
}

/// Mark the column in which something began. @return its index
static size_t
add_mark(FhLive* const live, const FhMark* const mark)
{
  const size_t index = index_of(live, mark->seconds);
  if (index + live->count > live->newest) {
    live->columns[index % live->count].mark = (uint8_t)mark->kind;
  }
  return index;
}

/// Take the newest frames, but none beyond the right edge. @return the first running index that must be drawn again
static size_t
take(FhLive* const live, const FhModel* const model, const size_t unread)
{
  const size_t frames = fh_model_frames(model);
  const double end    = fh_look_end(model);
  size_t       dirty  = live->newest;
  for (size_t age = unread; age-- > 0;) {
    const FhFrame* const frame = fh_model_frame(model, age);
    const size_t         index = index_of(live, frame->seconds);
    if (frame->seconds > end) {
      break;
    }
    // The time up to now still had the values before, as far as is known
    const FhFrame* const before = age + 1 < frames ? fh_model_frame(model, age + 1) : frame;
    if (index > live->newest + 1) {
      move_to(live, index - 1, before->v);
    }
    move_to(live, index, frame->v);
    fh_column_add(&live->columns[index % live->count], frame->v);
    FhMark mark;
    if (fh_track(&live->tracker, frame, &mark)) {
      const size_t begun = add_mark(live, &mark);
      dirty              = begun < dirty ? begun : dirty;
    }
  }
  live->read = model->history.written;
  return dirty;
}

size_t
fh_live_advance(FhLive* const live, const FhModel* const model)
{
  const size_t frames = fh_model_frames(model);
  const size_t unread = model->history.written - live->read;
  if (!unread || model->look.frozen) {
    return live->newest + 1;
  }
  return take(live, model, unread < frames ? unread : frames);
}

double
fh_live_column(const FhLive* const live, const double seconds)
{
  const double column = (double)index_of(live, seconds) - (double)(live->newest + 1 - live->seen);
  return column < (double)live->seen ? column : -1.0;
}

int
fh_live_init(FhLive* const live, const FhLayout* const layout, const FhModel* const model)
{
  memset(live, 0, sizeof(*live));
  live->seen       = (size_t)fmax(round(layout->levels.w * layout->scale), 1.0);
  live->count      = live->seen + SPARE;
  live->per_second = (double)live->seen / FH_SEEN_SECONDS;
  live->columns    = (FhColumn*)calloc(live->count, sizeof(FhColumn));
  if (!live->columns) {
    return ENOMEM;
  }
  const size_t frames = fh_model_frames(model);
  const double oldest = frames ? fh_model_frame(model, frames - 1)->seconds : model->now;
  live->newest        = index_of(live, oldest);
  take(live, model, frames);
  return 0;
}

void
fh_live_free(FhLive* const live)
{
  free(live->columns);
  live->columns = NULL;
}

static bool
alike(const FhSpan* const a, const FhSpan* const b)
{
  return fabsf(a->lo - b->lo) < 0.05f && fabsf(a->hi - b->hi) < 0.05f;
}

bool
fh_live_still(const FhLive* const live)
{
  const FhColumn* const newest = &live->columns[live->newest % live->count];
  for (size_t i = 1; i < live->seen; ++i) {
    const FhColumn* const c = &live->columns[(live->newest - i) % live->count];
    if (c->filled != newest->filled || c->mark != newest->mark || c->open != newest->open || c->fault != newest->fault ||
        !alike(&c->close, &newest->close) || !alike(&c->pickup, &newest->pickup) || !alike(&c->line, &newest->line) ||
        !alike(&c->gate, &newest->gate) || !alike(&c->duck, &newest->duck)) {
      return false;
    }
  }
  return true;
}

/// Upright line at each whole second among the columns
static void
draw_seconds(const FhPen* const pen, const FhLane* const lane, const FhLive* const live, const FhRun* const run)
{
  for (size_t i = run->first; i < run->last; ++i) {
    const double here = floor((double)i / live->per_second / GRID_EVERY);
    const double next = floor((double)(i + 1) / live->per_second / GRID_EVERY);
    if (here != next) {
      const double x = lane->box.x + ((double)i - (double)run->left) * lane->column;
      fh_box(pen, (FhBox){x, lane->box.y, lane->column, lane->box.h}, 0.0, FH_INK_GRID, 1.0);
    }
  }
}

/// Ground of the columns of a run
static void
draw_ground(const FhPen* const  pen,
            const FhLane* const lane,
            const FhLive* const live,
            const FhRun* const  run,
            const double        step)
{
  FhLane part  = *lane;
  part.box.x   = lane->box.x + ((double)run->first - (double)run->left) * lane->column;
  part.box.w   = (double)(run->last - run->first) * lane->column;
  fh_lane_ground(pen, &part, step);
  draw_seconds(pen, lane, live, run);
}

/// A flag where something begins: filled for an opening too short, in two bars for a note that was cut. It hangs to the
/// right of its pole, over columns that are drawn later
static void
draw_marks(const FhPen* const pen, const FhLane* const lane, const FhRun* const run)
{
  const size_t reach = (size_t)ceil(FLAG / lane->column);
  const FhBox  part  = {lane->box.x + ((double)run->first - (double)run->left) * lane->column, lane->box.y,
                        (double)(run->last - run->first) * lane->column, lane->box.h};
  cairo_save(pen->cr);
  cairo_rectangle(pen->cr, part.x, part.y, part.w, part.h);
  cairo_clip(pen->cr);
  for (size_t i = run->first - reach; i < run->last; ++i) {
    const FhColumn* const column = &run->columns[i % run->count];
    if (column->filled && column->mark) {
      const double x = lane->box.x + ((double)i - (double)run->left) * lane->column;
      const double y = lane->box.y + FLAG_TOP;
      const bool   cut = column->mark == FH_MARK_CUT;
      fh_box(pen, (FhBox){x, y, 2.0, POLE}, 0.0, FH_INK_TEXT, 1.0);
      fh_box(pen, (FhBox){x, y, FLAG, cut ? 3.0 : 9.0}, 0.0, FH_INK_TEXT, 1.0);
      if (cut) {
        fh_box(pen, (FhBox){x, y + 6.0, FLAG, 3.0}, 0.0, FH_INK_TEXT, 1.0);
      }
    }
  }
  cairo_restore(pen->cr);
}

void
fh_live_draw(const FhPen* const    pen,
             const FhLayout* const layout,
             const FhLive* const   live,
             const size_t          first,
             const size_t          last,
             const size_t          left)
{
  const double pixel  = 1.0 / layout->scale;
  const FhRun  run    = {live->columns, live->count, first, last, left};
  const FhLane levels = {{0.0, 0.0, layout->levels.w, layout->levels.h}, FH_LIVE_TOP, FH_LIVE_BOTTOM, pixel};
  const FhLane gains  = {{0.0, layout->gains.y - layout->levels.y, layout->gains.w, layout->gains.h},
                         FH_GAINS_TOP,
                         FH_GAINS_BOTTOM,
                         pixel};
  draw_ground(pen, &levels, live, &run, 20.0);
  fh_draw_levels(pen, &levels, &run);
  draw_marks(pen, &levels, &run);
  if (fh_is_there(&layout->gains)) {
    draw_ground(pen, &gains, live, &run, 30.0);
    fh_draw_gains(pen, &gains, &run);
  }
}

void
fh_live_fill(const FhPen* const pen, const FhLayout* const layout, const FhLive* const live, size_t first, const size_t last)
{
  while (first < last) { // In pieces that do not wrap
    const size_t left = first / live->seen * live->seen;
    const size_t stop = left + live->seen < last ? left + live->seen : last;
    fh_live_draw(pen, layout, live, first, stop, left);
    first = stop;
  }
}
