// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file render_print.h
/// What came of a render, on standard output: as text, for scripts; of one take, of a show.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_RENDER_PRINT_H
#define FRONTHASH_COMMAND_RENDER_PRINT_H

#include "command/run/render.h"
#include "command/show/desk.h"

void fh_render_print(const char* take, const FhRenderJob* job);
void fh_render_print_json(const char* take, const FhRenderJob* job);

/// One row a stand; `jobs` go with the stands of the desk
void fh_render_print_show(const FhDesk* desk, const FhRenderJob* jobs, const char* folder);
void fh_render_print_show_json(const FhDesk* desk, const FhRenderJob* jobs, const char* folder);

#endif
