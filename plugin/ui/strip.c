// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/strip.h"

#include <math.h>
#include <stddef.h>

#define LINE_WIDTH 1.8   ///< Of traces, units
#define UPRIGHT 1.2      ///< Width of a jump, units
#define DASH 16.0        ///< Period of dashes, units
#define DASH_DRAWN 0.70  ///< Part of the period that is drawn
#define RIBBON 9.0       ///< Height of the gate-open and fault ribbons, units
#define HATCH_GAP 8.0    ///< Units
#define BESIDE 1.0f      ///< That the close level is drawn beside the line where it would be on the other side, dB

bool
fh_is_open(const float v[FH_CONTROL_COUNT])
{
  const int state = (int)lrintf(v[FH_STATE]);
  const bool open = state == FH_STATE_OPENING || state == FH_STATE_OPEN || state == FH_STATE_HOLDING;
  return open && v[FH_ENABLED] > 0.0f && !fh_is_blind(v);
}

bool
fh_is_blind(const float v[FH_CONTROL_COUNT])
{
  const int fault = (int)lrintf(v[FH_FAULT]);
  return fault == FH_FAULT_NO_AMBIENT || fault == FH_FAULT_AMBIENT_IS_CLOSE || fault == FH_FAULT_SWAPPED;
}

/// The close level, on the side of the opening line where the gate has reason to be: it hears more than a level
static float
decided(const float v[FH_CONTROL_COUNT])
{
  const float line = v[FH_PICKUP_LEVEL] + v[FH_OPEN_AT], close = v[FH_CLOSE_LEVEL];
  return fh_is_blind(v) ? close : v[FH_EXCESS] > v[FH_OPEN_AT] ? fmaxf(close, line + BESIDE) : fminf(close, line - BESIDE);
}

static void
widen(FhSpan* const span, const float value, const bool first)
{
  span->lo = first ? value : fminf(span->lo, value);
  span->hi = first ? value : fmaxf(span->hi, value);
}

void
fh_column_add(FhColumn* const column, const float v[FH_CONTROL_COUNT])
{
  const bool first = !column->filled;
  widen(&column->close, decided(v), first);
  widen(&column->pickup, v[FH_PICKUP_LEVEL], first);
  widen(&column->line, v[FH_PICKUP_LEVEL] + v[FH_OPEN_AT], first);
  widen(&column->excess, v[FH_EXCESS], first);
  widen(&column->margin, v[FH_OPEN_AT], first);
  widen(&column->gate, v[FH_GATE_GAIN], first);
  widen(&column->duck, v[FH_DUCK_GAIN], first);
  column->open = (!first && column->open) || fh_is_open(v);
  const int fault = (int)lrintf(v[FH_FAULT]);
  if (first || fault) {
    column->fault = (uint8_t)fault;
  }
  column->mark   = first ? 0 : column->mark;
  column->filled = true;
}

void
fh_columns(FhColumn* const      columns,
           const size_t         count,
           const FhFrame* const frames,
           const size_t         n,
           const double         from,
           const double         to)
{
  for (size_t i = 0; i < count; ++i) {
    columns[i] = (FhColumn){0};
  }
  const double per_second = (double)count / (to - from);
  for (size_t i = 0; i < n; ++i) {
    const double end   = i + 1 < n ? frames[i + 1].seconds : to;
    const double start = (frames[i].seconds - from) * per_second;
    const double stop  = (end - from) * per_second;
    if (stop < 0.0 || start >= (double)count) {
      continue;
    }
    // A frame belongs to each column it touches, and to at least one
    const size_t first = (size_t)fmax(floor(start), 0.0);
    for (size_t c = first; c < count && (c == first || (double)c < stop); ++c) {
      fh_column_add(&columns[c], frames[i].v);
    }
  }
}

double
fh_lane_y(const FhLane* const lane, const double level)
{
  const double part = (lane->top - level) / (lane->top - lane->bottom);
  return lane->box.y + lane->box.h * fmin(fmax(part, 0.0), 1.0);
}

void
fh_lane_ground(const FhPen* const pen, const FhLane* const lane, const double step)
{
  fh_box(pen, lane->box, 0.0, FH_INK_PANEL, 1.0);
  for (double level = ceil(lane->bottom / step) * step; level <= lane->top; level += step) {
    const double pixel = pen->pixel;
    const double y     = round(fh_lane_y(lane, level) / pixel) * pixel;
    const double least = fmin(y, lane->box.y + lane->box.h - pixel);
    fh_box(pen, (FhBox){lane->box.x, least, lane->box.w, pixel}, 0.0, FH_INK_GRID, 1.0);
  }
}

// A trace is drawn as the area between its greatest and least values, a line width at least

static const FhColumn*
at(const FhRun* const run, const size_t index)
{
  return &run->columns[index % run->count];
}

static const FhSpan*
span_of(const FhColumn* const column, const size_t offset)
{
  return (const FhSpan*)((const char*)column + offset);
}

/// Where an edge of an area lies in the column at a running index, in user units
typedef double (*FhEdge)(const FhLane* lane, const FhRun* run, size_t index, size_t offset);

/// Whether a column belongs to an area; `period` is that of dashes, in columns
typedef bool (*FhWanted)(const FhColumn* column, size_t index, size_t period);

static double
left_of(const FhLane* const lane, const FhRun* const run, const size_t index)
{
  return lane->box.x + ((double)index - (double)run->left) * lane->column;
}

static bool
clip_to(const FhPen* const pen, const FhLane* const lane, const FhRun* const run)
{
  cairo_save(pen->cr);
  cairo_new_path(pen->cr);
  cairo_rectangle(pen->cr,
                  left_of(lane, run, run->first),
                  lane->box.y,
                  (double)(run->last - run->first) * lane->column,
                  lane->box.h);
  cairo_clip(pen->cr);
  return run->last > run->first;
}

/// Outline of columns first..last-1 between two edges, in steps: each column as it is, however short its peak
static void
outline(const FhPen* const  pen,
        const FhLane* const lane,
        const FhRun* const  run,
        const size_t        first,
        const size_t        last,
        const FhEdge        upper,
        const FhEdge        lower,
        const size_t        offset)
{
  cairo_new_sub_path(pen->cr);
  for (size_t i = first; i < last; ++i) {
    const double y = upper(lane, run, i, offset);
    cairo_line_to(pen->cr, left_of(lane, run, i), y);
    cairo_line_to(pen->cr, left_of(lane, run, i + 1), y);
  }
  for (size_t i = last; i-- > first;) {
    const double y = lower(lane, run, i, offset);
    cairo_line_to(pen->cr, left_of(lane, run, i + 1), y);
    cairo_line_to(pen->cr, left_of(lane, run, i), y);
  }
  cairo_close_path(pen->cr);
}

/// A column's span, made to reach the column before it: a jump is an upright, not a gap, and wide enough to be seen
static FhSpan
joined(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  FhSpan       span = *span_of(at(run, index), offset);
  const size_t wide = (size_t)fmax(lround(UPRIGHT / lane->column), 1.0);
  for (size_t i = index; i > 0 && i + wide > index && at(run, i - 1)->filled; --i) {
    const FhSpan* const now    = span_of(at(run, i), offset);
    const FhSpan* const before = span_of(at(run, i - 1), offset);
    if (now->lo > before->hi || now->hi < before->lo) { // They do not touch
      span.hi = fmaxf(span.hi, fmaxf(now->hi, before->lo));
      span.lo = fminf(span.lo, fminf(now->lo, before->hi));
    }
  }
  return span;
}

static double
trace_upper(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  return fh_lane_y(lane, (double)joined(lane, run, index, offset).hi) - LINE_WIDTH / 2.0;
}

static double
trace_lower(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  return fh_lane_y(lane, (double)joined(lane, run, index, offset).lo) + LINE_WIDTH / 2.0;
}

static double
edge(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  return fh_lane_y(lane, (double)span_of(at(run, index), offset)->hi);
}

static double
lane_floor(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  (void)run;
  (void)index;
  (void)offset;
  return lane->box.y + lane->box.h;
}

static double
lane_ceiling(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  (void)run;
  (void)index;
  (void)offset;
  return lane->box.y;
}

/// 0 dB: what no gain exceeds
static double
untouched(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  (void)run;
  (void)index;
  (void)offset;
  return fh_lane_y(lane, 0.0);
}

static double
close_over_pickup(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  (void)offset;
  const FhColumn* const column = at(run, index);
  return fh_lane_y(lane, (double)fmaxf(column->close.hi, column->pickup.hi));
}

static double
excess_over_margin(const FhLane* const lane, const FhRun* const run, const size_t index, const size_t offset)
{
  (void)offset;
  const FhColumn* const column = at(run, index);
  return fh_lane_y(lane, (double)fmaxf(column->excess.hi, column->margin.hi));
}

static bool
is_filled(const FhColumn* const column, const size_t index, const size_t period)
{
  (void)index;
  (void)period;
  return column->filled;
}

static bool
is_dash(const FhColumn* const column, const size_t index, const size_t period)
{
  return column->filled && (double)(index % period) < DASH_DRAWN * (double)period;
}

static bool
is_open(const FhColumn* const column, const size_t index, const size_t period)
{
  (void)index;
  (void)period;
  return column->filled && column->open;
}

static bool
is_fault(const FhColumn* const column, const size_t index, const size_t period)
{
  (void)index;
  (void)period;
  return column->filled && column->fault;
}

/// Path of all stretches of columns that are wanted
static void
stretches(const FhPen* const  pen,
          const FhLane* const lane,
          const FhRun* const  run,
          const FhWanted      wanted,
          const FhEdge        upper,
          const FhEdge        lower,
          const size_t        offset)
{
  const size_t period = (size_t)fmax(lround(DASH / lane->column), 2);
  cairo_new_path(pen->cr);
  for (size_t i = run->first; i < run->last;) {
    const size_t first = i;
    while (i < run->last && wanted(at(run, i), i, period)) {
      ++i;
    }
    if (i > first) {
      outline(pen, lane, run, first, i, upper, lower, offset);
    } else {
      ++i;
    }
  }
}

static void
draw_trace(const FhPen* const  pen,
           const FhLane* const lane,
           const FhRun* const  run,
           const size_t        offset,
           const FhWanted      wanted,
           const FhInk         ink)
{
  stretches(pen, lane, run, wanted, trace_upper, trace_lower, offset);
  fh_ink(pen, ink, 1.0);
  cairo_fill(pen->cr);
}

/// A bar along the lane's edge where a column is wanted
static void
draw_ribbon(const FhPen* const  pen,
            const FhLane* const lane,
            const FhRun* const  run,
            const FhWanted      wanted,
            const FhInk         ink,
            const bool          high)
{
  FhLane ribbon = *lane;
  ribbon.box.y  = high ? lane->box.y : lane->box.y + lane->box.h - RIBBON;
  ribbon.box.h  = RIBBON;
  stretches(pen, &ribbon, run, wanted, lane_ceiling, lane_floor, 0);
  fh_ink(pen, ink, 1.0);
  cairo_fill(pen->cr);
}

void
fh_draw_levels(const FhPen* const pen, const FhLane* const lane, const FhRun* const run)
{
  if (clip_to(pen, lane, run)) {
    stretches(pen, lane, run, is_open, lane_ceiling, lane_floor, 0);
    fh_ink(pen, FH_INK_OPEN, 0.12);
    cairo_fill(pen->cr);

    stretches(pen, lane, run, is_filled, close_over_pickup, edge, offsetof(FhColumn, pickup));
    fh_ink(pen, FH_INK_CLOSE, 0.22);
    cairo_fill(pen->cr);

    stretches(pen, lane, run, is_filled, edge, lane_floor, offsetof(FhColumn, pickup));
    fh_ink(pen, FH_INK_PICKUP, 0.16);
    cairo_fill_preserve(pen->cr);
    fh_hatch(pen, FH_INK_PICKUP, 0.55, HATCH_GAP, 0.9);

    draw_trace(pen, lane, run, offsetof(FhColumn, pickup), is_filled, FH_INK_PICKUP);
    draw_trace(pen, lane, run, offsetof(FhColumn, close), is_filled, FH_INK_CLOSE);
    draw_trace(pen, lane, run, offsetof(FhColumn, line), is_dash, FH_INK_LINE);
    draw_ribbon(pen, lane, run, is_open, FH_INK_OPEN, false);
    draw_ribbon(pen, lane, run, is_fault, FH_INK_FAULT, true);
  }
  cairo_restore(pen->cr);
}

void
fh_draw_excess(const FhPen* const pen, const FhLane* const lane, const FhRun* const run)
{
  if (clip_to(pen, lane, run)) {
    stretches(pen, lane, run, is_filled, excess_over_margin, edge, offsetof(FhColumn, margin));
    fh_ink(pen, FH_INK_OPEN, 0.30);
    cairo_fill(pen->cr);
    draw_trace(pen, lane, run, offsetof(FhColumn, excess), is_filled, FH_INK_CLOSE);
    draw_trace(pen, lane, run, offsetof(FhColumn, margin), is_dash, FH_INK_LINE);
  }
  cairo_restore(pen->cr);
}

void
fh_draw_gains(const FhPen* const pen, const FhLane* const lane, const FhRun* const run)
{
  if (clip_to(pen, lane, run)) {
    stretches(pen, lane, run, is_filled, untouched, edge, offsetof(FhColumn, gate));
    fh_ink(pen, FH_INK_PICKUP, 0.16);
    cairo_fill_preserve(pen->cr);
    fh_hatch(pen, FH_INK_PICKUP, 0.55, HATCH_GAP, 0.9);
    draw_trace(pen, lane, run, offsetof(FhColumn, gate), is_filled, FH_INK_OPEN);
    draw_trace(pen, lane, run, offsetof(FhColumn, duck), is_dash, FH_INK_TEXT);
  }
  cairo_restore(pen->cr);
}
