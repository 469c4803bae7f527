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

void
fh_survey_free(FhSurvey* const survey)
{
  free(survey->power);
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
fh_survey_make(FhSurvey* const survey, FhRecording* const recording)
{
  const size_t n = recording->channels;
  *survey        = (FhSurvey){.seconds = FIRST, .channels = recording->channels};
  if (fh_recording_seconds(recording) <= FH_LISTEN) {
    return true;
  }
  FhFilter filters[FH_RECORDING_CHANNELS + 1];
  for (size_t c = 0; c < n; ++c) {
    filters[c] = fh_filter_make(recording->rate, 250.0, 4000.0);
  }
  float* const chunk    = malloc(FH_RECORDING_CHUNK * n * sizeof(float));
  FhProgress   progress = fh_progress_start("listening");
  survey->power         = malloc(CELLS * n * sizeof(float));
  bool ok = (chunk && survey->power) || fh_complain("not enough memory; close other programs");
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
  bool   chosen;
} Piece;

static Piece
make_piece(const FhSurvey* const survey, const FhChannels* const mics, const size_t first, const size_t cells)
{
  double close = 1e-12, ambient = 1e-12;
  for (size_t i = first; i < first + cells; ++i) {
    const float* const cell = survey->power + i * survey->channels;
    for (size_t c = 0; c + 1 < mics->count; ++c) {
      close += (double)cell[mics->at[c]] / (double)(mics->count - 1);
    }
    ambient += (double)cell[mics->at[mics->count - 1]];
  }
  return (Piece){.first = first, .close = 10.0 * log10(close), .ambient = 10.0 * log10(ambient),
                 .difference = 10.0 * log10(close / ambient)};
}

/// Choose the pieces in which the microphones differ most, or least
static void
choose(Piece* const pieces, const size_t count, const size_t wanted, const bool most, const double close, const double ambient)
{
  for (size_t k = 0; k < wanted; ++k) {
    Piece* best = NULL;
    for (size_t i = 0; i < count; ++i) {
      Piece* const p  = &pieces[i];
      const bool   ok = !p->chosen && (most ? p->close > close - LOUD : p->ambient > ambient - PLAYING);
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

void
fh_survey_choose(const FhSurvey* const    survey,
                 const FhRecording* const recording,
                 const FhChannels* const  mics,
                 const FhStretches* const asked,
                 FhStretches* const       parts)
{
  const double length = fh_recording_seconds(recording);
  *parts              = (FhStretches){.count = 1, .at = {{0.0, length}}};
  if (!survey->count) {
    return;
  }
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
  parts->count = 0;
  for (size_t i = 0; asked && i < asked->count && parts->count < FH_LIST_MAX / 2; ++i) {
    parts->at[parts->count++] = (FhStretch){fmax(0.0, asked->at[i].start - MARGIN), fmin(length, asked->at[i].end + MARGIN)};
  }
  for (size_t i = 0; i < count && parts->count < FH_LIST_MAX; ++i) {
    const double start = (double)pieces[i].first * survey->seconds;
    if (pieces[i].chosen) {
      parts->at[parts->count++] = (FhStretch){start, start + (double)cells * survey->seconds};
    }
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
