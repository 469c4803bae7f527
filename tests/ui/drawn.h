// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file drawn.h
/// What a drawing test needs: a surface, its pixels, its texts, and the contrast of two colours.

#ifndef FRONTHASH_TESTS_UI_DRAWN_H
#define FRONTHASH_TESTS_UI_DRAWN_H

#include "ui/model.h"
#include "ui/view.h"
#include "ui/window.h"

#include <stdbool.h>
#include <stdint.h>

#define MAX_TEXTS 200

typedef struct {
  char  text[160];
  FhBox drawn, room;
  FhInk ink;
} Text;

typedef struct {
  cairo_surface_t* surface;
  int              width, height; ///< Pixels
  double           scale;
  Text             texts[MAX_TEXTS];
  int              text_count;
} Drawn;

/// Contrast ratio of two 0xRRGGBB colours, 1..21
double contrast(uint32_t a, uint32_t b);

/// Largest difference of the three channels, 0..255
int distance(uint32_t a, uint32_t b);

void drawn_free(Drawn* drawn);

Drawn* draw_picture(const FhPicture* picture, const FhFrame* frames, size_t n);

/// Draw the window after the frames were heard; `model` may be NULL, else it is used as it is
Drawn* draw_window(int width, int height, const FhModel* model);

/// The same on a page, at a desktop's scale
Drawn* draw_page(int width, int height, double scale, int page, const FhModel* model);

/// A model that heard the frames, one after the other
void play(FhModel* model, const FhFrame* frames, size_t n);

uint32_t pixel(const Drawn* drawn, int x, int y);

/// Middle of the highest run of rows in column `x` whose colour is nearer than `near_by` to `rgb`, or -1
double find_row(const Drawn* drawn, int x, int from, int to, uint32_t rgb, int near_by);

/// Row of the opening line near column `x` (some column there holds a dash), or -1
double line_row(const Drawn* drawn, int x, int from, int to, const FhPalette* palette);

const Text* find_text(const Drawn* drawn, const char* part);

/// Every text lies in its room and on the surface, none overlaps another, and each reads at `least`:1 against the
/// commonest colour behind it. Fails the test with the text's own words.
void check_texts(const Drawn* drawn, const FhPalette* palette, double least);

#endif
