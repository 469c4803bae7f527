// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Frequency modulation after Chowning (JAES 21(7), 1973): brightness follows the envelope, as on a real horn.
// Bars are two decaying partials with a click, drums decaying noise with a tone.

#include "instrument.h"
#include "random.h"
#include "vary.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846
#define TABLE 8192

static float sine[TABLE + 1];

static void
fill_table(void)
{
  for (int i = 0; i <= TABLE; ++i) {
    sine[i] = (float)sin(2.0 * PI * i / TABLE);
  }
}

/// Sine of a phase in turns
static float
look(const double turns)
{
  const double t = (turns - floor(turns)) * TABLE;
  const int    i = (int)t;
  const float  f = (float)(t - i);
  return sine[i] + f * (sine[i + 1] - sine[i]);
}

typedef struct {
  double hertz;
  double amplitude;
  double length; ///< samples to the release
  double rate;
} Tone;

static size_t
sample_count(const Tone* const t, const double release, const size_t room)
{
  const double all = t->length + 7.0 * release * t->rate;
  return all < (double)room ? (size_t)all : room;
}

static void
fm_note(const FhInstrument* const in, const Tone t, const double strength, FhRandom* const r, float* const to, const size_t room)
{
  const size_t count   = sample_count(&t, in->release, room);
  const double attack  = in->attack * (2.0 - strength) * t.rate;
  const double limit   = fmax(0.35 * t.rate / (t.hertz * in->ratio) - 1.0, 0.0);
  const double index   = fmin(in->index * pow(strength, 0.8), limit) / (2.0 * PI);
  const double fall    = exp(-1.0 / (in->release * t.rate));
  const double vibrato = 5.2 / t.rate;
  double       phase   = 0.0;
  double       env     = 0.0;
  float        noise   = 0.0f;
  for (size_t n = 0; n < count; ++n) {
    const double x = (double)n;
    if (x < t.length) {
      const double rise = x < attack ? 0.5 - 0.5 * cos(PI * x / attack) : 1.0;
      env               = rise * (0.85 + 0.15 * exp(-(x - attack) / (0.12 * t.rate)));
      env               = fmin(env, 1.0);
    } else {
      env *= fall;
    }
    const double depth = 0.003 * fmin(x / (0.4 * t.rate), 1.0);
    phase += t.hertz / t.rate * (1.0 + depth * (double)look(vibrato * x));
    noise += 0.2f * (fh_random_noise(r) - noise);
    const double mod = index * env * (double)look(phase * in->ratio);
    to[n] += (float)(t.amplitude * env * ((double)look(phase + mod) + in->breath * (double)noise));
  }
}

static void
bar_note(const FhInstrument* const in, const Tone t, FhRandom* const r, float* const to, const size_t room)
{
  // lower bars ring longer, upper partials shorter (in inverse proportion to frequency)
  const double ring  = in->release * 440.0 / t.hertz;
  const double fall  = exp(-1.0 / (ring * t.rate));
  const double fall2 = exp(-in->ratio / (ring * t.rate));
  const double click = exp(-1.0 / (0.002 * t.rate));
  const size_t count = sample_count(&(Tone){0, 0, 0, t.rate}, ring, room);
  double       a = t.amplitude, b = t.amplitude * in->index, c = t.amplitude * 0.5;
  for (size_t n = 0; n < count; ++n) {
    const double turns = t.hertz / t.rate * (double)n;
    const double rise  = fmin((double)n / (in->attack * t.rate), 1.0);
    const double upper = t.hertz * in->ratio < 0.4 * t.rate ? b * (double)look(turns * in->ratio) : 0.0;
    to[n] += (float)(rise * (a * (double)look(turns) + upper + c * (double)fh_random_noise(r) * 0.3));
    a *= fall;
    b *= fall2;
    c *= click;
  }
}

static void
drum_note(const int drum, const Tone t, FhRandom* const r, float* const to, const size_t room)
{
  const int    cymbal = drum == 49 || drum == 51;
  const int    bass   = drum == 35;
  const int    snare  = drum == 38;
  const double hertz  = cymbal ? 0.0 : bass ? 55.0 : snare ? 190.0 : 90.0 + 12.0 * (drum - 43);
  const double ring   = drum == 49 ? 0.8 : drum == 51 ? 0.35 : bass ? 0.18 : snare ? 0.05 : 0.15;
  const double noisy  = cymbal ? 1.0 : snare ? 0.8 : 0.1;
  const double fall   = exp(-1.0 / (ring * t.rate));
  const size_t count  = sample_count(&(Tone){0, 0, 0, t.rate}, ring, room);
  const float  pole   = (float)(1.0 - exp(-2.0 * PI * (cymbal ? 4000.0 : snare ? 700.0 : 200.0) / t.rate));
  double       a      = t.amplitude;
  float        low    = 0.0f;
  for (size_t n = 0; n < count; ++n) {
    const float  white = fh_random_noise(r);
    const double bend  = 1.0 + exp(-(double)n / (0.02 * t.rate));
    low += pole * (white - low);
    const double noise = (double)(white - low);
    const double tone  = hertz > 0.0 ? (double)look(hertz * bend / t.rate * (double)n) : 0.0;
    to[n] += (float)(a * (noisy * noise + (1.0 - noisy) * tone));
    a *= fall;
  }
}

void
fh_synth_part(const FhInstrumentId id,
              const FhPart* const  part,
              const double         cents,
              const double         rate,
              float* const         to,
              const size_t         frames)
{
  const FhInstrument        in = fh_vary_instrument(part->sound, &fh_instruments[id]);
  FhRandom                  r  = fh_random((uint64_t)id + 77, part->count);
  fill_table();
  memset(to, 0, frames * sizeof(float));
  for (size_t i = 0; i < part->count; ++i) {
    const FhNote* const note  = &part->notes[i];
    const size_t        start = (size_t)(note->start * rate);
    const double        s     = (double)note->strength;
    if (start >= frames) {
      continue;
    }
    const Tone tone = {440.0 * exp2(((double)note->key - 69.0 + cents / 100.0) / 12.0), s * s, note->length * rate, rate};
    switch (in.sound) {
    case FH_SOUND_FM: fm_note(&in, tone, s, &r, to + start, frames - start); break;
    case FH_SOUND_BAR: bar_note(&in, tone, &r, to + start, frames - start); break;
    case FH_SOUND_DRUM: drum_note((int)note->key, tone, &r, to + start, frames - start); break;
    }
  }
  fh_set_level(to, frames, rate, in.level);
}
