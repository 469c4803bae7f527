// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/run.h"

#include <math.h>

/// Sums of squares over the blocks of one kind
typedef struct {
  double close;   ///< Close microphones as they came
  double ambient;
  double out;     ///< Close microphones as they left
  double seconds;
} Powers;

bool
fh_state_is_open(const FhState state)
{
  return state == FH_STATE_OPENING || state == FH_STATE_OPEN || state == FH_STATE_HOLDING;
}

FhState
fh_frame_state(const FhFrame* const frame)
{
  return (FhState)lrintf(frame->v[FH_STATE]);
}

/// Add the sound of one block
static void
add_block(Powers* const powers, const FhTake* const take, const FhRun* const run, const size_t start, const size_t end)
{
  const uint32_t closes = run->out.channels;
  for (size_t i = start; i < end; ++i) {
    for (uint32_t c = 0; c < closes; ++c) {
      const double in  = (double)take->sound.data[c][i];
      const double out = (double)run->out.data[c][i];
      powers->close += in * in;
      powers->out += out * out;
    }
    const double ambient = (double)take->sound.data[closes][i];
    powers->ambient += ambient * ambient;
  }
  powers->seconds += (double)(end - start) / take->sound.rate;
}

/// 10 lg of a ratio of powers; NAN where one of them is nothing
static double
decibels(const double over, const double under)
{
  return over > 0.0 && under > 0.0 ? 10.0 * log10(over / under) : (double)NAN;
}

FhFigures
fh_take_figures(const FhTake* const take, const FhRun* const run)
{
  FhFigures figures  = {.seconds = fh_take_seconds(take)};
  Powers    open     = {0};
  Powers    rest     = {0};
  size_t    openings = 0;
  bool      was_open = true; // a take that begins open has not been opened
  size_t    start    = 0;
  for (size_t i = 0; i < run->frame_count; ++i) {
    const FhFrame* const frame   = &run->frames[i];
    const size_t         end     = (size_t)llrint(frame->seconds * take->sound.rate);
    const bool           is_open = fh_state_is_open(fh_frame_state(frame));
    const long           fault   = lrintf(frame->v[FH_FAULT]);
    add_block(is_open ? &open : &rest, take, run, start, end);
    openings += is_open && !was_open;
    if (fault >= 0 && fault < FH_FAULT_COUNT) {
      figures.fault_seconds[fault] += (double)(end - start) / take->sound.rate;
    }
    was_open = is_open;
    start    = end;
  }
  const double seconds        = open.seconds + rest.seconds;
  figures.open_percent        = seconds > 0.0 ? 100.0 * open.seconds / seconds : (double)NAN;
  figures.openings_per_minute = seconds > 0.0 ? 60.0 * (double)openings / seconds : (double)NAN;
  if (run->frame_count && lrintf(run->frames[0].v[FH_LISTEN]) == FH_LISTEN_OUTPUT) {
    figures.removed = decibels(rest.close, rest.out);
    figures.ducked  = decibels(open.close, open.out);
  } else {
    figures.removed = figures.ducked = (double)NAN; // the output is then not the processed sound
  }
  // At rest the close microphone hears the field alone: that gives the pickup to expect while open
  const double coupling = rest.ambient > 0.0 ? rest.close / rest.ambient : 0.0;
  figures.separation    = decibels(open.close, coupling * open.ambient);
  return figures;
}
