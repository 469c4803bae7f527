// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file show_keys.h
/// What each line of a show file says, and what a stand must have in the end.
///
/// Thread: main.

#ifndef FRONTHASH_COMMAND_SHOW_KEYS_H
#define FRONTHASH_COMMAND_SHOW_KEYS_H

#include "command/show/show_words.h"

/// What reading has come to
typedef struct {
  FhShowLine line;
  FhShow*    show;
  FhStand*   stand; ///< The one lines now belong to; NULL before the first
  uint32_t   given; ///< Keys that were there for it, a bit each
  size_t     inputs[FH_SHOW_CHANNELS + 1]; ///< Line that took a channel, 0 where free
  size_t     outputs[FH_SHOW_CHANNELS + 1];
} FhShowReader;

/// Take a line of at least one word. @return false, having complained.
bool fh_show_read_key(FhShowReader* reader);

/// Check the stand that ends here, if there is one, and fill in what it left out. @return false, having complained.
bool fh_show_finish_stand(FhShowReader* reader);

#endif
