// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/guide.h"

#include "ui/fault_words.h"
#include "ui/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define COUNT_SECONDS 3.0    ///< From the press to the start, for a word to the band
#define SETTLE_SECONDS 0.4   ///< Until the ports tell what came of it
#define RESULT_SECONDS 8.0   ///< How long that stands
#define SOLO_SECONDS 60.0    ///< How long the soloist is waited for
#define VERDICT_SECONDS 12.0 ///< How long the hint on the separation stands
#define SILENT_SECONDS 2.0   ///< Without any field so long, it is said
#define LEARN_WHOLE 10.0     ///< Seconds of field that make 100 %

FhWent
fh_went(const double heard_s, const float v[FH_CONTROL_COUNT])
{
  const bool  learnt = lrintf(v[FH_KNOWLEDGE]) == FH_KNOWLEDGE_LEARNT && v[FH_LEARNT_AGO] >= 0.0f && v[FH_LEARNT_AGO] < 5.0f;
  const float spread = v[FH_OPEN_AT] - v[FH_OPEN_MARGIN];
  const int   result = (int)lrintf(v[FH_LEARN_RESULT]);
  if (result == FH_RESULT_SOLO) {
    return FH_WENT_SOLO;
  }
  if (!learnt || result == FH_RESULT_SHORT) {
    return FH_WENT_NOWHERE;
  }
  if (result == FH_RESULT_PART) {
    return FH_WENT_PART;
  }
  return heard_s < FH_HEARD_WELL ? FH_WENT_SHORT : spread > FH_SPREAD_WELL ? FH_WENT_WILD : FH_WENT_WELL;
}

void
fh_guide_count(FhGuide* const guide, const FhLearn learn, const double now)
{
  *guide       = (FhGuide){.step = learn ? FH_GUIDE_COUNT : FH_GUIDE_REST, .learn = (int)learn};
  guide->until = now + COUNT_SECONDS;
}

static void
go_to(FhGuide* const guide, const FhGuideStep step, const double until)
{
  guide->step  = step;
  guide->until = until;
}

static void
end_listening(FhGuide* const guide, const double now)
{
  if (guide->learn == FH_LEARN_AMBIENT) {
    go_to(guide, FH_GUIDE_RESULT, now + SETTLE_SECONDS + RESULT_SECONDS);
    guide->since = now;
  } else {
    guide->step = FH_GUIDE_REST;
  }
}

FhLearn
fh_guide_tick(FhGuide* const guide, const float v[FH_CONTROL_COUNT], const double now)
{
  const int  learning = (int)lrintf(v[FH_LEARN]);
  const bool over     = now >= guide->until;
  if ((learning == FH_LEARN_AMBIENT || learning == FH_LEARN_SOLO) && (guide->step != FH_GUIDE_LISTEN || guide->learn != learning)) {
    *guide = (FhGuide){.step = FH_GUIDE_LISTEN, .learn = learning, .since = now};
  }
  switch (guide->step) {
  case FH_GUIDE_REST:
    break;
  case FH_GUIDE_COUNT:
    return over ? (FhLearn)guide->learn : FH_LEARN_OFF;
  case FH_GUIDE_LISTEN:
    if (learning != guide->learn) {
      end_listening(guide, now);
    } else {
      const double heard = fmin(0.01 * (double)v[FH_LEARNT] * LEARN_WHOLE, now - guide->since + 0.5);
      guide->heard_s     = fmax(guide->heard_s, heard);
    }
    break;
  case FH_GUIDE_RESULT:
    if (now < guide->since + SETTLE_SECONDS + 0.5) { // As soon as it is known; then it stands
      guide->went   = fh_went(guide->heard_s, v);
      guide->spread = v[FH_OPEN_AT] - v[FH_OPEN_MARGIN];
    }
    if (over) {
      const bool next = guide->went > FH_WENT_SOLO && v[FH_SEPARATION] == 0.0f;
      go_to(guide, next ? FH_GUIDE_SOLO : FH_GUIDE_REST, now + SOLO_SECONDS);
    }
    break;
  case FH_GUIDE_SOLO:
    if (v[FH_SEPARATION] != 0.0f) {
      go_to(guide, FH_GUIDE_VERDICT, now + VERDICT_SECONDS);
    } else if (over) {
      guide->step = FH_GUIDE_REST;
    }
    break;
  case FH_GUIDE_VERDICT:
    guide->step = over ? FH_GUIDE_REST : guide->step;
    break;
  }
  return FH_LEARN_OFF;
}

static void
listen_text(const FhGuide* const guide, const float v[FH_CONTROL_COUNT], const double now, char* const text, const size_t size)
{
  const int fault = (int)lrintf(v[FH_FAULT]);
  if (fault == FH_FAULT_NO_CLOSE || fault == FH_FAULT_OFFSET || fault == FH_FAULT_AMBIENT_IS_CLOSE || fault == FH_FAULT_SWAPPED) {
    snprintf(text, size, "Learning waits: %s. Press again to end.", fh_fault_word(fault));
  } else if (guide->learn == FH_LEARN_SOLO) {
    snprintf(text, size, "Learning the soloist: let the soloist play. Press again to end.");
  } else if (guide->heard_s < 0.5 && now - guide->since > SILENT_SECONDS) {
    snprintf(text, size, "No field heard so far, the ambient mic stands at %s%ld dBFS: let the band play, or check that mic.",
             lroundf(v[FH_AMBIENT_LEVEL]) < 0 ? "\u2212" : "", labs(lroundf(v[FH_AMBIENT_LEVEL])));
  } else {
    snprintf(text, size, "Learning the field: band plays, soloist rests. %.0f s of %.0f heard. Press again to end.",
             floor(guide->heard_s), LEARN_WHOLE);
  }
}

static void
result_text(const FhGuide* const guide, char* const text, const size_t size)
{
  static const char* const undo = "Undo takes it back.";
  switch (guide->went) {
  case FH_WENT_NOWHERE:
    snprintf(text, size, "Too little field heard: what was known before stays. Learn again while the band plays.");
    break;
  case FH_WENT_SOLO:
    snprintf(text, size, "The soloist played nearly all the time: what was known before stays. Learn while only the band plays.");
    break;
  case FH_WENT_PART:
    snprintf(text, size, "Learnt from the part in which the soloist rested: the field alone is surer. %s", undo);
    break;
  case FH_WENT_SHORT:
    snprintf(text, size, "Learnt, from %.0f s of field only: ten are surer. %s", floor(guide->heard_s), undo);
    break;
  case FH_WENT_WILD:
    snprintf(text, size, "Learnt, but the field rises %.1f dB over its prediction: wind, or did the soloist play? %s", (double)guide->spread,
             undo);
    break;
  case FH_WENT_WELL:
    snprintf(text, size, "Learnt well: the field keeps within %.1f dB of its prediction. %s", (double)guide->spread, undo);
    break;
  }
}

bool
fh_guide_text(const FhGuide* const guide, const float v[FH_CONTROL_COUNT], const FhVerdict verdict, const double now, char* const text,
              const size_t size)
{
  const bool ambient = guide->learn == FH_LEARN_AMBIENT;
  switch (guide->step) {
  case FH_GUIDE_REST:
    break;
  case FH_GUIDE_COUNT:
    snprintf(text, size, "%s Starts in %.0f s; press again to start now, Undo to leave it.",
             ambient ? "Let the band play and the soloist rest." : "Let the soloist play.", ceil(guide->until - now));
    return true;
  case FH_GUIDE_LISTEN:
    listen_text(guide, v, now, text, size);
    return true;
  case FH_GUIDE_RESULT:
    result_text(guide, text, size);
    return now >= guide->since + SETTLE_SECONDS;
  case FH_GUIDE_SOLO:
    snprintf(text, size, "Now let the soloist play with the band, to hear how far the two are apart.");
    return true;
  case FH_GUIDE_VERDICT:
    snprintf(text, size, "%s. %s", fh_verdict_phrase(verdict),
             verdict == FH_VERDICT_GOOD    ? "Save the session: what was learnt is saved with it."
             : verdict == FH_VERDICT_LEARN ? "The soloist may have played while the field was learnt."
                                           : "No control makes up for where the microphone stands.");
    return true;
  }
  return false;
}
