// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file section.h
/// Second-order sections for as many lanes as the includer says: included once per width, with FH_LANES (4 or 8) and
/// FH_NAME(name) defined, which ends `name` in the width. What a section computes is said in bands.h. Thread: audio.

#define FH_V FH_NAME(fh_v)
#define FH_FMA FH_PASTE(FH_V, _fma)
#define Section FH_NAME(Section)
#define State FH_NAME(State)
#define Split FH_NAME(Split)

typedef struct {
  FH_V keep, turn, follow;
} Section;

typedef struct {
  FH_V s1, s2;
} State;

/// The two sections of a split, with their state at hand
typedef struct {
  Section c;
  State   first, second;
} Split;

static inline FH_V
FH_NAME(load)(const float* const lanes)
{
  return *(const FH_V*)(const void*)lanes;
}

static inline void
FH_NAME(store)(float* const lanes, const FH_V x)
{
  *(FH_V*)(void*)lanes = x;
}

/// Take the lanes from `lane` on out of a vector of eight
static inline FH_V
FH_NAME(part)(const fh_v8* const x, const int lane)
{
  return FH_NAME(load)((const float*)x + lane);
}

static inline void
FH_NAME(keep)(fh_v8* const to, const int lane, const FH_V x)
{
  FH_NAME(store)((float*)to + lane, x);
}

static inline Section
FH_NAME(load_section)(const FhSection* const s, const int lane)
{
  return (Section){FH_NAME(part)(&s->keep, lane), FH_NAME(part)(&s->turn, lane), FH_NAME(part)(&s->follow, lane)};
}

static inline State
FH_NAME(load_state)(const FhSectionState* const s, const int lane)
{
  return (State){FH_NAME(part)(&s->s1, lane), FH_NAME(part)(&s->s2, lane)};
}

static inline void
FH_NAME(keep_state)(FhSectionState* const to, const int lane, const State s)
{
  FH_NAME(keep)(&to->s1, lane, s.s1);
  FH_NAME(keep)(&to->s2, lane, s.s2);
}

static inline Split
FH_NAME(load_split)(const FhSection* const c, const FhSplitState* const s, const int lane)
{
  return (Split){FH_NAME(load_section)(c, lane), FH_NAME(load_state)(&s->first, lane), FH_NAME(load_state)(&s->second, lane)};
}

static inline void
FH_NAME(keep_split)(FhSplitState* const to, const int lane, const Split* const s)
{
  FH_NAME(keep_state)(&to->first, lane, s->first);
  FH_NAME(keep_state)(&to->second, lane, s->second);
}

/// Move a section on by one frame; `u` is input less second state
static inline State
FH_NAME(advance)(const Section* const c, const State s, const FH_V u)
{
  return (State){FH_FMA(c->turn, u, c->keep * s.s1), FH_FMA(c->follow, u, FH_FMA(c->turn, s.s1, s.s2))};
}

/// All-pass of a section that took `x` and moved from one state to the next
static inline FH_V
FH_NAME(allpass)(const FH_V x, const State from, const State to)
{
  return FH_FMA((FH_V){0} - FH_ROOT_2, from.s1 + to.s1, x);
}

static inline FH_V
FH_NAME(align)(const Section* const c, State* const s, const FH_V x)
{
  const State next = FH_NAME(advance)(c, *s, x - s->s2);
  const FH_V  y    = FH_NAME(allpass)(x, *s, next);
  *s               = next;
  return y;
}

/// Returns the low branch, writes the high branch
static inline FH_V
FH_NAME(split)(Split* const s, const FH_V x, FH_V* const high)
{
  const State once  = FH_NAME(advance)(&s->c, s->first, x - s->first.s2);
  const FH_V  twice = s->first.s2 + once.s2; // the low-pass, doubled
  const FH_V  both  = FH_NAME(allpass)(x, s->first, once);
  const State again = FH_NAME(advance)(&s->c, s->second, FH_FMA((FH_V){0} + 0.25f, twice, -s->second.s2));
  const FH_V  low   = s->second.s2 + again.s2;

  s->first  = once;
  s->second = again;
  *high     = both - low;
  return low;
}

#undef FH_FMA
#undef FH_V
#undef Section
#undef State
#undef Split
