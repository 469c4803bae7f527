// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/check_codes.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

// Ranks: 1 nothing else can be believed before it is mended, 2 what spoils the sound of a channel, 3 gains and delays,
// 4 places, 5 single notes, bars and players, 6 what must be played again, 7 what has moved
static const FhCode codes[] = {
  {"no_signal", 1, false, "A cable, a switch, phantom power or the wrong input.",
   "Plug it in, switch it on, look for the input that moves.", "Sure below -80 dBFS; above, very likely.",
   "Silence, bare noise, or only what leaks over from another input at the same instant."},
  {"same_signal", 1, false, "One microphone patched to two inputs.", "Plug the other microphone into its own input.",
   "Sure.", "Both inputs agree sample by sample, but for their gain (correlation above 0.99)."},
  {"swapped", 1, false, "The plugs of close and ambient microphone are exchanged.", "Exchange the two plugs.",
   "Likely; look at the meters while the soloist plays alone.",
   "What plays alone arrives first or far louder on the ambient input, or only that one rises when the soloist sets in."},
  {"clipping", 2, false, "The input gain is too high.", "Turn the input gain down by 10 dB.", "Sure.",
   "Runs of equal samples at the very top."},
  {"overdriven", 2, false, "A transmitter or a microphone's own amplifier is too loud before the input.",
   "Turn down the transmitter's gain or switch in the pad.", "Likely.",
   "Loud moments all end at one height below full scale, on both sides alike."},
  {"dropouts", 2, false, "The radio link loses the transmitter.",
   "Bring the receiver into sight, change battery and channel, or use a cable.", "Sure from two gaps on.",
   "Sound is gone within a millisecond by 40 dB and comes back within 0.3 s."},
  {"pops", 2, false, "A contact that breaks under phantom power.", "Exchange the cable, then the input.", "Very likely.",
   "The signal jumps from one sample to the next and leaks away, as nothing around it does."},
  {"hum", 2, false, "A second earth, a supply beside the cable, a broken shield.",
   "Take the cable away from supplies; feed all from one earthed outlet. Never lift a safety earth.", "Very likely.",
   "At least two lasting lines at multiples of 50 or of 60 Hz."},
  {"noise", 2, false, "Gain turned up on a weak microphone, or something that hisses.", "Come closer, then turn down.",
   "Likely.", "Quiet moments are all alike and less than 25 dB under the playing."},
  {"wind", 2, false, "Wind on the capsule.", "Fit a windscreen, find shelter, cut the lows at the desk.", "Very likely.",
   "Power below 40 Hz that comes and goes, falls towards the highs, and that the other microphone has not."},
  {"drift", 2, false, "Automatic gain, or somebody who turns a trim.", "Switch it off, leave the trims, learn anew.",
   "Likely.", "The field's level difference between the microphones goes one way all the time."},
  {"low_level", 3, false, "The input gain is too low.", "Turn it up as far as the sentence says.", "Sure.",
   "Loud moments below -50 dBFS."},
  {"polarity", 3, false, "A cable or an adapter with its wires exchanged.", "Flip it at the desk, or mend the cable.",
   "Likely.", "The correlation of the microphones peaks below zero."},
  {"arrival", 3, false, "A delay or a wireless link in one of the channels.", "Take the delay out, or measure again.",
   "Very likely.", "The soloist reaches the microphones at times that the distance does not give."},
  {"pair_delay", 3, false, "A delay in one of two channels.", "Take it out, or set both equally far from the middle.",
   "Very likely.", "The middle of the instrument reaches the close microphones 3 ms apart or more."},
  {"no_crossover", 3, false, "Two close microphones of unlike gain.", "Trim the louder one.", "Very likely.",
   "One is the louder for every bar."},
  {"balance", 4, false, "Two close microphones of unlike gain or distance.", "Trim the louder one, or move the other nearer.",
   "Very likely.", "The two ends of the instrument differ by 11 dB."},
  {"return", 4, false, "A monitor or main speaker gives the soloist back.",
   "Mute it or turn it away; check with the speakers down.", "Likely.",
   "The soloist reaches the ambient microphone 30 ms late or more, and the field, or the soloist's direct sound, does not."},
  {"off_axis", 4, false, "The soloist turns away from the close microphone, or it points past where the sound leaves.",
   "Aim it at bell, mouth or bridge, and ask them to stay on it.",
   "Likely; where the ambient microphone hears too little of the soloist, or the field plays on, nothing is said.",
   "The soloist is 1.5 dB duller there (above 2.5 kHz against 0.5 to 1 kHz) than in the ambient microphone, by what both share."},
  {"ambient_near", 4, false, "The ambient microphone stands too near to the soloist.",
   "Take it farther away, or turn it towards the band.", "Likely.",
   "The soloist arrives there less than 3 ms after the close microphone, or stands out of the field only in that."},
  {"separation", 4, false, "The close microphone hears too much field.",
   "Move it nearer, or use a narrower pattern. No setting makes up for it.", "Sure where the take has both.",
   "Level while the soloist plays over what the field makes there, by the ambient microphone; a field that rests meanwhile is added."},
  {"near", 4, false, "A directional microphone so near that it swells the lows.", "Move it back, or cut the lows.",
   "Likely.", "The lows against the middle while the soloist plays."},
  {"plosive", 4, false, "Breath blows into the microphone.", "Turn it out of the air stream, fit a foam.", "Likely.",
   "Thumps below 45 Hz where notes begin."},
  {"handling", 4, false, "Somebody touches stand, clip or cable.", "Hang it softly, lay the cable in a loop.", "Likely.",
   "Thumps below 45 Hz, that the ambient microphone has not."},
  {"uneven", 4, false, "Microphones too near to some bars.", "Raise them until the instrument sounds even.",
   "Very likely.", "The bars, smoothed and less an even slope over the range, differ by 12 dB or more."},
  {"crossover", 4, false, "Two close microphones not placed about the middle.", "Slide the far one towards it.",
   "Very likely.", "They meet far from the middle of the run."},
  {"hole", 4, false, "Two close microphones too far apart.", "Slide them towards the middle, or away from the bars.",
   "Very likely.", "The middle is 5 dB under the ends."},
  {"bulge", 4, false, "Two close microphones too near to each other.", "Slide them apart.", "Very likely.",
   "The middle is 5 dB over the ends."},
  {"register", 4, false, "The microphone looks at one end of the instrument.", "Turn it, or move it back.", "Likely.",
   "Low and high third of a scale differ by 10 dB."},
  {"note_loud", 5, false, "A spot of the instrument that the microphone hears too well.",
   "Play it again; if it stays, move the microphone a hand's width aside.", "Likely.", "8 dB over the notes beside it."},
  {"note_soft", 5, false, "A spot of the instrument that the microphone does not hear.",
   "Play it again; if it stays, move the microphone a hand's width aside.", "Likely.", "8 dB under the notes beside it."},
  {"bar_loud", 5, false, "A bar, its resonator or the stroke.", "Play the run again; if it stays, damp the resonator.",
   "Likely.", "6 dB over the bars beside it."},
  {"bar_soft", 5, false, "A bar, its cord or the stroke.", "Play the run again; if it stays, look at the cord.",
   "Likely.", "7 dB under the bars beside it."},
  {"player_loud", 5, false, "A player too near to the microphone.", "Step back as far as the sentence says.",
   "Likely.", "3 dB over the others."},
  {"player_soft", 5, false, "A player too far from the microphone.", "Step in as far as the sentence says.", "Likely.",
   "3 dB under the others."},
  {"too_few_bars", 6, true, "Not enough was played.", "Play every bar once, evenly, two strokes a second.", "Sure.",
   "Fewer than eight bars are heard."},
  {"no_run", 6, true, "Music in place of a run.", "Play every bar once in order, nobody else playing.", "Very likely.",
   "Strokes do not go from bar to bar."},
  {"turns", 6, true, "Players do not play one after the other.", "Each alone, two seconds of rest between.",
   "Very likely.", "As many turns are heard as the sentence says."},
  {"level_difference", 6, true, "No field without the soloist in the take.", "Record ten seconds of field alone.", "Sure.",
   "The microphones differ in one way only."},
  // What --against says has moved
  {"gain", 7, false, "An input gain was turned.", "Turn it back, or learn again.", "Likely.",
   "Soloist and field are both louder or softer against the ambient microphone."},
  {"ambient", 7, false, "The ambient microphone has moved or its gain was turned.", "Put it back, or learn again at all stands.",
   "Very likely.", "At three stands or more the field went up or down alike."},
  {"solo_place", 7, false, "The close microphone stands nearer or farther.", "Put it back, or learn again.", "Likely.",
   "The soloist changed more than the field."},
  {"field_place", 7, false, "The close microphone is turned, or the band stands elsewhere.", "Turn it back, or learn again.", "Likely.",
   "The field changed more than the soloist."},
  {"solo_level", 7, false, "A gain or a place; nobody can tell which.", "Record field in both takes.", "Sure that something moved.",
   "The soloist changed against the ambient microphone, and a take has no field."},
  {"tone", 7, false, "A windscreen, or a bell that points elsewhere.", "Look at both.", "Likely.",
   "The same notes are 4 dB brighter or duller above 2 kHz."},
};

const FhCode*
fh_code_find(const char* const name)
{
  for (size_t i = 0; i < sizeof(codes) / sizeof(codes[0]); ++i) {
    if (!strcmp(codes[i].name, name)) {
      return &codes[i];
    }
  }
  return NULL;
}

bool
fh_code_print(FILE* const file, const char* const name)
{
  const FhCode* const c = fh_code_find(name);
  if (c) {
    fprintf(file, "%s\n\n  Cause:   %s\n  Remedy:  %s\n  How sure: %s\n  Told by: %s\n", c->name, c->cause, c->remedy, c->sure,
            c->told);
  }
  return c;
}

void
fh_code_list(FILE* const file)
{
  for (size_t i = 0; i < sizeof(codes) / sizeof(codes[0]); ++i) {
    fprintf(file, "%-17s %s\n", codes[i].name, codes[i].cause);
  }
}

FhSort
fh_finding_sort(const FhReport* const report, const size_t at)
{
  const FhFinding* const f    = &report->findings.list[at];
  const FhCode* const    code = fh_code_find(f->code);
  const bool             open = code && code->open && (f->fault || report->kind == FH_CHECK_SOLOIST);
  return open ? FH_SORT_OPEN : f->fault ? FH_SORT_FAULT : FH_SORT_FIGURE;
}

size_t
fh_count(const FhReport* const report, const FhSort sort)
{
  size_t count = 0;
  for (size_t i = 0; i < report->findings.count; ++i) {
    count += fh_finding_sort(report, i) == sort;
  }
  return count;
}

int
fh_check_exit(const FhReport* const report)
{
  return fh_count(report, FH_SORT_FAULT) ? FH_EXIT_TO_DO : fh_count(report, FH_SORT_OPEN) ? FH_EXIT_UNJUDGED : EXIT_SUCCESS;
}

int
fh_worse_exit(const int one, const int other)
{
  return one == FH_EXIT_TO_DO || other == EXIT_SUCCESS ? one : other;
}

static int
rank_of(const FhFinding* const f)
{
  const FhCode* const code = fh_code_find(f->code);
  return !f->fault ? 99 : code ? code->rank : 50;
}

void
fh_order_findings(FhFindings* const findings)
{
  for (size_t i = 1; i < findings->count; ++i) { // by insertion: what is alike keeps its order
    const FhFinding f  = findings->list[i];
    size_t          at = i;
    for (; at && rank_of(&findings->list[at - 1]) > rank_of(&f); --at) {
      findings->list[at] = findings->list[at - 1];
    }
    findings->list[at] = f;
  }
}
