// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "spoil_parts.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SCALE (1u << FH_FORM_SCALE)
#define MUSIC (1u << FH_FORM_MUSIC)
#define TURNS (1u << FH_FORM_TURNS)
#define BARS (1u << FH_FORM_BARS)
#define ALL (SCALE | MUSIC | TURNS | BARS)

// Ranks: 1 nothing else can be believed before it is mended, 2 what spoils the sound of a channel, 3 gains, 4 places,
// 5 single notes, bars and players
const FhSpoilKind fh_spoils[FH_SPOIL_COUNT] = {
  [FH_SPOIL_FAR]          = {"far", "separation", "", SCALE | MUSIC, 4, {10, 14, 18}, "dB less soloist at the close microphone"},
  [FH_SPOIL_AMBIENT_NEAR] = {"ambient near", "ambient_near", "", SCALE | MUSIC, 4, {12, 16, 20}, "dB more soloist at the ambient microphone"},
  [FH_SPOIL_OFF_AXIS]     = {"off axis", "off_axis", "separation", SCALE, 4, {4, 8, 12}, "dB less, and dull above 1.5 kHz"},
  [FH_SPOIL_NEAR]         = {"near", "near", "", SCALE, 4, {8, 12, 16}, "dB more below 150 Hz"},
  [FH_SPOIL_RETURN]       = {"return", "return", "separation", SCALE | MUSIC, 4, {-20, -14, -8}, "dB, loudspeaker against soloist at the close microphone"},
  [FH_SPOIL_UNEVEN]       = {"uneven", "uneven", "bar_loud bar_soft hole", BARS, 4, {0.4, 0.28, 0.2}, "of the usual distance to the bars"},
  [FH_SPOIL_BAR_LOUD]     = {"bar loud", "bar_loud", "", BARS, 5, {8, 11, 15}, "dB"},
  [FH_SPOIL_BAR_SOFT]     = {"bar soft", "bar_soft", "", BARS, 5, {-9, -12, -16}, "dB"},
  [FH_SPOIL_NOTE_LOUD]    = {"note loud", "note_loud", "", SCALE, 5, {10, 13, 16}, "dB"},
  [FH_SPOIL_NOTE_SOFT]    = {"note soft", "note_soft", "", SCALE, 5, {-10, -13, -16}, "dB"},
  [FH_SPOIL_PLAYER_LOUD]  = {"player loud", "player_loud", "", TURNS, 5, {4, 6, 10}, "dB"},
  [FH_SPOIL_PLAYER_SOFT]  = {"player soft", "player_soft", "", TURNS, 5, {-4, -6, -10}, "dB"},
  [FH_SPOIL_WIND_CLOSE]   = {"wind close", "wind", "separation", ALL, 2, {-12, -5, 2}, "dB over the loud moments"},
  [FH_SPOIL_WIND_AMBIENT] = {"wind ambient", "wind", "separation", ALL, 2, {-12, -5, 2}, "dB over the loud moments"},
  [FH_SPOIL_PLOSIVE]      = {"plosives", "plosive", "", SCALE | MUSIC, 4, {-4, 2, 8}, "dB, peaks over the voice's"},
  [FH_SPOIL_HANDLING]     = {"handling", "handling", "", ALL, 4, {-6, 0, 6}, "dB, peaks over those of the playing"},
  [FH_SPOIL_HUM]          = {"hum", "hum", "", ALL, 2, {-45, -35, -22}, "dB over the loud moments"},
  [FH_SPOIL_HISS]         = {"hiss", "noise", "", SCALE | TURNS | BARS, 2, {-22, -16, -10}, "dB over the loud moments"},
  [FH_SPOIL_DROPOUTS]     = {"drop-outs", "dropouts", "", ALL, 2, {3, 8, 20}, "gaps of 15 to 80 ms in the close microphone"},
  [FH_SPOIL_POPS]         = {"pops", "pops", "", ALL, 2, {3, 6, 15}, "pops in the ambient microphone"},
  [FH_SPOIL_DRIFT]        = {"drift", "drift", "", SCALE | MUSIC, 2, {5, 8, 14}, "dB of the ambient input over the take"},
  [FH_SPOIL_OVERDRIVEN]   = {"overdriven", "overdriven", "clipping", ALL, 2, {5, 9, 14}, "dB over what the stage before takes, bent softly"},
  [FH_SPOIL_CLIPPED]      = {"clipped", "clipping", "", ALL, 2, {1, 4, 10}, "dB over full scale"},
  [FH_SPOIL_FAINT_CLOSE]  = {"faint close", "low_level", "", ALL, 3, {-53, -58, -64}, "dBFS, loud moments"},
  [FH_SPOIL_FAINT_AMBIENT] = {"faint ambient", "low_level", "", SCALE | MUSIC, 3, {-53, -58, -64}, "dBFS, loud moments"},
  [FH_SPOIL_INVERTED]     = {"inverted", "polarity", "", SCALE | TURNS | BARS, 3, {-4, 0, 4}, "dB more soloist at the inverted ambient microphone"},
  [FH_SPOIL_LATE]         = {"late", "arrival", "", SCALE | TURNS | BARS, 3, {30, 45, 75}, "ms in the ambient channel"},
  [FH_SPOIL_EARLY]        = {"early", "arrival", "", SCALE | TURNS | BARS, 3, {18, 25, 45}, "ms in the close channel"},
  [FH_SPOIL_DEAD_AMBIENT] = {"dead ambient", "no_signal", "", ALL, 1, {-66, -76, -200}, "dBFS of noise and crosstalk"},
  [FH_SPOIL_DEAD_CLOSE]   = {"dead close", "no_signal", "", ALL, 1, {-66, -76, -200}, "dBFS of noise and crosstalk"},
  [FH_SPOIL_COPIED]       = {"copied", "same_signal", "", ALL, 1, {-10, -6, 0}, "dB: the close signal in the ambient input; only the last to the bit"},
  [FH_SPOIL_SWAPPED]      = {"swapped", "swapped", "", ALL, 1, {-5, 0, 4}, "dB more soloist at the close microphone"},
};

void
fh_spoil_request(FhRehearsalRequest* const request, const FhFault* const faults, const size_t count)
{
  for (size_t i = 0; i < count; ++i) {
    const double amount = fh_spoils[faults[i].what].amount[faults[i].strength];
    switch (faults[i].what) {
    case FH_SPOIL_UNEVEN: request->over = amount * (request->closes == 1 ? 0.8 : 0.35); break;
    case FH_SPOIL_BAR_LOUD:
    case FH_SPOIL_BAR_SOFT: request->odd = 17, request->odd_db = amount; break;
    case FH_SPOIL_NOTE_LOUD:
    case FH_SPOIL_NOTE_SOFT: request->odd = 7, request->odd_db = amount; break;
    case FH_SPOIL_PLAYER_LOUD:
    case FH_SPOIL_PLAYER_SOFT: request->odd = 1, request->odd_db = amount; break;
    default: break;
    }
  }
}

FhSpoilt
fh_spoil(const FhRehearsal* const r, const FhFault* const faults, const size_t count, const uint64_t seed)
{
  FhSpoiling s = {.closes = r->closes, .frames = r->frames, .rate = r->rate, .rehearsal = r};
  FhSpoilt   spoilt = {.take = {.closes = r->closes, .frames = r->frames, .rate = r->rate}};
  float*     stems  = malloc(2 * (r->closes + 1) * r->frames * sizeof(float));
  spoilt.memory     = malloc((r->closes + 1) * r->frames * sizeof(float));
  if (!stems || !spoilt.memory) {
    abort();
  }
  for (size_t m = 0; m <= r->closes; ++m) {
    s.solo[m]  = stems + 2 * m * r->frames;
    s.field[m] = stems + (2 * m + 1) * r->frames;
    s.sum[m]   = spoilt.memory + m * r->frames;
    memcpy(s.solo[m], r->solo[m], r->frames * sizeof(float));
    memcpy(s.field[m], r->field[m], r->frames * sizeof(float));
  }
  for (size_t i = 0; i < count; ++i) {
    s.random = fh_random(seed, 7 + (uint64_t)faults[i].what);
    fh_spoil_places(&s, faults[i].what, fh_spoils[faults[i].what].amount[faults[i].strength]);
  }
  for (size_t m = 0; m <= r->closes; ++m) {
    for (size_t i = 0; i < r->frames; ++i) {
      s.sum[m][i] = s.solo[m][i] + s.field[m][i];
    }
  }
  // In the order in which sound passes them, whatever the order of the list
  for (int what = 0; what < FH_SPOIL_COUNT; ++what) {
    for (size_t i = 0; i < count; ++i) {
      if ((int)faults[i].what == what) {
        s.random = fh_random(seed, 107 + (uint64_t)what);
        fh_spoil_sound(&s, faults[i].what, fh_spoils[what].amount[faults[i].strength]);
      }
    }
  }
  free(stems);
  for (size_t m = 0; m <= r->closes; ++m) {
    spoilt.take.mic[m] = s.sum[m];
  }
  return spoilt;
}

void
fh_spoilt_free(FhSpoilt* const spoilt)
{
  free(spoilt->memory);
  memset(spoilt, 0, sizeof(*spoilt));
}
