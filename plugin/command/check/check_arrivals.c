// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_arrivals.h"

#include <math.h>
#include <stdlib.h>

#define FH_LATEST 0.085      // s
#define FH_SAME_LAG 0.001    // s: the field comes from many places, so its lag is one of several, up to 0.75 ms apart in scenes to tune by
#define FH_OVER_FIELD 2.0    // times what the field has at that lag: less may be the field, which plays on
#define FH_STANDS 7.0        // times the usual correlation; chance reaches 6
#define FH_OVER_OTHERS 1.1   // times the next best
#define FH_CLEARLY 1.3       // the same to find fault with
#define FH_FIELD_LATEST 0.013 // s: the ambient microphone stands between soloist and field, or 4 m behind at most

/// The two microphones while the field plays alone. @return NULL where there is none.
static FhCorrelation*
field_of(const FhSoundcheck* const take, const FhActivity* const a, bool* const field, FhSpans* const spans)
{
  for (size_t i = 0; i < a->count; ++i) {
    field[i] = a->audible[i] && !a->solo[i];
  }
  fh_marked_spans(take, a, field, spans);
  return fh_correlate(take->mic[0], take->mic[1], take->frames, take->rate, spans->list, spans->count,
                      (size_t)(FH_MOST_DELAY * take->rate), FH_WEIGH_BY_NOISE);
}

/// What the soloist's and the field's stretches say of each lag
typedef struct {
  const FhCorrelation* heard;
  const FhCorrelation* field; ///< NULL: none
  double               rate;
  double               at;    ///< When the field arrives, s
  double               backs; ///< How much of that is heard while the soloist plays, 0..1
} FhBoth;

/// By how many times a correlation stands out about a lag, s
static double
stands_at(const FhCorrelation* const c, const double at)
{
  double stands = 0.0;
  fh_correlation_peak(c, at - FH_SAME_LAG, at + FH_SAME_LAG, &stands);
  return stands;
}

static FhArrival
arrival_in(const FhBoth* const b, const double from, const double to)
{
  FhArrival a = {0};
  a.lag       = fh_correlation_peak(b->heard, from, to, &a.stands);
  const double at = a.lag.delay / b->rate;
  if (b->field) {
    a.field = fabs(at - b->at) < FH_SAME_LAG ? a.stands : b->backs * stands_at(b->field, at);
  }
  return a;
}

/// The strongest of those that are not the field's, which plays on
static void
choose(FhArrivals* const arrivals)
{
  double best = FH_STANDS, next = 1e-9;
  for (int i = 0; i < FH_ARRIVES_COUNT; ++i) {
    const FhArrival* const a = &arrivals->list[i];
    if (a->stands > best && a->stands > FH_OVER_FIELD * a->field) {
      best            = a->stands;
      arrivals->first = (FhArrives)i;
    }
  }
  for (int i = 0; i < FH_ARRIVES_COUNT; ++i) {
    const FhArrival* const a     = &arrivals->list[i];
    const bool             field = i == FH_ARRIVES_BEFORE && a->stands <= FH_OVER_FIELD * a->field;
    next = i != (int)arrivals->first && !field ? fmax(next, a->stands) : next;
  }
  arrivals->first = best > FH_OVER_OTHERS * next ? arrivals->first : FH_ARRIVES_NEVER;
  arrivals->clear = arrivals->first != FH_ARRIVES_NEVER && best > FH_CLEARLY * next;
}

static void
compare(FhArrivals* const arrivals, const FhCorrelation* const field, const double rate)
{
  FhBoth both = {arrivals->heard, field, rate, 0.0, 0.0};
  if (field) {
    double       stands;
    both.at                  = fh_correlation_peak(field, -FH_MOST_DELAY, FH_MOST_DELAY, &stands).delay / rate;
    both.backs               = fmin(1.0, stands_at(both.heard, both.at) / stands);
    arrivals->field_heard    = true;
    arrivals->field_in_place = both.at > -FH_FARTHEST && both.at < FH_FIELD_LATEST;
  }
  const FhArrival late = arrival_in(&both, FH_FARTHEST, FH_LATEST), early = arrival_in(&both, -FH_LATEST, -FH_FARTHEST);
  arrivals->list[FH_ARRIVES_NEAR]   = arrival_in(&both, FH_NEAREST, FH_TOO_NEAR);
  arrivals->list[FH_ARRIVES_DIRECT] = arrival_in(&both, FH_TOO_NEAR, FH_FARTHEST);
  arrivals->list[FH_ARRIVES_BEFORE] = arrival_in(&both, -FH_FARTHEST, -FH_NEAREST);
  arrivals->list[FH_ARRIVES_FAR]    = late.stands > early.stands ? late : early;
  choose(arrivals);
}

bool
fh_arrivals_find(const FhSoundcheck* const take, const FhActivity* const activity, const FhSpans* const spans, FhArrivals* const arrivals)
{
  *arrivals           = (FhArrivals){.first = FH_ARRIVES_NEVER};
  FhSpans* const room = malloc(sizeof(*room));
  bool* const    mark = malloc(activity->count * sizeof(*mark));
  const bool     ok   = room && mark;
  if (ok && take->closes == 1 && !spans->moving) {
    arrivals->heard = fh_correlate(take->mic[0], take->mic[1], take->frames, take->rate, spans->list, spans->count,
                                   (size_t)(FH_MOST_DELAY * take->rate), FH_WEIGH_BY_NOISE);
  }
  if (arrivals->heard) {
    FhCorrelation* const field = activity->field ? field_of(take, activity, mark, room) : NULL;
    compare(arrivals, field, take->rate);
    fh_correlation_free(field);
  }
  free(room);
  free(mark);
  return ok;
}

void
fh_arrivals_free(FhArrivals* const arrivals)
{
  fh_correlation_free(arrivals->heard);
  arrivals->heard = NULL;
}
