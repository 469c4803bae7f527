// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/verbs.h"

#include <stddef.h>

const FhVerb fh_verbs[] = {
  {"check", "say what a soundcheck recording shows, and what to do about it", fh_verb_check},
  {"live", "run a show through JACK: an engine for each stand, without a host", fh_verb_live},
  {"plan", "say what a placement will give, and the cheapest change that helps", fh_verb_plan},
  {"render", "run a recorded take through the plugin: sound file, figures, picture", fh_verb_render},
  {"sheet", "make the pages for a show's folder: patch list, stage plot, checklist, labels", fh_verb_sheet},
  {"show", "say what a show file holds: stands, channels, soloists", fh_verb_show},
  {"tune", "make a soloist's preset from a rehearsal take", fh_verb_tune},
  {NULL, NULL, NULL},
};
