// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/run/run.h"

#include "command/base/complain.h"

#include <math.h>
#include <string.h>

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

/// 10 lg of a ratio of powers; NAN where one of them is nothing
static double
decibels(const double over, const double under)
{
  return over > 0.0 && under > 0.0 ? 10.0 * log10(over / under) : (double)NAN;
}

void
fh_tally_add(FhTally* const     tally,
             const FhFrame* const frame,
             const uint32_t     closes,
             const float* const in[],
             const float* const out[],
             const size_t       frames,
             const uint32_t     rate)
{
  const bool      is_open = fh_state_is_open(fh_frame_state(frame));
  const long      fault   = lrintf(frame->v[FH_FAULT]);
  FhPowers* const powers  = is_open ? &tally->open : &tally->rest;
  const double    seconds = (double)frames / rate;
  for (size_t i = 0; i < frames; ++i) {
    for (uint32_t c = 0; c < closes; ++c) {
      powers->close += (double)in[c][i] * (double)in[c][i];
      powers->out += (double)out[c][i] * (double)out[c][i];
    }
  }
  if (!tally->blocks) {
    tally->was_open = true; // a take that begins open has not been opened
    tally->hidden   = lrintf(frame->v[FH_LISTEN]) != FH_LISTEN_OUTPUT;
  }
  if (!tally->sounded && fault != FH_FAULT_NO_AMBIENT) {
    tally->sounded = true;
    if (frame->seconds < FH_FIRST_SOUND) {
      tally->fault_seconds[FH_FAULT_NO_AMBIENT] = 0.0; // as fh_forgive_start has it
    }
  }
  tally->again   = fh_learn_is_due(frame->v[FH_LEARN_RESULT]);
  if (fault >= 0 && fault < FH_FAULT_COUNT) {
    tally->fault_seconds[fault] += seconds;
  }
  tally->openings += is_open && !tally->was_open;
  tally->was_open = is_open;
  powers->seconds += seconds;
  ++tally->blocks;
}

FhFigures
fh_tally_figures(const FhTally* const tally)
{
  const FhPowers* const open    = &tally->open;
  const FhPowers* const rest    = &tally->rest;
  const double          seconds = open->seconds + rest->seconds;
  FhFigures             figures = {.seconds = seconds};
  figures.open_percent        = seconds > 0.0 ? 100.0 * open->seconds / seconds : (double)NAN;
  figures.openings_per_minute = seconds > 0.0 ? 60.0 * (double)tally->openings / seconds : (double)NAN;
  figures.removed = tally->hidden ? (double)NAN : decibels(rest->close, rest->out);
  figures.ducked  = tally->hidden ? (double)NAN : decibels(open->close, open->out);
  figures.separation = (double)NAN;
  figures.again      = tally->again;
  memcpy(figures.fault_seconds, tally->fault_seconds, sizeof(figures.fault_seconds));
  return figures;
}

bool
fh_take_standing(const FhTake* const take, FhStandsOut* const standing)
{
  FhSoundcheck mics = {.closes = take->sound.channels - 1, .frames = take->sound.frames, .rate = take->sound.rate};
  for (uint32_t c = 0; c <= mics.closes; ++c) {
    mics.mic[c] = take->sound.data[c];
  }
  return fh_standing_find(&mics, standing) || fh_complain("not enough memory; close other programs");
}

void
fh_figures_judge(FhFigures* const figures, const FhStandsOut* const standing)
{
  static const FhFault blind[] = {FH_FAULT_NO_AMBIENT, FH_FAULT_AMBIENT_IS_CLOSE, FH_FAULT_NO_CLOSE};
  figures->separation          = standing->separation;
  for (size_t i = 0; i < sizeof(blind) / sizeof(blind[0]); ++i) {
    figures->separation = 2.0 * figures->fault_seconds[blind[i]] > figures->seconds ? (double)NAN : figures->separation;
  }
  figures->verdict = fh_verdict(&(FhStanding){figures->separation, standing->rise, FH_VERDICT_UNKNOWN, figures->again});
}

FhFigures
fh_take_figures(const FhTake* const take, const FhRun* const run, const FhStandsOut* const standing)
{
  FhTally tally = {0};
  size_t  start = 0;
  for (size_t i = 0; i < run->frame_count; ++i) {
    const size_t end = (size_t)llrint(run->frames[i].seconds * take->sound.rate);
    const float* in[3];
    const float* out[2] = {NULL};
    for (uint32_t c = 0; c <= run->out.channels; ++c) {
      in[c] = take->sound.data[c] + start;
      if (c < run->out.channels) {
        out[c] = run->out.data[c] + start;
      }
    }
    fh_tally_add(&tally, &run->frames[i], run->out.channels, in, out, end - start, take->sound.rate);
    start = end;
  }
  FhFigures figures = fh_tally_figures(&tally);
  fh_figures_judge(&figures, standing);
  return figures;
}
