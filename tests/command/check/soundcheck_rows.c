// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "soundcheck_rows.h"

#include <stdlib.h>
#include <string.h>

#define FH_LOW_ENOUGH 46 // MIDI: its lows swell where a microphone is too near

static void
add_row(FhRows* const rows, const FhRow* const row)
{
  if (rows->count == rows->room) {
    rows->room = rows->room ? 2 * rows->room : 256;
    rows->list = realloc(rows->list, rows->room * sizeof(*row));
    if (!rows->list) {
      abort();
    }
  }
  rows->list[rows->count++] = *row;
}

/// Scenes in which a fault can be put, in turn
static const FhSceneSpec*
scene_for(const FhSpoil what, const FhForm form, const size_t any, const bool few)
{
  static const char* const soloists[] = {"trumpet", "alto-sax", "flute",    "euphonium", "clarinet", "violin", "trombone",
                                         "oboe",    "tuba",     "bari-sax", "voice",     "mellophone"};
  static const char* const lows[]   = {"trombone", "euphonium", "bari-sax", "tuba", "voice"};
  static const char* const groups[] = {"brass-quartet", "wind-trio"};
  static const char* const bars[]   = {"marimba", "vibraphone", "xylophone"};
  const size_t      turn = few ? 0 : any;
  const char* const name = form == FH_FORM_TURNS ? groups[turn % 2]
                           : form == FH_FORM_BARS ? bars[turn % 3]
                           : what == FH_SPOIL_PLOSIVE ? "voice"
                           : what == FH_SPOIL_NEAR ? lows[turn % 5]
                                                   : soloists[turn % 12];
  return fh_scene_find(name);
}

static FhRehearsalRequest
request_for(const FhRowOptions* const o, const FhSceneSpec* const spec, const FhForm form, const size_t turn)
{
  return (FhRehearsalRequest){
    .spec      = spec,
    .form      = form,
    .seed      = o->seed + (o->few ? 0 : turn % 2),
    .sampled   = !o->few,
    .font      = turn % 2 ? FH_FONT_MUSESCORE : FH_FONT_TIMGM6MB,
    .closes    = form == FH_FORM_BARS && turn / 2 % 2 ? 1 : 2,
    .cache_dir = FH_CACHE_DIR,
  };
}

static void
list_clean(const FhRowOptions* const o, FhRows* const rows)
{
  size_t                   count = 0;
  const FhSceneSpec* const specs = fh_scene_list(&count);
  for (size_t i = 0; i < count; i += o->few ? 7 : 1) {
    const FhSceneSpec* const s     = &specs[i];
    const bool               drums = s->instruments[0] == FH_HAND_DRUMS;
    const FhForm             own   = s->technique == FH_MIC_UNDER  ? FH_FORM_BARS
                                     : s->technique == FH_MIC_GROUP ? FH_FORM_TURNS
                                                                    : FH_FORM_SCALE;
    const size_t           turns = o->few ? 1 : own == FH_FORM_BARS ? 4 : 2; // bars with one microphone and with two
    for (size_t turn = 0; turn < turns; ++turn) {
      FhRow row = {.request = request_for(o, s, own, turn)};
      if (!drums) {
        add_row(rows, &row);
      }
      row.request = request_for(o, s, FH_FORM_MUSIC, turn);
      if (own != FH_FORM_BARS) {
        add_row(rows, &row);
      }
    }
  }
}

static void
list_faults(const FhRowOptions* const o, FhRows* const rows)
{
  for (int what = 0; what < FH_SPOIL_COUNT; ++what) {
    if ((o->only && !strstr(fh_spoils[what].name, o->only)) || (o->few && what % 2 == 0)) {
      continue;
    }
    size_t turn = (size_t)what;
    for (int strength = 0; strength < FH_STRENGTHS; ++strength) {
      for (int form = 0; form < FH_FORMS; ++form) {
        if (!(fh_spoils[what].forms & (1u << form)) || (o->few && strength != FH_MEDIUM)) {
          continue;
        }
        const FhSceneSpec* const spec = scene_for((FhSpoil)what, (FhForm)form, turn, o->few);
        const FhRow row = {request_for(o, spec, (FhForm)form, turn), {{(FhSpoil)what, (FhStrength)strength}}, 1};
        if (!o->medium || strength == FH_MEDIUM) {
          add_row(rows, &row);
        }
        ++turn;
        if (o->few) {
          break;
        }
      }
    }
  }
}

/// Each fault at medium strength with every instrument that can show it
static void
list_each(const FhRowOptions* const o, FhRows* const rows)
{
  size_t                   count = 0;
  const FhSceneSpec* const specs = fh_scene_list(&count);
  for (size_t i = 0; i < count; ++i) {
    const FhTechnique how     = specs[i].technique;
    const bool        one     = how == FH_MIC_BELL || how == FH_MIC_BODY;
    const bool        forms[] = {one && specs[i].instruments[0] != FH_HAND_DRUMS, one, how == FH_MIC_GROUP, how == FH_MIC_UNDER};
    for (int what = 0; what < FH_SPOIL_COUNT; ++what) {
      const bool able = (what != FH_SPOIL_PLOSIVE || !strcmp(specs[i].name, "voice")) &&
                        (what != FH_SPOIL_NEAR || fh_instruments[specs[i].instruments[0]].low < FH_LOW_ENOUGH);
      for (int form = 0; form < FH_FORMS; ++form) {
        if (able && forms[form] && (fh_spoils[what].forms & (1u << form)) && (!o->only || strstr(fh_spoils[what].name, o->only))) {
          const FhRow row = {request_for(o, &specs[i], (FhForm)form, o->seed), {{(FhSpoil)what, FH_MEDIUM}}, 1};
          add_row(rows, &row);
        }
      }
    }
  }
}

/// Two faults of different parts of the chain
static const FhSpoil pairs[][FH_FAULTS_MOST] = {
  {FH_SPOIL_SWAPPED, FH_SPOIL_HUM},        {FH_SPOIL_SWAPPED, FH_SPOIL_CLIPPED},     {FH_SPOIL_DEAD_AMBIENT, FH_SPOIL_HISS},
  {FH_SPOIL_DEAD_AMBIENT, FH_SPOIL_CLIPPED}, {FH_SPOIL_COPIED, FH_SPOIL_CLIPPED},    {FH_SPOIL_CLIPPED, FH_SPOIL_LATE},
  {FH_SPOIL_HUM, FH_SPOIL_INVERTED},       {FH_SPOIL_WIND_AMBIENT, FH_SPOIL_CLIPPED}, {FH_SPOIL_HUM, FH_SPOIL_NOTE_LOUD},
  {FH_SPOIL_DROPOUTS, FH_SPOIL_HUM},       {FH_SPOIL_POPS, FH_SPOIL_LATE},           {FH_SPOIL_INVERTED, FH_SPOIL_LATE},
  {FH_SPOIL_OFF_AXIS, FH_SPOIL_HUM},       {FH_SPOIL_AMBIENT_NEAR, FH_SPOIL_HUM},    {FH_SPOIL_FAINT_CLOSE, FH_SPOIL_LATE},
  {FH_SPOIL_WIND_CLOSE, FH_SPOIL_NOTE_SOFT}, {FH_SPOIL_HANDLING, FH_SPOIL_LATE},     {FH_SPOIL_CLIPPED, FH_SPOIL_DROPOUTS},
  {FH_SPOIL_RETURN, FH_SPOIL_HUM},         {FH_SPOIL_PLAYER_SOFT, FH_SPOIL_HUM},     {FH_SPOIL_PLAYER_LOUD, FH_SPOIL_POPS},
  {FH_SPOIL_BAR_LOUD, FH_SPOIL_HUM},       {FH_SPOIL_UNEVEN, FH_SPOIL_POPS},         {FH_SPOIL_BAR_SOFT, FH_SPOIL_INVERTED},
};

static void
list_pairs(const FhRowOptions* const o, FhRows* const rows)
{
  const size_t count = sizeof(pairs) / sizeof(pairs[0]);
  for (size_t i = 0; i < count; i += o->few ? 12 : 1) {
    const unsigned forms = fh_spoils[pairs[i][0]].forms & fh_spoils[pairs[i][1]].forms;
    int            form  = 0;
    while (form < FH_FORMS && !(forms & (1u << form))) {
      ++form;
    }
    const FhSceneSpec* const spec = scene_for(pairs[i][0], (FhForm)form, i, o->few);
    const FhRow row = {request_for(o, spec, (FhForm)form, i), {{pairs[i][0], FH_MEDIUM}, {pairs[i][1], FH_MEDIUM}}, 2};
    add_row(rows, &row);
  }
}

/// Takes of one rehearsal next to each other, as a rehearsal takes longer to make than to check
static int
by_rehearsal(const void* const a, const void* const b)
{
  const FhRehearsalRequest* const x = &((const FhRow*)a)->request;
  const FhRehearsalRequest* const y = &((const FhRow*)b)->request;
  const int                       name = strcmp(x->spec->name, y->spec->name);
  return name                    ? name
         : x->form != y->form     ? (int)x->form - (int)y->form
         : x->seed != y->seed     ? (x->seed > y->seed) - (x->seed < y->seed)
         : x->closes != y->closes ? (int)x->closes - (int)y->closes
                                  : (int)x->font - (int)y->font;
}

FhRows
fh_rows(const FhRowOptions* const options)
{
  FhRows rows = {0};
  if (options->each) {
    list_each(options, &rows);
  } else {
    list_faults(options, &rows);
  }
  if (!options->only && !options->each) {
    list_clean(options, &rows);
    list_pairs(options, &rows);
  }
  qsort(rows.list, rows.count, sizeof(*rows.list), by_rehearsal);
  return rows;
}
