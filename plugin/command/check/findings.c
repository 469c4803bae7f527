// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/check/findings.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void
fh_find(FhFindings* const findings,
        const bool        fault,
        const char* const code,
        const double      value,
        const char* const unit,
        const char* const format,
        ...)
{
  if (findings->count == FH_FINDINGS_MAX) {
    return;
  }
  FhFinding* const finding = &findings->list[findings->count++];
  *finding                 = (FhFinding){.code = code, .fault = fault, .value = value, .unit = unit};
  va_list args;
  va_start(args, format);
  vsnprintf(finding->text, sizeof(finding->text), format, args);
  va_end(args);
}

void
fh_forget(FhFindings* const findings, const char* const code)
{
  size_t kept = 0;
  for (size_t i = 0; i < findings->count; ++i) {
    if (strcmp(findings->list[i].code, code)) {
      findings->list[kept++] = findings->list[i];
    }
  }
  findings->count = kept;
}

bool
fh_found(const FhFindings* const findings, const char* const code)
{
  for (size_t i = 0; i < findings->count; ++i) {
    if (findings->list[i].fault && !strcmp(findings->list[i].code, code)) {
      return true;
    }
  }
  return false;
}

bool
fh_found_at(const FhFindings* const findings, const char* const code, const char* const name)
{
  for (size_t i = 0; i < findings->count; ++i) {
    const FhFinding* const f = &findings->list[i];
    if (f->fault && !strcmp(f->code, code) && strstr(f->text, name)) {
      return true;
    }
  }
  return false;
}

const char*
fh_mic_name(const FhSoundcheck* const take, const size_t mic)
{
  static const char* const pair[] = {"close microphone 1", "close microphone 2"};
  return mic == take->closes ? "ambient microphone" : take->closes == 2 ? pair[mic] : "close microphone";
}
