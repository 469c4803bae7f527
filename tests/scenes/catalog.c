// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "scene.h"

#include <string.h>

static const FhSceneSpec scenes[] = {
  {"trumpet", "trumpet on a dynamic before the bell", FH_MIC_BELL, 0.17, 1, {FH_TRUMPET}, false, false},
  {"trombone", "trombone on a dynamic before the bell", FH_MIC_BELL, 0.20, 1, {FH_TROMBONE}, false, false},
  {"alto-sax", "alto saxophone on a dynamic at the bell", FH_MIC_BODY, 0.20, 1, {FH_ALTO_SAX}, false, false},
  {"wind-trio", "flute, clarinet and alto on one condenser", FH_MIC_GROUP, 0.6, 3, {FH_FLUTE, FH_CLARINET, FH_ALTO_SAX}, false, false},
  {"mellophone", "mellophone on a dynamic before the bell", FH_MIC_BELL, 0.18, 1, {FH_MELLOPHONE}, false, false},
  {"euphonium", "euphonium on a dynamic before the bell", FH_MIC_BELL, 0.20, 1, {FH_EUPHONIUM}, false, false},
  {"tuba", "tuba on a dynamic before the bell", FH_MIC_BELL, 0.20, 1, {FH_TUBA}, false, false},
  {"flute", "flute on a close dynamic", FH_MIC_BODY, 0.15, 1, {FH_FLUTE}, false, false},
  {"clarinet", "clarinet on a close dynamic", FH_MIC_BODY, 0.18, 1, {FH_CLARINET}, false, false},
  {"bari-sax", "baritone saxophone on a dynamic at the bell", FH_MIC_BODY, 0.20, 1, {FH_BARI_SAX}, false, false},
  {"violin", "violin on a small condenser", FH_MIC_BODY, 0.20, 1, {FH_VIOLIN}, false, false},
  {"marimba", "marimba, two microphones under the bars", FH_MIC_UNDER, 0.30, 1, {FH_MARIMBA}, false, false},
  {"vibraphone", "vibraphone, two microphones under the bars", FH_MIC_UNDER, 0.30, 1, {FH_VIBRAPHONE}, false, false},
  {"brass-quartet", "two trumpets, mellophone and trombone on one condenser", FH_MIC_GROUP, 0.8, 4,
   {FH_TRUMPET, FH_TRUMPET, FH_MELLOPHONE, FH_TROMBONE}, false, false},
  {"two-in-turn", "trumpet and alto in turn on one condenser", FH_MIC_GROUP, 0.6, 2, {FH_TRUMPET, FH_ALTO_SAX}, true, false},
  {"oboe", "oboe on a close condenser", FH_MIC_BODY, 0.20, 1, {FH_OBOE}, false, true},
  {"voice", "voice on a hand-held dynamic", FH_MIC_BELL, 0.05, 1, {FH_VOICE}, false, true},
  {"xylophone", "xylophone, two microphones over the bars", FH_MIC_UNDER, 0.40, 1, {FH_XYLOPHONE}, false, true},
  {"hand-drums", "hand drums on a close dynamic", FH_MIC_BODY, 0.20, 1, {FH_HAND_DRUMS}, false, true},
};

const char* const fh_condition_names[FH_CONDITIONS] = {"plain", "swing", "trim", "near", "far", "wind-close", "wind-ambient",
                                                       "pa", "off-axis", "drums", "roar", "no-band", "no-solo", "no-solo-wind"};

const FhSceneSpec*
fh_scene_list(size_t* const count)
{
  *count = sizeof(scenes) / sizeof(scenes[0]);
  return scenes;
}

const FhSceneSpec*
fh_scene_find(const char* const name)
{
  for (size_t i = 0; i < sizeof(scenes) / sizeof(scenes[0]); ++i) {
    if (!strcmp(scenes[i].name, name)) {
      return &scenes[i];
    }
  }
  return NULL;
}
