// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file findings.h
/// The list of what a check finds: each finding one sentence with its figure and what to do. Thread: main.

#ifndef FRONTHASH_COMMAND_FINDINGS_H
#define FRONTHASH_COMMAND_FINDINGS_H

#include "command/measure/activity.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct {
  const char* code;      ///< For scripts
  bool        fault;     ///< Something to do, rather than just a figure
  double      value;     ///< The figure
  const char* unit;
  char        text[400]; ///< The sentence
} FhFinding;

#define FH_FINDINGS_MAX 48

typedef struct {
  size_t    count;
  FhFinding list[FH_FINDINGS_MAX];
} FhFindings;

/// Is there a finding of that code?
bool fh_found(const FhFindings* findings, const char* code);

/// Is there one of it about that microphone? @param name As fh_mic_name
bool fh_found_at(const FhFindings* findings, const char* code, const char* name);

/// Take away all findings of that code
void fh_forget(FhFindings* findings, const char* code);

/// Add a finding; beyond the last place it is dropped
void fh_find(FhFindings* findings, bool fault, const char* code, double value, const char* unit, const char* format,
             ...)
  __attribute__((format(printf, 6, 7)));

/// Name of a microphone as in "close microphone 2"
const char* fh_mic_name(const FhSoundcheck* take, size_t mic);

#endif
