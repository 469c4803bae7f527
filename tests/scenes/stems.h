// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file stems.h
/// What solo and band sound like at each microphone before level, weather and condition, with a cache on disk:
/// rendering takes seconds, and one rendering serves all ratios and most conditions, that of the band most scenes. Thread: any.

#ifndef FRONTHASH_SCENES_STEMS_H
#define FRONTHASH_SCENES_STEMS_H

#include "stage.h"

/// Change with anything that changes the rendered stems, or old caches are taken for new
#define FH_STEMS_VERSION 6

/// Fill solo and band buffers (zeroed, one per microphone), from the cache or by rendering.
/// @return false, with a line on stderr, when an instrument cannot be rendered
bool fh_stems_get(const FhSceneRequest*, const FhStage*, const FhSong*, FhScene*, float* const band[]);

/// Likewise the crowd that always murmurs; as loud as fh_add_crowd() says. @return false when memory is out
bool fh_stems_get_crowd(FhScene*, const FhStage*, float* const to[]);

#endif
