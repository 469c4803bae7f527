// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file tuning.h
/// Every constant that the engine decides by: unit, range in which it still does what it is for, reason, source.
///
/// Where no source is named there is none: the value was chosen by its reason and by trying on made-up scenes; its range is an
/// estimate. What the network (ears.h) is given is not here, for it was trained with it; controls are in ports.h, crossovers in
/// bands.c, what makes sums and logarithms exact beside them.

#ifndef FRONTHASH_DSP_TUNING_H
#define FRONTHASH_DSP_TUNING_H

#include "dsp/simd.h"

// A tick is the kernel's step, a third of a millisecond; a hop is FH_HOP_TICKS of them, nearly 3 ms. Levels are powers
#define FH_HOP_TICKS 8         ///< Ticks, 8 (tone.c moves a hop at once). Averages, learning, tracking and faults go by hops
#define FH_QUIET 1e-12f        ///< Mean square, -120 dBFS. Added so that a level has a logarithm; under any converter's noise
#define FH_MAX_DELAY_TICKS 256 ///< Ticks. More than the 50 ms that Ambient delay goes to
#define FH_LEARNT_HOPS 8u      ///< Hops, 1 to 40. What was learnt is news once in so many: some 20 ms
#define FH_FULL_SCALE 0.999f   ///< 0.99 to 1. Three samples alike and beyond it (heard.h) are clipped: converters stop a little below 1
#define FH_HEARD_HOPS 2        ///< Hops. After the first may have begun before, the second has been heard whole
/// s, 0.13 or more. By then the longest average (80 ms) and the ambient delay (50 ms) hold nothing that was wrong
#define FH_SETTLE_S 0.15f

static const double fh_max_lookahead_s = 0.010;  ///< s. As far as the port goes
static const double fh_mix_s           = 0.010;  ///< s, 0.005 to 0.05. A mix goes from one to another: no click, and at once to a person
static const float  fh_lowest_hz       = 75.0f;  ///< Hz. Lower edge of the lowest band to the key filter: an octave under its upper one
static const float  fh_highest_hz      = 19200.0f; ///< Hz. Upper edge of the highest, likewise
static const float  fh_duck_up_ms      = 1.0f;   ///< ms, 0.5 to 5. A band is let through: as fast as the gate's default attack

// Averages and prediction (detector.c)
static const float fh_duck_ms[]      = {20, 15, 10, 10, 10, 10, 10, 10}; ///< ms per band. No shorter than a period of its lowest tone
static const float fh_note_ms        = 20.0f;  ///< ms, 10 to 30. Average that notes are looked for in: a period of the lowest brass
static const float fh_phrase_ms      = 80.0f;  ///< ms, 50 to 150. Average of the smallest spread that still follows a phrase
static const float fh_note_held_ms   = 20.0f;  ///< ms, 10 to 50. A sound reaches both microphones some ms apart: 10 ms are 3.4 m
/// dB, 2 to 8. Unasked the coupling is at most this over the low tenth: a soloist may have raised the median
static const float fh_careful_db     = 4.0f;
/// dB, 3 to 8. The rest level is drawn at the mean of what was found and this: rare excess shows too seldom while learning
static const float fh_firm_db        = 5.0f;
static const float fh_unsure_db      = 4.0f;   ///< dB, 2 to 6. Unasked, at most this counts as found, for the same reason
static const float fh_fill_s         = 0.1f;   ///< s, over 0.08. The longest average is full
static const float fh_ratios_s       = 0.5f;   ///< s, 0.2 to 1. The ratios are found, so that the excess over them means something
static const float fh_track_memory   = 3.0f;   ///< Of the tracking time, 1 to 5. For how long a hop counts in the ratios
static const float fh_track_known    = 0.5f;   ///< Of the tracking time, 0.2 to 1. After that what was followed counts as known
static const float fh_separation_rate = 6.0f;  ///< dB/s, 2 to 12. The median separation follows another balance within seconds
/// s, 2 to 8. Noise is the least of the last 12 to 16 s. R. Martin, IEEE TSAP 9(5), 2001: longer than any note
static const float fh_stretch_s      = 4.0f;
static const float fh_floor_most     = 100.0f; ///< Power ratio, 20 dB, 10 to 1000. Close noise over predicted noise: more is a held note
static const float fh_floor_least    = 1e-9f;  ///< Mean square, -90 dBFS. Below it a close microphone is quiet by any measure

// Quantiles (quantiles.h)
#define FH_QUANTILE_START 60.0f ///< Samples, 30 to 200. The first steps pretend to have seen so many, which bounds them
/// 1 / 2.56: standard deviations between 10 % and 90 % of a normal law (NIST e-Handbook 1.3.6.7.1; from memory)
static const float fh_normal_spread  = 0.39f;
static const float fh_spread_least   = 0.5f;   ///< dB. Steps never stop
static const float fh_spread_most    = 8.0f;   ///< dB. Nor run away
static const float fh_rare_most      = 20.0f;  ///< dB, 10 to 30. A band that strays further counts no less

// Learning (learning.c)
static const float fh_learn_longest_s  = 15.0f;  ///< s. As long as FH_MOMENTS hold
static const float fh_learn_shortest_s = 1.0f;   ///< s, 0.5 to 2. Less of a soloist, or of a field within the stretch, teaches nothing
/// s, 2 to 5. A shorter stretch says too little of what is rare: what was known before stays
static const float fh_learn_enough_s   = 2.5f;
static const float fh_learn_part_s     = 1.5f;   ///< s, 1 to 3. Less of the field alone in all that was heard likewise
/// dB, 0 to 4. With the notes goes what the field does rarely: by so much more it may stray
static const float fh_learn_lost_db    = 2.0f;
static const float fh_learn_settled_s  = 180.0f; ///< s. No more counts with any setting of tracking (3 times 60 s), nor is saved
static const float fh_look_s           = 1e-3f;  ///< s. Nearly the length of the network's look, for saving
static const float fh_no_floor_db      = 60.0f;  ///< dBFS. Above all that is heard: older states know no noise
static const float fh_no_floor         = 1e5f;   ///< Mean square, 50 dBFS, likewise: no noise is known yet

// The moments that were field alone (past.c)
#define FH_MOMENTS 240 ///< 15 s of those that learning takes, as many as are sorted in a block's time
static const float fh_moments_per_s   = 16.0f; ///< 8 to 30. Moments of a Learn; 80 ms are one look
static const float fh_past_low        = 0.15f; ///< Share, 0.05 to 0.3. A soloist who plays most of the time leaves so many moments
static const float fh_past_quiet      = 0.1f;  ///< Share, 0.05 to 0.3. In so many at most the band rests
static const float fh_past_plays_db   = 8.0f;  ///< dB over those, 5 to 12. There the band plays: crowd and wind have another ratio
static const float fh_past_some       = 0.06f; ///< Share, 0.03 to 0.15. Fewer of those moments tell nothing
/// dB over the field, 5 to 10. Two bands of a note do; what the field strays by in two at once is less
static const float fh_past_stands_db  = 7.0f;
static const float fh_past_firmly_db  = 10.0f; ///< dB, 8 to 14. And one of them so far
#define FH_PAST_AROUND 3 ///< Moments, 2 to 5. Before and after a note in which it may be heard: attack and echo, 200 ms
static const fh_v8 fh_past_bands = {0, 1, 1, 1, 1, 1, 1, 1}; ///< Not the lowest: most of wind is there, and alone it is no note
/// Where there is a tone, both of these tell a note, too, which wind is not: all of a tuba's is there, and a field strays little
static const fh_v8 fh_past_low_bands = {1, 1};
static const float fh_past_steady_db = 3.0f; ///< dB, 1 to 4. By so much less they need stand out, as they stray less

// Tracking (tracking.c)
static const float fh_band_mean_s     = 8.0f;   ///< s, 4 to 20. Mean of the ambient that the band is held against: some bars
static const float fh_band_plays      = 0.3f;   ///< Power ratio, -5 dB, 0.1 to 0.5. Under it crowd and wind may be what is heard
/// Power ratio, 9 dB, 4 to 16. Ambient over its noise (a minimum, 3 dB under) where the band is heard
static const float fh_out_ambient     = 8.0f;
static const float fh_out_close       = 4.0f;   ///< Power ratio, 6 dB, 2 to 10. Close likewise
/// Power ratio, 10 dB, 4 to 20. All bands of close over noise: else there is nothing to follow
static const float fh_follow_close    = 10.0f;
static const float fh_far_times       = 1.6f;   ///< 1.3 to 2. Times what 10 % pass, and
static const float fh_far_more_db     = 1.0f;   ///< dB, 0.5 to 2. so much more: never seen while learning, as 2 % of a normal law
static const float fh_most_of_bands   = 0.7f;   ///< Share, 0.6 to 0.9. A fader moves all bands, a soloist fewer
static const float fh_half_of_bands   = 0.5f;   ///< Share. In so many the band is heard at all
static const float fh_slow_least_db   = 0.5f;   ///< dB, and
static const float fh_slow_most_db    = 6.0f;   ///< dB. Bounds of the spread that slow following goes by
static const float fh_slow_times      = 4.0f;   ///< Tracking times, 2 to 8. In which slow following goes as far as that
/// dB, 2 to 6. While the gate is open all bands must be lifted so far: a soloist leaves some alone
static const float fh_lifted_db       = 3.0f;
static const float fh_back_db         = 1.0f;   ///< dB, 0.5 to 3. Back from a softer field, so far, and
static const float fh_back_range_db   = 12.0f;  ///< dB, 8 to 15. alike: no more between highest and lowest band
static const float fh_back_s          = 0.2f;   ///< s, 0.1 to 1. And so long
static const float fh_lifted_part     = 0.6f;   ///< Of the tracking time, 0.3 to 1. While the gate is open, so long: no note is
static const float fh_forget_open     = 4.0f;   ///< 1/s, 2 to 8. What is beyond is forgotten: at once against a soloist,
static const float fh_forget_rest     = 0.5f;   ///< 1/s, 0.2 to 1. within two seconds at rest
static const float fh_beyond_open_s   = 0.08f;  ///< s, 0.05 to 0.2. Beyond for so long begins to count
static const float fh_beyond_rest_s   = 0.2f;   ///< s, 0.1 to 0.5. Likewise at rest
static const float fh_soon_s          = 20.0f;  ///< s, 10 to 40. After catching up the level before may be right after all
static const float fh_pause_s         = 17.0f;  ///< s, under fh_soon_s. Less than 3 s after catching up it only paused on the way
static const float fh_catch_s         = 2.0f;   ///< s, 1 to 4. For which it catches up at most
static const float fh_catch_rate      = 15.0f;  ///< dB/s, 6 to 30. A trim of 12 dB in a second
static const float fh_soon_up_rate    = 1.5f;   ///< dB/s, 0.5 to 3. At rest, soon after: what a note cut short is made good
static const float fh_soon_down_rate  = 3.0f;   ///< dB/s, 1 to 6. Down faster: too high shuts the soloist out
static const float fh_misfit_db       = 6.0f;   ///< dB, 4 to 10. The field stays so far under the prediction
static const float fh_misfit_bands    = 0.13f;  ///< Share, more than an eighth: more than one band of eight
static const float fh_misfit_s        = 5.0f;   ///< s, 3 to 10. For so long on balance: what was learnt was not the field
/// s, 6 to 10. Unasked, all bands lifted for so long likewise: a roar lifts them for less than 6 s, 25 soloists for less than 3 s
static const float fh_lifted_long_s   = 8.0f;

// Faults (faults.c)
static const float fh_silent       = 1e-9f; ///< Mean square, -90 dBFS. No outdoor microphone is ever that quiet
/// Mean square, -80 dBFS. An open input: thermal noise of 150 ohm over 20 kHz is -131 dBu (H. Nyquist, Phys. Rev. 32, 1928),
/// so with 60 dB of gain, 0 dBFS at +18 dBu (EBU R 68) and some dB for the amplifier near -85 dBFS
static const float fh_faint        = 1e-8f;
static const float fh_apart        = 1e3f;  ///< Power ratio, 30 dB. Microphones of one field are never that far apart
static const float fh_notice_s     = 0.1f;  ///< s, 0.05 to 0.5. Wrong for this long is a fault
static const float fh_brief_s      = 0.005f; ///< s. Without sound for less is chance
static const float fh_never        = 5e8f;  ///< Ticks. No ambient since the start, which no count comes near
static const float fh_wild_s       = 0.01f; ///< s, 0.005 to 0.05. What no microphone gives rings on in the bands
static const float fh_shown_s      = 1.0f;  ///< s, 0.5 to 5. What lasts no time is shown for so long
static const float fh_offset_s     = 0.025f; ///< s. Two poles at 6 Hz, so that no low note
static const float fh_still_s      = 0.25f; ///< s. stays on one side for so long
static const float fh_zero         = 0.02f; ///< Amplitude, -34 dBFS. Converters are some 30 dB better, and less does no harm
static const float fh_hot          = 16.0f; ///< Amplitude, +24 dBFS. Comes from no converter
/// Squared correlation. One microphone in two inputs, with 16-bit rounding: two of one field stay far under
static const float fh_alike_least  = 1.0f - 3e-5f;
static const float fh_alike_gain   = 100.0f; ///< Power ratio, 20 dB. As far as two gains of one microphone are apart

// Something periodic (tone.h), of two microphones
#define FH_TONE_LAGS 96 ///< Ticks, some 30 ms: a period of the lowest brass
static const float fh_tone_periodic = 0.5f;  ///< Of all power, 0.4 to 0.7. Noise over 80 products stays under 0.3
static const float fh_tone_turns    = -0.2f; ///< And between, as a wave does: what only creeps is no tone

// A plain soloist shut out (guard.h)
static const float fh_guard_over   = 15.85f; ///< Power ratio, 12 dB, 8 to 16 dB. No field stands so far over its own pickup
static const float fh_guard_bands  = 3.0f;   ///< Bands, 2 to 4. in so many at once while it is periodic
static const float fh_guard_kept   = 0.955f; ///< Factor a hop: 60 ms, 40 to 100 ms. For which it is periodic
static const float fh_guard_late_s = 0.8f;   ///< s. With the time that averages take, heard within a second
static const float fh_guard_hold_s = 0.3f;   ///< s, 0.1 to 1. Then open for so long
static const float fh_guard_back   = 0.25f;  ///< 0.1 to 1. How fast the time shut out is forgotten: notes have gaps
static const float fh_guard_more_s = 1.0f;   ///< s, 0.5 to 2. Counted beyond fh_guard_late_s, so that it is over soon after

// Microphones that changed places (swapped.h)
static const fh_v8 fh_swap_counted   = {0, 0, 1, 1, 1, 1, 1, 1}; ///< Not where wind is, which comes to either microphone alone
static const float fh_swap_stands_db = 10.0f; ///< dB, 8 to 14. Out of the field, in more than
static const float fh_swap_bands     = 2.5f;  ///< bands, 1.5 to 3.5
/// Factor a hop: 90 ms, 60 to 150 ms. For which it is periodic: the lags are looked at half as often
static const float fh_swap_kept      = 0.97f;
static const float fh_swap_enough_s  = 3.0f;  ///< s, 2 to 10. Of field, before anything can stand out of it
/// s, 0.5 to 2. Of the soloist in the wrong one, on balance. Rightly wired 0.23 at most, with a neighbour 20 dB over the band there
static const float fh_swap_sure_s    = 0.75f;
static const float fh_swap_most_s    = 3.0f;  ///< s, over the last. Counted at most, so that it is soon taken back
static const float fh_swap_here      = -3.0f; ///< s each s, -1 to -5. The soloist in the right one
static const float fh_swap_moved     = -1.0f; ///< s each s. The ratio is another for all that is heard: a fader
static const float fh_swap_idle      = -0.02f; ///< s each s, -0.1 to 0. Nothing said: forgotten in minutes
static const float fh_swap_step_db   = 12.0f; ///< dB. The median is fast at first, so far in the first second,
static const float fh_swap_rate      = 0.5f;  ///< dB/s, 0.2 to 1. then slow
static const float fh_swap_known_s   = 60.0f; ///< s. Counted of the field at most

// Where the gate opens by itself (tick.c)
static const float fh_open_sure  = 1e9f;        ///< Power ratio. Evidence where nothing is to be decided: open
static const float fh_unknown_s  = 1.5f;        ///< s, 1 to 5. Of field before anything may be shut out
static const float fh_odds_db    = 4.34294482f; ///< dB for each natural log of the odds: 10 / ln 10
static const float fh_guard_open = 0.5f;        ///< Gain. Over it the guard takes the gate as open

// Meters (meters.c)
static const float fh_meter_fast_s      = 0.125f; ///< s. IEC 61672-1 time weighting F, which falls by 34.7 dB a second
static const float fh_meter_fall        = 60.0f;  ///< dB/s, 20 to 100. Peaks fall: to the eye at once
static const float fh_meter_recover     = 5.0f;   ///< 1/s. Gains shown come back in a fifth of a second
static const float fh_meter_hold_s      = 0.05f;  ///< s. Until the slowest host has looked, 25 times a second
static const float fh_separation_s      = 2.0f;   ///< s, 1 to 5. It starts at 0 and needs that long to find a good one
static const float fh_separation_db     = 12.0f;  ///< dB. As far as it goes in that time
static const float fh_separation_most   = 6.0f;   ///< dB/s, at first
static const float fh_separation_least  = 1.0f;   ///< dB/s, later: a verdict must not turn with every soft phrase

#endif
