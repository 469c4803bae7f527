// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file ears_weights.h
/// What was trained (plugin/train). Weights are whole numbers of 1/FH_EARS_ONE, in blocks of FH_EARS_ROWS rows: of each two inputs in turn, a
/// pair for each row. Rows of the unit: reset, update, new.

#ifndef FRONTHASH_DSP_EARS_WEIGHTS_H
#define FRONTHASH_DSP_EARS_WEIGHTS_H

#include "dsp/ears.h"

#define FH_EARS_ONE 2048.0f
#define FH_EARS_ROWS 32 ///< As many sums as stay in registers, with one reading of the inputs

extern const int16_t fh_ears_layer[FH_EARS_UNITS * FH_EARS_INPUTS];
extern const int16_t fh_ears_into[3 * FH_EARS_UNITS * FH_EARS_UNITS];
extern const int16_t fh_ears_back[3 * FH_EARS_UNITS * FH_EARS_UNITS];
extern const float   fh_ears_layer_bias[FH_EARS_UNITS];
extern const float   fh_ears_into_bias[3 * FH_EARS_UNITS];
extern const float   fh_ears_back_bias[3 * FH_EARS_UNITS];
extern const float   fh_ears_answer[FH_EARS_UNITS];
extern const float   fh_ears_answer_bias;
extern const float   fh_ears_sure; ///< Log odds at which the gate opens with a margin of nothing
extern const uint32_t fh_ears_weights_sum; ///< Fletcher's check sum (RFC 1146) over the three tables as they stand

#endif
