// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Sampled instruments: one player at a time through libfluidsynth, reverb and chorus off. Drums of a sound font
// span a wide range of panning, so left and right are summed.

#include "instrument.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef FH_WITH_FLUIDSYNTH

bool
fh_sampled_available(const char** const why)
{
  *why = "built without libfluidsynth: install libfluidsynth-dev and timgm6mb-soundfont, then set up the build again";
  return false;
}

bool
fh_sampled_part(const FhInstrumentId id,
                const FhPart* const  part,
                const double         cents,
                const double         rate,
                float* const         to,
                const size_t         frames)
{
  (void)id, (void)part, (void)cents, (void)rate;
  memset(to, 0, frames * sizeof(float));
  return false;
}

#else

#include <fluidsynth.h>

#define SOUND_FONT "/usr/share/sounds/sf2/TimGM6mb.sf2"
#define BLOCK 64

bool
fh_sampled_available(const char** const why)
{
  FILE* const font = fopen(SOUND_FONT, "rb");
  if (font) {
    fclose(font);
  }
  *why = "no " SOUND_FONT ": install timgm6mb-soundfont";
  return font != NULL;
}

typedef struct {
  double time; ///< s
  int    on;
  int    key, velocity;
} Event;

static int
by_time(const void* const a, const void* const b)
{
  const Event* const x = (const Event*)a;
  const Event* const y = (const Event*)b;
  if (x->time != y->time) {
    return x->time < y->time ? -1 : 1;
  }
  return x->on != y->on ? x->on - y->on : x->key - y->key; // ends come first
}

static size_t
make_events(const FhPart* const part, Event* const events)
{
  for (size_t i = 0; i < part->count; ++i) {
    const FhNote* const n        = &part->notes[i];
    const int           velocity = 1 + (int)(126.0f * n->strength);
    events[2 * i]                = (Event){n->start, 1, (int)n->key, velocity};
    events[2 * i + 1]            = (Event){n->start + n->length, 0, (int)n->key, 0};
  }
  qsort(events, 2 * part->count, sizeof(Event), by_time);
  return 2 * part->count;
}

static void
play(fluid_synth_t* const synth, const FhPart* const part, const int drums, const double rate, float* const to, const size_t frames)
{
  const int    channel = drums ? 9 : 0;
  Event* const events  = (Event*)calloc(2 * part->count + 1, sizeof(Event));
  const size_t count   = events ? make_events(part, events) : 0;
  size_t       next    = 0;
  for (size_t n = 0; n < frames; n += BLOCK) {
    for (; next < count && events[next].time * rate < (double)(n + BLOCK); ++next) {
      if (events[next].on) {
        fluid_synth_noteon(synth, channel, events[next].key, events[next].velocity);
      } else {
        fluid_synth_noteoff(synth, channel, events[next].key);
      }
    }
    float     left[BLOCK], right[BLOCK];
    const int block = frames - n < BLOCK ? (int)(frames - n) : BLOCK;
    fluid_synth_write_float(synth, block, left, 0, 1, right, 0, 1);
    for (int i = 0; i < block; ++i) {
      to[n + (size_t)i] = left[i] + right[i];
    }
  }
  free(events);
}

/// Samples of a sound font may carry an offset, air does not: a high-pass of two equal poles at 10 Hz, which leaves the
/// lowest note of all, 44 Hz, within 0.5 dB
static void
remove_offset(float* const x, const double rate, const size_t frames)
{
  const double fresh = 1.0 - exp(-2.0 * 3.14159265358979 * 10.0 / rate);
  double       low[2] = {0.0, 0.0};
  for (size_t n = 0; n < frames; ++n) {
    double y = (double)x[n];
    for (int i = 0; i < 2; ++i) {
      low[i] += fresh * (y - low[i]);
      y -= low[i];
    }
    x[n] = (float)y;
  }
}

bool
fh_sampled_part(const FhInstrumentId id,
                const FhPart* const  part,
                const double         cents,
                const double         rate,
                float* const         to,
                const size_t         frames)
{
  const FhInstrument* const in       = &fh_instruments[id];
  fluid_settings_t* const   settings = new_fluid_settings();
  fluid_settings_setnum(settings, "synth.sample-rate", rate);
  fluid_settings_setnum(settings, "synth.gain", 0.5);
  fluid_settings_setint(settings, "synth.reverb.active", 0);
  fluid_settings_setint(settings, "synth.chorus.active", 0);
  fluid_settings_setint(settings, "synth.polyphony", 64);
  fluid_synth_t* const synth = new_fluid_synth(settings);
  const bool           ok    = synth && fluid_synth_sfload(synth, SOUND_FONT, 1) != FLUID_FAILED;
  if (ok) {
    if (in->program >= 0) {
      fluid_synth_program_change(synth, 0, in->program);
    }
    fluid_synth_set_gen(synth, 0, GEN_FINETUNE, (float)cents);
    play(synth, part, in->program < 0, rate, to, frames);
    remove_offset(to, rate, frames);
    fh_set_level(to, frames, rate, in->level);
  } else {
    fprintf(stderr, "scene: cannot load %s\n", SOUND_FONT);
  }
  delete_fluid_synth(synth);
  delete_fluid_settings(settings);
  return ok;
}

#endif
