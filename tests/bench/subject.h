// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file subject.h
/// One thing whose cost is measured: the plugin as a host runs it, the engine on another instruction set, a reference.

#ifndef FRONTHASH_BENCH_SUBJECT_H
#define FRONTHASH_BENCH_SUBJECT_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
  const char* name;
  uint32_t    closes; ///< Close microphones, and channels of output
  uint32_t    block;  ///< The only block it takes, in frames; 0 for any
  void* (*open)(uint32_t closes, int size); ///< NULL where it is not to be had; reasons on stderr
  void (*run)(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
  void (*close)(void* self);
  int size; ///< Number of sections, for the chains
} FhSubject;

/// Everything there is, ended by a NULL name; where a library is missing a line of `fh_subjects_missing` says so
extern const FhSubject   fh_subjects[];
extern const char* const fh_subjects_missing[];

/// By name, or NULL
const FhSubject* fh_subject_find(const char* name);

// The plugin, loaded from the bundle that FH_BUNDLE names
void* fh_plugin_open(uint32_t closes, int size);
void  fh_plugin_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void  fh_plugin_close(void* self);

// The engine without the plugin around it, on the baseline instruction set
void* fh_baseline_open(uint32_t closes, int size);
void  fh_baseline_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void  fh_baseline_close(void* self);

// References
void* fh_gain_open(uint32_t closes, int size);
void  fh_gain_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void* fh_chain_open(uint32_t closes, int size);
void  fh_chain_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void  fh_chains_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void* fh_speex_open(uint32_t closes, int size);
void  fh_speex_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void  fh_speex_close(void* self);

#ifdef __cplusplus
extern "C" {
#endif
void* fh_webrtc_open(uint32_t closes, int size);
void  fh_webrtc_run(void* self, const float* const close[2], const float* ambient, float* const out[2], uint32_t frames);
void  fh_webrtc_close(void* self);
#ifdef __cplusplus
}
#endif

/// Release what malloc gave
void fh_plain_close(void* self);

#endif
