// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/show/show_keys.h"

#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/quantity.h"

#include <math.h>
#include <string.h>

#define FH_FAR 1000.0 // m: farther than any field is long

const char* const fh_mic_kinds[FH_MIC_COUNT] = {"stand", "clip", "headset", "pair", "group"};

static bool
take_channel(FhShowReader* const r, const size_t index, size_t* const taken, uint32_t* const channel)
{
  const FhShowWord* const word   = &r->line.word[index];
  double                  number = 0.0;
  if (!fh_parse_number(word->value, &number) || number < 1.0 || number > FH_SHOW_CHANNELS || number != floor(number)) {
    return fh_show_wrong(&r->line, word->from, "a channel is a whole number from 1 to %d, not '%s'", FH_SHOW_CHANNELS,
                         word->value);
  }
  *channel = (uint32_t)number;
  if (taken[*channel]) {
    return fh_show_wrong(&r->line, word->from, "channel %u is taken in line %zu already; name another", *channel,
                         taken[*channel]);
  }
  taken[*channel] = r->line.number;
  return true;
}

/// A length, or a place to the left or towards the audience, which is below zero
static bool
take_length(FhShowReader* const r, const size_t index, const bool may_be_negative, double* const metres)
{
  const FhShowWord* const word  = &r->line.word[index];
  const bool              below = may_be_negative && word->value[0] == '-';
  if (!fh_parse_length(word->value + below, metres) || *metres > FH_FAR) {
    return fh_show_wrong(&r->line, word->from, "a length carries its unit, as 15cm, 1.5m or 6ft, not '%s'", word->value);
  }
  *metres = below ? -*metres : *metres;
  return true;
}

static bool
take_spot(FhShowReader* const r, FhSpot* const spot)
{
  spot->known = take_length(r, 1, true, &spot->x) && take_length(r, 2, true, &spot->y);
  return spot->known;
}

static bool
take_name(FhShowReader* const r, const size_t index, char name[FH_SHOW_NAME])
{
  if (!r->line.word[index].value[0]) {
    return fh_show_wrong(&r->line, r->line.word[index].from, "this name is empty; put one in");
  }
  memcpy(name, r->line.word[index].value, FH_SHOW_NAME);
  return true;
}

static bool
take_family(FhShowReader* const r, const size_t index, const FhFamily** const family)
{
  *family = fh_family_find(r->line.word[index].value);
  return *family || fh_show_wrong(&r->line, r->line.word[index].from,
                                  "there is no family '%s'; fronthash plan --help lists them", r->line.word[index].value);
}

static bool
read_title(FhShowReader* const r)
{
  return take_name(r, 1, r->show->title);
}

static bool
read_rate(FhShowReader* const r)
{
  double number = 0.0;
  if (!fh_parse_number(r->line.word[1].value, &number) || number < 8000.0 || number > 192000.0 || number != floor(number)) {
    return fh_show_wrong(&r->line, r->line.word[1].from, "the rate is a whole number from 8000 to 192000 Hz, not '%s'",
                         r->line.word[1].value);
  }
  r->show->rate = (uint32_t)number;
  return true;
}

static bool
read_ambient(FhShowReader* const r)
{
  return take_channel(r, 1, r->inputs, &r->show->ambient);
}

static bool
read_ambient_at(FhShowReader* const r)
{
  return take_spot(r, &r->show->ambient_at);
}

static bool
read_band_at(FhShowReader* const r)
{
  return take_spot(r, &r->show->band_at);
}

static bool
read_band_size(FhShowReader* const r)
{
  return take_length(r, 1, false, &r->show->band_width) && take_length(r, 2, false, &r->show->band_depth);
}

static bool
read_speaker_at(FhShowReader* const r)
{
  if (r->show->speaker_count == FH_SHOW_SPEAKERS) {
    return fh_show_wrong(&r->line, r->line.word[0].from, "more than %d loudspeakers; leave some out", FH_SHOW_SPEAKERS);
  }
  return take_spot(r, &r->show->speaker_at[r->show->speaker_count++]);
}

static bool
read_input(FhShowReader* const r)
{
  return take_channel(r, 1, r->inputs, &r->stand->input[0]) &&
         (r->line.count < 3 || take_channel(r, 2, r->inputs, &r->stand->input[1]));
}

static bool
read_output(FhShowReader* const r)
{
  return take_channel(r, 1, r->outputs, &r->stand->output[0]) &&
         (r->line.count < 3 || take_channel(r, 2, r->outputs, &r->stand->output[1]));
}

static bool
read_family(FhShowReader* const r)
{
  return take_family(r, 1, &r->stand->family);
}

static bool
read_microphone(FhShowReader* const r)
{
  for (size_t i = 0; i < FH_MIC_COUNT; ++i) {
    if (!strcmp(fh_mic_kinds[i], r->line.word[1].value)) {
      r->stand->mic = (FhMicKind)i;
      return true;
    }
  }
  return fh_show_wrong(&r->line, r->line.word[1].from, "a microphone is stand, clip, headset, pair or group, not '%s'",
                       r->line.word[1].value);
}

static bool
read_distance(FhShowReader* const r)
{
  return take_length(r, 1, false, &r->stand->distance);
}

static bool
read_pattern(FhShowReader* const r)
{
  r->stand->pattern = fh_pattern_find(r->line.word[1].value);
  return r->stand->pattern || fh_show_wrong(&r->line, r->line.word[1].from,
                                            "there is no pattern '%s'; fronthash plan --help lists them",
                                            r->line.word[1].value);
}

static bool
read_at(FhShowReader* const r)
{
  return take_spot(r, &r->stand->at);
}

static bool
read_players(FhShowReader* const r)
{
  double number = 0.0;
  if (!fh_parse_number(r->line.word[1].value, &number) || number < 1.0 || number > 16.0 || number != floor(number)) {
    return fh_show_wrong(&r->line, r->line.word[1].from, "players are a whole number from 1 to 16, not '%s'",
                         r->line.word[1].value);
  }
  r->stand->players = (uint32_t)number;
  return true;
}

static bool
read_note(FhShowReader* const r)
{
  return take_name(r, 1, r->stand->note);
}

static bool
read_soloist(FhShowReader* const r)
{
  FhStand* const   stand = r->stand;
  FhShowLine*      line  = &r->line;
  FhSoloist* const s     = &stand->soloist[stand->soloist_count];
  if (stand->soloist_count == FH_SHOW_SOLOISTS) {
    return fh_show_wrong(line, line->word[0].from, "more than %d soloists at one stand; leave some out", FH_SHOW_SOLOISTS);
  }
  *s = (FhSoloist){.name_end = line->word[1].to};
  if (!take_name(r, 1, s->name)) {
    return false;
  }
  for (size_t i = 2; i < line->count; i += 2) {
    const FhShowWord* const word = &line->word[i];
    const bool is_preset         = !strcmp(word->value, "preset") && !s->preset_at[1];
    if (!is_preset && (strcmp(word->value, "family") || s->family)) {
      return fh_show_wrong(line, word->from, "after a soloist's name come family NAME and preset NAME, each once, not '%s'",
                           word->value);
    }
    if (i + 1 == line->count) {
      return fh_show_wrong(line, word->to, "a name is missing after %s", word->value);
    }
    if (!(is_preset ? take_name(r, i + 1, s->preset) : take_family(r, i + 1, &s->family))) {
      return false;
    }
    if (is_preset) {
      s->preset_at[0] = line->word[i + 1].from;
      s->preset_at[1] = line->word[i + 1].to;
    }
  }
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    if (!strcmp(stand->soloist[i].name, s->name)) {
      return fh_show_wrong(line, line->word[1].from, "%s comes to this stand already; name each soloist once", s->name);
    }
  }
  ++stand->soloist_count;
  return true;
}

static bool read_stand(FhShowReader* r);

typedef enum { IN_HEAD, IN_STAND, ANYWHERE } KeyPlace;

/// One key of the file
typedef struct {
  const char* name;
  KeyPlace    place;
  bool        repeats;     ///< May be given more than once
  size_t      least, most; ///< Words after it
  const char* form;        ///< How it is written
  bool (*read)(FhShowReader* r);
} Key;

static const Key keys[] = {
  {"title", IN_HEAD, false, 1, 1, "title NAME", read_title},
  {"rate", IN_HEAD, false, 1, 1, "rate HZ", read_rate},
  {"ambient", IN_HEAD, false, 1, 1, "ambient CHANNEL", read_ambient},
  {"ambient-at", IN_HEAD, false, 2, 2, "ambient-at X Y", read_ambient_at},
  {"band-at", IN_HEAD, false, 2, 2, "band-at X Y", read_band_at},
  {"band-size", IN_HEAD, false, 2, 2, "band-size WIDTH DEPTH", read_band_size},
  {"speaker-at", IN_HEAD, true, 2, 2, "speaker-at X Y", read_speaker_at},
  {"stand", ANYWHERE, true, 1, 1, "stand NAME", read_stand},
  {"input", IN_STAND, false, 1, 2, "input CHANNEL [CHANNEL]", read_input},
  {"output", IN_STAND, false, 1, 2, "output CHANNEL [CHANNEL]", read_output},
  {"family", IN_STAND, false, 1, 1, "family NAME", read_family},
  {"microphone", IN_STAND, false, 1, 1, "microphone KIND", read_microphone},
  {"distance", IN_STAND, false, 1, 1, "distance LENGTH", read_distance},
  {"pattern", IN_STAND, false, 1, 1, "pattern NAME", read_pattern},
  {"at", IN_STAND, false, 2, 2, "at X Y", read_at},
  {"players", IN_STAND, false, 1, 1, "players NUMBER", read_players},
  {"note", IN_STAND, false, 1, 1, "note TEXT", read_note},
  {"soloist", IN_STAND, true, 1, 5, "soloist NAME [family NAME] [preset NAME]", read_soloist},
};
#define FH_KEYS (sizeof(keys) / sizeof(keys[0]))

const char*
fh_show_key(const size_t index)
{
  return index < FH_KEYS ? keys[index].name : NULL;
}

static bool
complain_of_stand(const FhShowReader* const r, const FhStand* const stand, const char* const what)
{
  return fh_complain("%s:%zu:1: stand %s %s", r->line.path, stand->line, stand->name, what);
}

/// Check the stand that ends here, and fill in what it left out
bool
fh_show_finish_stand(FhShowReader* const r)
{
  FhStand* const stand = r->stand;
  if (!stand) {
    return true;
  }
  if (!stand->input[0]) {
    return complain_of_stand(r, stand, "has no input; add a line: input CHANNEL");
  }
  if (!stand->family) {
    return complain_of_stand(r, stand, "has no family; add a line: family NAME");
  }
  if ((stand->mic == FH_MIC_PAIR) != (stand->input[1] != 0)) {
    return complain_of_stand(r, stand, "needs two inputs for microphone pair, and one for any other; mend the one or the other");
  }
  if (stand->output[0] && !stand->output[1] != !stand->input[1]) {
    return complain_of_stand(r, stand, "needs as many outputs as inputs; name them, or leave the outputs out");
  }
  if (stand->players > 1 && stand->mic != FH_MIC_GROUP) {
    return complain_of_stand(r, stand, "has several players; add a line: microphone group");
  }
  const bool named = stand->output[0] != 0;
  for (int i = 0; i < 2 && !named && stand->input[i]; ++i) {
    if (r->outputs[stand->input[i]]) {
      return complain_of_stand(r, stand, "goes out where it comes in, and that output is taken; add a line: output CHANNEL");
    }
    stand->output[i]             = stand->input[i];
    r->outputs[stand->output[i]] = stand->line;
  }
  stand->pattern  = stand->pattern ? stand->pattern : fh_pattern_find(stand->family->pattern);
  stand->distance = stand->distance > 0.0 ? stand->distance : stand->family->mic_distance;
  for (size_t i = 0; i < stand->soloist_count; ++i) {
    stand->soloist[i].family = stand->soloist[i].family ? stand->soloist[i].family : stand->family;
  }
  return true;
}

static bool
read_stand(FhShowReader* const r)
{
  FhShow* const show = r->show;
  if (!fh_show_finish_stand(r)) {
    return false;
  }
  if (show->stand_count == FH_SHOW_STANDS) {
    return fh_show_wrong(&r->line, r->line.word[0].from, "more than %d stands; make two shows of it", FH_SHOW_STANDS);
  }
  FhStand* const stand = &show->stand[show->stand_count];
  *stand               = (FhStand){.line = r->line.number, .players = 1};
  if (!take_name(r, 1, stand->name)) {
    return false;
  }
  for (size_t i = 0; i < show->stand_count; ++i) {
    if (!strcmp(show->stand[i].name, stand->name)) {
      return fh_show_wrong(&r->line, r->line.word[1].from, "stand %s is there already, in line %zu; name another",
                           stand->name, show->stand[i].line);
    }
  }
  ++show->stand_count;
  r->stand = stand;
  r->given = 0;
  return true;
}

bool
fh_show_read_key(FhShowReader* const r)
{
  const FhShowLine* const line = &r->line;
  const FhShowWord* const word = &line->word[0];
  size_t                  k    = 0;
  while (k < FH_KEYS && (word->quoted || strcmp(keys[k].name, word->value))) {
    ++k;
  }
  if (k == FH_KEYS) {
    return fh_show_wrong(line, word->from, "there is no key '%s'; a line begins with title, rate, ambient, stand, input, family, "
                         "soloist or another key of docs/show.md", word->value);
  }
  if (keys[k].place == IN_HEAD && r->stand) {
    return fh_show_wrong(line, word->from, "%s belongs before the first stand; move it there", word->value);
  }
  if (keys[k].place == IN_STAND && !r->stand) {
    return fh_show_wrong(line, word->from, "%s belongs to a stand; write a line before it: stand NAME", word->value);
  }
  if (line->count - 1 < keys[k].least || line->count - 1 > keys[k].most) {
    const bool many = line->count - 1 > keys[k].most;
    return fh_show_wrong(line, many ? line->word[keys[k].most + 1].from : line->word[line->count - 1].to,
                         "%s here; write: %s", many ? "too much" : "something is missing", keys[k].form);
  }
  if (!keys[k].repeats && r->given & 1u << k) {
    return fh_show_wrong(line, word->from, "%s is given twice; take one out", word->value);
  }
  r->given |= 1u << k;
  return keys[k].read(r);
}
