// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file avx2_names.h
/// Names of what is compiled a second time, for processors with AVX2: included by the compiler before all else.
///
/// Only what choose.c chooses from is called from outside: functions that take pointers and plain numbers only, since
/// vectors are passed differently from one instruction set to the other.

#ifndef FRONTHASH_DSP_AVX2_NAMES_H
#define FRONTHASH_DSP_AVX2_NAMES_H

#define fh_detector_fill fh_detector_fill_avx2
#define fh_detector_hop fh_detector_hop_avx2
#define fh_detector_learn fh_detector_learn_avx2
#define fh_detector_recall fh_detector_recall_avx2
#define fh_detector_refresh fh_detector_refresh_avx2
#define fh_detector_setup fh_detector_setup_avx2
#define fh_detector_tick fh_detector_tick_avx2
#define fh_ears_near fh_ears_near_avx2
#define fh_ears_recall fh_ears_recall_avx2
#define fh_ears_start fh_ears_start_avx2
#define fh_ears_tick fh_ears_tick_avx2
#define fh_engine_get_learnt fh_engine_get_learnt_avx2
#define fh_engine_set_learnt fh_engine_set_learnt_avx2
#define fh_engine_tick fh_engine_tick_avx2
#define fh_engine_want fh_engine_want_avx2
#define fh_faults_hop fh_faults_hop_avx2
#define fh_gate_start fh_gate_start_avx2
#define fh_gate_tick fh_gate_tick_avx2
#define fh_guard_hop fh_guard_hop_avx2
#define fh_kernel_aim fh_kernel_aim_avx2
#define fh_kernel_delay fh_kernel_delay_avx2
#define fh_kernel_init fh_kernel_init_avx2
#define fh_kernel_reset fh_kernel_reset_avx2
#define fh_kernel_run fh_kernel_run_avx2
#define fh_learning_start fh_learning_start_avx2
#define fh_learning_clear fh_learning_clear_avx2
#define fh_learning_hop fh_learning_hop_avx2
#define fh_learnt_from_older fh_learnt_from_older_avx2
#define fh_learnt_is_sane fh_learnt_is_sane_avx2
#define fh_meters_show fh_meters_show_avx2
#define fh_meters_hop fh_meters_hop_avx2
#define fh_past_find fh_past_find_avx2
#define fh_swapped_forget fh_swapped_forget_avx2
#define fh_swapped_hop fh_swapped_hop_avx2
#define fh_tone_hop fh_tone_hop_avx2
#define fh_tracking_band_plays fh_tracking_band_plays_avx2
#define fh_tracking_hop fh_tracking_hop_avx2

#endif
