// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Sampled instruments: one player at a time through libfluidsynth, reverb and chorus off. Drums of a sound font
// span a wide range of panning, so left and right are summed.

#include "instrument.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char* const fh_font_names[FH_FONTS] = {"timgm6mb", "musescore-general", "csound"};

bool
fh_font_find(const char* const name, FhFont* const font)
{
  for (int f = 0; f < FH_FONTS; ++f) {
    if (!strcmp(name, fh_font_names[f])) {
      *font = (FhFont)f;
      return true;
    }
  }
  return false;
}

#ifndef FH_WITH_FLUIDSYNTH

bool
fh_sampled_available(const FhFont font, const char** const why)
{
  (void)font;
  *why = "built without libfluidsynth: install libfluidsynth-dev and timgm6mb-soundfont, then set up the build again";
  return false;
}

bool
fh_sampled_part(const FhFont         font,
                const FhInstrumentId id,
                const FhPart* const  part,
                const double         cents,
                const double         rate,
                float* const         to,
                const size_t         frames)
{
  (void)font, (void)id, (void)part, (void)cents, (void)rate;
  memset(to, 0, frames * sizeof(float));
  return false;
}

#else

#include <fluidsynth.h>

#define BLOCK 64

static const struct {
  const char* path;
  const char* missing;
} fonts[FH_FONTS] = {
#define FONT(path, package) {path, "no " path ": install " package}
  [FH_FONT_TIMGM6MB]  = FONT("/usr/share/sounds/sf2/TimGM6mb.sf2", "timgm6mb-soundfont"),
  [FH_FONT_MUSESCORE] = FONT("/usr/share/sounds/sf3/MuseScore_General_Full.sf3", "musescore-general-soundfont"),
  [FH_FONT_CSOUND]    = FONT("/usr/share/sounds/sf2/sf_GMbank.sf2", "csound-soundfont"),
#undef FONT
};

bool
fh_sampled_available(const FhFont font, const char** const why)
{
  FILE* const file = fopen(fonts[font].path, "rb");
  if (file) {
    fclose(file);
  }
  *why = fonts[font].missing;
  return file != NULL;
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

/// One player with an instrument in the hand
typedef struct {
  fluid_settings_t* settings;
  fluid_synth_t*    synth;
  bool              ready;
} Player;

static void
player_free(const Player* const player)
{
  delete_fluid_synth(player->synth);
  delete_fluid_settings(player->settings);
}

static Player
player_make(const FhFont font, const int program, const double rate)
{
  fluid_settings_t* const settings = new_fluid_settings();
  fluid_settings_setnum(settings, "synth.sample-rate", rate);
  fluid_settings_setnum(settings, "synth.gain", 0.5);
  fluid_settings_setint(settings, "synth.reverb.active", 0);
  fluid_settings_setint(settings, "synth.chorus.active", 0);
  fluid_settings_setint(settings, "synth.polyphony", 64);
  fluid_settings_setint(settings, "synth.dynamic-sample-loading", font != FH_FONT_TIMGM6MB); // of a large font what is played
  Player player = {settings, new_fluid_synth(settings), false};
  player.ready  = player.synth && fluid_synth_sfload(player.synth, fonts[font].path, 1) != FLUID_FAILED;
  if (player.ready && program >= 0) {
    fluid_synth_program_change(player.synth, 0, program);
  }
  return player;
}

/// Reading the small font takes as long as playing a part, and a large one takes a second to unpack an instrument. The library shares
/// samples between players, so one who holds the font, or of a large one the instrument, and never plays keeps them for all that follow.
/// Lives until the program ends.
static void
keep_unpacked(const FhFont font, const int program, const double rate)
{
  static Player keepers[FH_FONTS][129]; // the last for the drum set
  const int     held   = font == FH_FONT_TIMGM6MB ? 0 : program >= 0 ? program : 128; // of the small one all is held
  Player* const keeper = &keepers[font][held];
  if (!keeper->synth) {
    *keeper = player_make(font, program, rate);
  }
}

bool
fh_sampled_part(const FhFont         font,
                const FhInstrumentId id,
                const FhPart* const  part,
                const double         cents,
                const double         rate,
                float* const         to,
                const size_t         frames)
{
  const FhInstrument* const in      = &fh_instruments[id];
  const int                 program = part->sound ? part->sound - 1 : in->program;
  keep_unpacked(font, program, rate);
  const Player player = player_make(font, program, rate);
  if (player.ready) {
    fluid_synth_set_gen(player.synth, 0, GEN_FINETUNE, (float)cents);
    play(player.synth, part, in->program < 0, rate, to, frames);
    remove_offset(to, rate, frames);
    fh_set_level(to, frames, rate, in->level);
  } else {
    fprintf(stderr, "scene: cannot load %s\n", fonts[font].path);
  }
  player_free(&player);
  return player.ready;
}

#endif
