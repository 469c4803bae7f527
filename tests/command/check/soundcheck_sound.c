// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "soundcheck_sound.h"

#include "../../noise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846

double
fh_made_noise(FhMaker* const m)
{
  return fh_noise(&m->seed);
}

double
fh_made_vary(FhMaker* const m, const double most)
{
  return m->take > 1 ? most * fh_made_noise(m) : 0.0;
}

float*
fh_made_channel(const FhMaker* const m, const size_t mic)
{
  return m->made.memory + mic * m->frames;
}

/// Add the partials into `out`, from time `t` (since the start of the sound) on, by turning a phasor
static void
add_partials(const FhMadeSound* const s, const double rate, const double t, double* const out, const size_t frames)
{
  for (int p = 0; p < s->partials; ++p) {
    const double turn = 2.0 * PI * s->hz * s->ratio[p];
    const double fall = exp(-s->decay[p] / rate);
    const double c    = fall * cos(turn / rate);
    const double q    = fall * sin(turn / rate);
    const double size = s->level[p] * exp(-s->decay[p] * t);
    double       re   = size * cos(turn * t + 1.7 * p);
    double       im   = size * sin(turn * t + 1.7 * p);
    for (size_t i = 0; i < frames; ++i) {
      out[i] += im;
      const double next = re * c - im * q;
      im                = re * q + im * c;
      re                = next;
    }
  }
}

void
fh_made_play(FhMaker* const m, const FhMadeSound* const s, const FhPath paths[FH_MICS])
{
  // The click is noise smoothed between its samples, so that it, too, can be delayed by fractions
  const size_t  clicks = (size_t)(0.04 * m->rate);
  double* const table  = calloc(clicks + 2, sizeof(double));
  for (size_t i = 0; table && i < clicks; ++i) {
    table[i] = fh_made_noise(m);
  }
  const size_t  length = (size_t)(s->length * m->rate);
  double* const sum    = malloc((length + 1) * sizeof(double));
  for (size_t mic = 0; table && sum && mic <= m->closes; ++mic) {
    const double begin = (s->start + paths[mic].seconds) * m->rate;
    const size_t first = (size_t)ceil(begin);
    memset(sum, 0, (length + 1) * sizeof(double));
    add_partials(s, m->rate, ((double)first - begin) / m->rate, sum, length);
    for (size_t i = 0; i < length && first + i < m->frames; ++i) {
      const double t    = ((double)(first + i) - begin) / m->rate;
      const double at   = t * m->rate / 2.0; // a click of half the bandwidth
      const size_t k    = (size_t)at;
      const double in   = fmin(1.0, t / s->attack);
      const double out  = fmax(0.0, fmin(1.0, (s->length - t) / 0.03));
      double       x    = sum[i];
      if (k < clicks) {
        const double turn = 0.5 - 0.5 * cos(PI * (at - (double)k));
        x += s->noise * exp(-t / 0.004) * (table[k] * (1.0 - turn) + table[k + 1] * turn);
      }
      x *= in * out;
      fh_made_channel(m, mic)[first + i] += (float)(paths[mic].gain * x);
    }
  }
  free(sum);
  free(table);
}

FhMadeSound
fh_made_blown(const double start, const double length, const int note)
{
  FhMadeSound s =
    {.start = start, .length = length, .hz = 440.0 * pow(2.0, (note - 69) / 12.0), .attack = 0.025, .noise = 0.3};
  for (int p = 0; p < 12 && s.hz * (p + 1) < 9000.0; ++p) {
    const double hz = s.hz * (p + 1);
    s.ratio[p]      = p + 1;
    s.level[p]      = 0.1 / (1.0 + pow(hz / 1200.0, 2.0));
    s.partials      = p + 1;
  }
  return s;
}

FhMadeSound
fh_made_bar(const double start, const int note)
{
  static const double ratios[] = {1.0, 4.0, 9.9};
  static const double levels[] = {0.16, 0.05, 0.02};
  FhMadeSound s =
    {.start = start, .length = 1.6, .hz = 440.0 * pow(2.0, (note - 69) / 12.0), .attack = 0.0008, .noise = 0.08};
  s.partials = 3;
  for (int p = 0; p < 3; ++p) {
    s.ratio[p] = ratios[p];
    s.level[p] = s.hz * ratios[p] < 10000.0 ? levels[p] : 0.0;
    s.decay[p] = 2.0 + s.hz * ratios[p] / 150.0;
  }
  return s;
}
