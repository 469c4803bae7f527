// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/excerpt.h"

#include "command/base/complain.h"
#include "command/base/progress.h"
#include "command/measure/filter.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CELLS 4096   // at most; then two become one
#define FIRST 1.0    // s of a cell at first
#define PIECE 8.0    // s listened to at once, at least
#define PIECES 30    // that fill FH_LISTEN
#define LOUD 25.0    // dB under its loudest piece, and a microphone is not heard
#define PLAYING 12.0 // dB under its loudest piece, and the band is not playing
#define MARGIN 1.0   // s round a stretch that was asked for
#define SURELY 6.0     // dB from the most that a microphone stands out over the ambient one: within them its soloist plays
#define PERHAPS 12.0   // dB; beyond them, not
#define WAKES 6.0      // dB that a microphone is louder at least where its soloist plays
#define LEAST 10.0     // s; with less left, all is heard

void
fh_survey_free(FhSurvey* const survey)
{
  free(survey->power);
  free(survey->apart);
  *survey = (FhSurvey){0};
}

static void
halve(FhSurvey* const survey)
{
  const size_t n = survey->channels;
  survey->count /= 2;
  survey->seconds *= 2.0;
  for (size_t i = 0; i < survey->count * n; ++i) {
    const size_t at  = i / n * 2 * n + i % n;
    survey->power[i] = 0.5f * (survey->power[at] + survey->power[at + n]);
  }
}

/// One cell of all channels
static bool
measure_cell(FhSurvey* const survey, FhRecording* const recording, FhFilter* const filters, float* const chunk)
{
  const size_t n      = survey->channels;
  const size_t frames = (size_t)(survey->seconds * recording->rate);
  float* const cell   = survey->power + survey->count * n;
  memset(cell, 0, n * sizeof(float));
  for (size_t done = 0; done < frames;) {
    const size_t count = frames - done < FH_RECORDING_CHUNK ? frames - done : FH_RECORDING_CHUNK;
    if (!fh_recording_read(recording, chunk, count)) {
      return false;
    }
    for (size_t c = 0; c < n; ++c) {
      double sum = 0.0;
      for (size_t i = 0; i < count; ++i) {
        const double x = fh_filter_run(&filters[c], (double)chunk[i * n + c]);
        sum += x * x;
      }
      cell[c] += (float)(sum / (double)frames);
    }
    done += count;
  }
  ++survey->count;
  return true;
}

bool
fh_survey_make(FhSurvey* const survey, FhRecording* const recording, const bool several)
{
  const size_t n = recording->channels;
  *survey        = (FhSurvey){.seconds = FIRST, .channels = recording->channels};
  if (fh_recording_seconds(recording) <= FH_LISTEN && !several) {
    return true;
  }
  FhFilter filters[FH_RECORDING_CHANNELS + 1];
  for (size_t c = 0; c < n; ++c) {
    filters[c] = fh_filter_make(recording->rate, 250.0, 4000.0);
  }
  float* const chunk    = malloc(FH_RECORDING_CHUNK * n * sizeof(float));
  FhProgress   progress = fh_progress_start("listening");
  survey->power         = malloc(CELLS * n * sizeof(float));
  survey->apart         = calloc(CELLS, sizeof(bool));
  bool ok = (chunk && survey->power && survey->apart) || fh_complain("not enough memory; close other programs");
  ok      = ok && fh_recording_seek(recording, 0);
  while (ok && recording->frames - recording->at >= (size_t)(survey->seconds * recording->rate)) {
    if (survey->count == CELLS) {
      halve(survey);
    }
    ok = recording->frames - recording->at < (size_t)(survey->seconds * recording->rate) ||
         measure_cell(survey, recording, filters, chunk);
    fh_progress_show(&progress, (double)recording->at / (double)recording->frames);
  }
  fh_progress_end(&progress);
  free(chunk);
  if (!ok) {
    fh_survey_free(survey);
  }
  return ok;
}

/// A piece of the recording as some microphones hear it
typedef struct {
  size_t first;      ///< Cell
  double close;      ///< dB
  double ambient;    ///< dB
  double difference; ///< dB
  bool   apart;      ///< Most of it is another's
  bool   chosen;
} Piece;

static Piece
make_piece(const FhSurvey* const survey, const FhChannels* const mics, const size_t first, const size_t cells)
{
  double close = 1e-12, ambient = 1e-12;
  size_t apart = 0;
  for (size_t i = first; i < first + cells; ++i) {
    apart += survey->apart[i];
    const float* const cell = survey->power + i * survey->channels;
    for (size_t c = 0; c + 1 < mics->count; ++c) {
      close += (double)cell[mics->at[c]] / (double)(mics->count - 1);
    }
    ambient += (double)cell[mics->at[mics->count - 1]];
  }
  return (Piece){.first = first, .close = 10.0 * log10(close), .ambient = 10.0 * log10(ambient),
                 .difference = 10.0 * log10(close / ambient), .apart = 2 * apart > cells};
}

/// Mark the cells in which the soloist of some microphones plays
/// @param surely None where nobody can be told from the field; else those too in which somebody may play
static void
mark_playing(const FhSurvey* const survey, const FhChannels* const mics, const bool surely, bool* const plays)
{
  double loudest = -HUGE_VAL, softest = HUGE_VAL, most = -HUGE_VAL, least = HUGE_VAL;
  for (size_t i = 0; i < survey->count; ++i) {
    const Piece cell = make_piece(survey, mics, i, 1);
    loudest          = fmax(loudest, cell.close);
    softest          = fmin(softest, cell.close);
  }
  const double within      = surely ? SURELY : PERHAPS;
  const double least_close = fmax(loudest - LOUD, softest + WAKES);
  for (size_t i = 0; i < survey->count; ++i) {
    const Piece cell = make_piece(survey, mics, i, 1);
    most  = cell.close > least_close ? fmax(most, cell.difference) : most;
    least = fmin(least, cell.difference);
  }
  for (size_t i = 0; i < survey->count; ++i) {
    const Piece cell = make_piece(survey, mics, i, 1);
    plays[i]         = (!surely || most - least > within) && cell.close > least_close && cell.difference > most - within;
  }
}

void
fh_survey_leave(FhSurvey* const survey, const FhChannels* const all, const size_t count, const FhChannels* const own)
{
  bool   here[CELLS], there[CELLS];
  size_t left = survey->count;
  memset(survey->apart, 0, CELLS * sizeof(bool));
  mark_playing(survey, own, false, here);
  for (size_t k = 0; k < count; ++k) {
    if (all[k].at[0] == own->at[0]) {
      continue;
    }
    mark_playing(survey, &all[k], true, there);
    for (size_t i = 0; i < survey->count; ++i) {
      there[i] = there[i] && !here[i];
    }
    for (size_t i = 0; i < survey->count; ++i) { // with the cells beside them, into which notes ring
      const bool near = there[i] || (i && there[i - 1]) || (i + 1 < survey->count && there[i + 1]);
      left -= near && !here[i] && !survey->apart[i];
      survey->apart[i] = survey->apart[i] || (near && !here[i]);
    }
  }
  if ((double)left * survey->seconds < LEAST) {
    memset(survey->apart, 0, CELLS * sizeof(bool));
  }
}

/// Choose the pieces in which the microphones differ most, or least
static void
choose(Piece* const pieces, const size_t count, const size_t wanted, const bool most, const double close, const double ambient)
{
  for (size_t k = 0; k < wanted; ++k) {
    Piece* best = NULL;
    for (size_t i = 0; i < count; ++i) {
      Piece* const p  = &pieces[i];
      const bool   ok = !p->chosen && !p->apart && (most ? p->close > close - LOUD : p->ambient > ambient - PLAYING);
      if (ok && (!best || (most ? p->difference > best->difference : p->difference < best->difference))) {
        best = p;
      }
    }
    if (!best) {
      return;
    }
    best->chosen = true;
  }
}

static int
by_start(const void* const a, const void* const b)
{
  const double x = ((const FhStretch*)a)->start;
  const double y = ((const FhStretch*)b)->start;
  return (x > y) - (x < y);
}

/// In order, and joined where they meet
static void
tidy(FhStretches* const parts)
{
  size_t n = 0;
  qsort(parts->at, parts->count, sizeof(parts->at[0]), by_start);
  for (size_t i = 0; i < parts->count; ++i) {
    if (n && parts->at[i].start <= parts->at[n - 1].end + 0.1) {
      parts->at[n - 1].end = fmax(parts->at[n - 1].end, parts->at[i].end);
    } else {
      parts->at[n++] = parts->at[i];
    }
  }
  parts->count = n;
}

/// Choose the pieces of a long recording, as cells
static void
choose_cells(const FhSurvey* const survey, const FhChannels* const mics, bool* const chosen)
{
  const size_t cells  = (size_t)ceil(PIECE / survey->seconds);
  const size_t count  = survey->count / cells;
  const size_t wanted = (size_t)fmax(2.0, PIECES * PIECE / (survey->seconds * (double)cells));
  double       close = -1e9, ambient = -1e9;
  Piece        pieces[CELLS];
  for (size_t i = 0; i < count; ++i) {
    pieces[i] = make_piece(survey, mics, i * cells, cells);
    close     = fmax(close, pieces[i].close);
    ambient   = fmax(ambient, pieces[i].ambient);
  }
  choose(pieces, count, wanted / 2, true, close, ambient);
  choose(pieces, count, wanted - wanted / 2, false, close, ambient);
  for (size_t i = 0; i < survey->count; ++i) {
    chosen[i] = i / cells < count && pieces[i / cells].chosen;
  }
}

void
fh_survey_choose(const FhSurvey* const    survey,
                 const FhRecording* const recording,
                 const FhChannels* const  mics,
                 const FhStretches* const asked,
                 FhStretches* const       parts)
{
  const double length = fh_recording_seconds(recording);
  const bool   whole  = length <= FH_LISTEN;
  bool         chosen[CELLS];
  *parts = (FhStretches){.count = 1, .at = {{0.0, length}}};
  if (!survey->count || (whole && !memchr(survey->apart, true, survey->count))) {
    return;
  }
  memset(chosen, true, sizeof(chosen));
  if (!whole) {
    choose_cells(survey, mics, chosen);
  }
  parts->count = 0;
  for (size_t i = 0; asked && i < asked->count && parts->count < FH_LIST_MAX / 2; ++i) {
    parts->at[parts->count++] = (FhStretch){fmax(0.0, asked->at[i].start - MARGIN), fmin(length, asked->at[i].end + MARGIN)};
  }
  bool before = false;
  for (size_t i = 0; i < survey->count; ++i) {
    const bool   now = chosen[i] && !survey->apart[i];
    const double end = (double)(i + 1) * survey->seconds;
    if (now && before) {
      parts->at[parts->count - 1].end = end;
    } else if (now && parts->count < FH_LIST_MAX) {
      parts->at[parts->count++] = (FhStretch){end - survey->seconds, end};
    }
    before = now && parts->at[parts->count - 1].end == end;
  }
  tidy(parts);
}

double
fh_parts_time(const FhStretches* const parts, const double seconds)
{
  double before = 0.0;
  for (size_t i = 0; i < parts->count; ++i) {
    if (seconds >= parts->at[i].start && seconds <= parts->at[i].end) {
      return before + seconds - parts->at[i].start;
    }
    before += parts->at[i].end - parts->at[i].start - FH_TAKE_JOIN;
  }
  return 0.0;
}
