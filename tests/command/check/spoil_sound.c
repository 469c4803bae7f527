// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "spoil_parts.h"

#include "../../scenes/weather.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846
#define MOST_BLOCKS 8192

static double
gain_of(const double db)
{
  return pow(10.0, db / 20.0);
}

static int
by_size(const void* const a, const void* const b)
{
  const double x = *(const double*)a, y = *(const double*)b;
  return (x > y) - (x < y);
}

/// Mean square of 40 ms that one block in twenty passes
static double
loud_power(const float* const x, const size_t frames, const double rate)
{
  double       power[MOST_BLOCKS];
  const size_t step  = (size_t)(0.04 * rate);
  size_t       count = 0;
  for (size_t at = 0; at + step <= frames && count < MOST_BLOCKS; at += step) {
    power[count++] = fh_power(x, at, at + step);
  }
  qsort(power, count, sizeof(double), by_size);
  return count ? power[(size_t)(0.95 * (double)(count - 1))] : 0.0;
}

static double
peak_of(const float* const x, const size_t frames)
{
  double peak = 1e-9;
  for (size_t i = 0; i < frames; ++i) {
    peak = fmax(peak, fabs((double)x[i]));
  }
  return peak;
}

static void
multiply(float* const x, const size_t frames, const double gain)
{
  for (size_t i = 0; i < frames; ++i) {
    x[i] *= (float)gain;
  }
}

static void
blow(FhSpoiling* const s, const size_t mic, const double over)
{
  float* const wind = malloc(s->frames * sizeof(float));
  const double gain = sqrt(loud_power(s->sum[mic], s->frames, s->rate)) * gain_of(over);
  if (wind) {
    fh_make_wind(s->random, 1, s->rate, wind, s->frames);
    for (size_t i = 0; i < s->frames; ++i) {
      s->sum[mic][i] += (float)gain * wind[i];
    }
  }
  free(wind);
}

/// A thump from `at` on: a damped low tone with some rustle, peak 1
static void
thump(FhSpoiling* const s, const size_t mic, const size_t at, const double gain, const double hertz,
      const double decay)
{
  double low = 0.0;
  for (size_t i = 0; i < (size_t)(8.0 * decay * s->rate) && at + i < s->frames; ++i) {
    const double t = (double)i / s->rate;
    low += 0.03 * ((double)fh_random_noise(&s->random) - low);
    s->sum[mic][at + i] += (float)(gain * exp(-t / decay) * (sin(2.0 * PI * hertz * t) + 1.5 * low));
  }
}

static void
handle(FhSpoiling* const s, const double over)
{
  const double gain = peak_of(s->sum[0], s->frames) * gain_of(over);
  for (int i = 0; i < 6; ++i) {
    const double at = fh_random_in(&s->random, 0.5, (double)s->frames / s->rate - 1.0);
    thump(s, 0, (size_t)(at * s->rate), gain, fh_random_in(&s->random, 25.0, 45.0), 0.06);
  }
}

/// Breath blows into the microphone where sung notes begin
static void
pop_consonants(FhSpoiling* const s, const double over)
{
  const float* const voice = s->rehearsal->solo[0];
  const double       gain  = peak_of(voice, s->frames) * gain_of(over);
  const double       loud  = loud_power(voice, s->frames, s->rate);
  const size_t       step  = (size_t)(0.02 * s->rate);
  double             last  = -1.0;
  for (size_t at = 4 * step; at + 3 * step < s->frames; at += step) {
    const double t = (double)at / s->rate;
    const bool   begins =
      fh_power(voice, at - 2 * step, at) < 0.1 * loud && fh_power(voice, at + step, at + 3 * step) > 0.2 * loud;
    if (begins && t > last + 0.9) {
      thump(s, 0, at, gain, fh_random_in(&s->random, 20.0, 40.0), 0.03);
      last = t;
    }
  }
}

static void
hum(FhSpoiling* const s, const size_t mic, const double over)
{
  static const double parts[] = {1.0, 0.7, 0.5, 0.3, 0.3, 0.2};
  const double mains = fh_random_below(&s->random, 2) ? 50.0 : 60.0;
  const double gain  = sqrt(loud_power(s->sum[mic], s->frames, s->rate) * 2.0 / 1.96) * gain_of(over);
  for (size_t i = 0; i < s->frames; ++i) {
    for (int h = 0; h < 6; ++h) {
      s->sum[mic][i] += (float)(gain * parts[h] * sin(2.0 * PI * mains * (h + 1) * (double)i / s->rate + h));
    }
  }
}

static void
hiss(FhSpoiling* const s, const double over)
{
  const double gain = sqrt(loud_power(s->sum[0], s->frames, s->rate)) * gain_of(over) * 1.74; // 1/3 lies under 8 kHz
  for (size_t i = 0; i < s->frames; ++i) {
    s->sum[0][i] += (float)gain * fh_random_noise(&s->random);
  }
}

/// The radio loses the close microphone while it plays
static void
drop_out(FhSpoiling* const s, const int gaps)
{
  const double loud = loud_power(s->sum[0], s->frames, s->rate);
  for (int made = 0, tries = 0; made < gaps && tries < 2000; ++tries) {
    const size_t length = (size_t)(fh_random_in(&s->random, 0.015, 0.08) * s->rate);
    const size_t at     = (size_t)(fh_random_in(&s->random, 0.3, (double)s->frames / s->rate - 0.5) * s->rate);
    if (fh_power(s->sum[0], at - length, at) < 0.1 * loud || fh_power(s->sum[0], at, at + length) < 0.1 * loud) {
      continue;
    }
    memset(s->sum[0] + at, 0, length * sizeof(float));
    ++made;
  }
}

/// Phantom power on a bad contact: steps that leak away
static void
crackle(FhSpoiling* const s, const int pops)
{
  const size_t mic = s->closes;
  for (int i = 0; i < pops; ++i) {
    const size_t at   = (size_t)(fh_random_in(&s->random, 0.3, (double)s->frames / s->rate - 0.5) * s->rate);
    const double size = fh_random_in(&s->random, 0.2, 0.7) * (fh_random_below(&s->random, 2) ? 1.0 : -1.0);
    const double leak = fh_random_in(&s->random, 0.004, 0.015);
    for (size_t k = 0; k < (size_t)(10.0 * leak * s->rate) && at + k < s->frames; ++k) {
      s->sum[mic][at + k] += (float)(size * exp(-(double)k / (leak * s->rate)));
    }
  }
}

static void
drift(FhSpoiling* const s, const double over)
{
  for (size_t i = 0; i < s->frames; ++i) {
    s->sum[s->closes][i] *= (float)gain_of(over * (double)i / (double)s->frames);
  }
}

/// A stage that bends what is loud and leaves the peak below full scale
static void
bend(FhSpoiling* const s, const double over)
{
  const double drive = gain_of(over) / peak_of(s->sum[0], s->frames);
  for (size_t i = 0; i < s->frames; ++i) {
    s->sum[0][i] = (float)(0.5 * tanh(drive * (double)s->sum[0][i]));
  }
}

static void
clip(FhSpoiling* const s, const double over)
{
  const double gain = gain_of(over) / peak_of(s->sum[0], s->frames);
  for (size_t i = 0; i < s->frames; ++i) {
    s->sum[0][i] = (float)fmin(fmax(gain * (double)s->sum[0][i], -1.0), 1.0);
  }
}

static void
set_level(FhSpoiling* const s, const size_t mic, const double to)
{
  multiply(s->sum[mic], s->frames, gain_of(to) / sqrt(loud_power(s->sum[mic], s->frames, s->rate)));
}

static void
delay(FhSpoiling* const s, const size_t mic, const double ms)
{
  const size_t by = (size_t)(0.001 * ms * s->rate);
  memmove(s->sum[mic] + by, s->sum[mic], (s->frames - by) * sizeof(float));
  memset(s->sum[mic], 0, by * sizeof(float));
}

/// Nothing but the noise of an input, half of it leaking over from the next one
static void
kill_input(FhSpoiling* const s, const size_t mic, const double level)
{
  const size_t other = mic == s->closes ? 0 : s->closes;
  const double leak  = gain_of(level - 3.0) / sqrt(loud_power(s->sum[other], s->frames, s->rate) + 1e-20);
  for (size_t i = 0; i < s->frames; ++i) {
    const double noise = gain_of(level - 3.0) * (double)fh_random_noise(&s->random);
    s->sum[mic][i]     = level < -150.0 ? 0.0f : (float)(noise + leak * (double)s->sum[other][i]);
  }
}

/// The close signal comes on the ambient input, too: to the bit at 0 dB, else through a converter of its own
static void
copy_close(FhSpoiling* const s, const double level)
{
  float* const to = s->sum[s->closes];
  for (size_t i = 0; i < s->frames; ++i) {
    const double noise = level < 0.0 ? gain_of(-82.0) * (double)fh_random_noise(&s->random) : 0.0;
    to[i]              = (float)(gain_of(level) * (double)s->sum[0][i] + noise);
  }
}

static void
swap(FhSpoiling* const s)
{
  float* const close = s->sum[0];
  s->sum[0]          = s->sum[s->closes];
  s->sum[s->closes]  = close;
}

void
fh_spoil_sound(FhSpoiling* const s, const FhSpoil what, const double amount)
{
  switch (what) {
  case FH_SPOIL_WIND_CLOSE: blow(s, 0, amount); break;
  case FH_SPOIL_WIND_AMBIENT: blow(s, s->closes, amount); break;
  case FH_SPOIL_PLOSIVE: pop_consonants(s, amount); break;
  case FH_SPOIL_HANDLING: handle(s, amount); break;
  case FH_SPOIL_HUM: hum(s, (size_t)fh_random_below(&s->random, 2) * s->closes, amount); break;
  case FH_SPOIL_HISS: hiss(s, amount); break;
  case FH_SPOIL_DROPOUTS: drop_out(s, (int)amount); break;
  case FH_SPOIL_POPS: crackle(s, (int)amount); break;
  case FH_SPOIL_DRIFT: drift(s, amount); break;
  case FH_SPOIL_OVERDRIVEN: bend(s, amount); break;
  case FH_SPOIL_CLIPPED: clip(s, amount); break;
  case FH_SPOIL_FAINT_CLOSE: set_level(s, 0, amount); break;
  case FH_SPOIL_FAINT_AMBIENT: set_level(s, s->closes, amount); break;
  case FH_SPOIL_INVERTED: multiply(s->sum[s->closes], s->frames, -1.0); break;
  case FH_SPOIL_LATE: delay(s, s->closes, amount); break;
  case FH_SPOIL_EARLY:
    for (size_t m = 0; m < s->closes; ++m) {
      delay(s, m, amount);
    }
    break;
  case FH_SPOIL_DEAD_AMBIENT: kill_input(s, s->closes, amount); break;
  case FH_SPOIL_DEAD_CLOSE:
    for (size_t m = 0; m < s->closes; ++m) {
      kill_input(s, m, amount);
    }
    break;
  case FH_SPOIL_COPIED: copy_close(s, amount); break;
  case FH_SPOIL_SWAPPED: swap(s); break;
  default: break;
  }
}
