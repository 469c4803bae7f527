# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Write trained weights as the plugin's table: weights.py WEIGHTS SURE TABLE.c

SURE is the log odds that open the gate with a margin of nothing.
"""

import os
import sys

import numpy

ONE, ROWS = 2048, 32  # of plugin/dsp/ears_weights.h


def rounded(matrix):
    whole = numpy.rint(matrix * ONE)
    if numpy.abs(whole).max() > 32767 or numpy.abs(whole).sum(1).max() > 65535:
        sys.exit("weights.py: weights too large for sums of 32 bits")
    return whole.astype(numpy.int16)


def blocks(matrix):
    """Blocks of ROWS rows; of each two inputs in turn, a pair for each row"""
    rows, inner = matrix.shape
    return matrix.reshape(rows // ROWS, ROWS, inner // 2, 2).transpose(0, 2, 1, 3).reshape(-1)


def fletcher(tables):
    low, high = 0, 0
    for word in numpy.concatenate(tables).astype(numpy.uint16).tolist():
        low = (low + word) % 65535
        high = (high + low) % 65535
    return high << 16 | low


def lines(values, form, per_line):
    words = [form(value) for value in values]
    return ",\n".join("  " + ", ".join(words[i : i + per_line]) for i in range(0, len(words), per_line))


def main():
    source, sure, path = sys.argv[1], float(sys.argv[2]), sys.argv[3]
    w = numpy.load(source)
    tables = {"layer": w["look.weight"], "into": w["remember.weight_ih_l0"], "back": w["remember.weight_hh_l0"]}
    tables = {name: blocks(rounded(matrix)) for name, matrix in tables.items()}
    floats = {"layer_bias": w["look.bias"], "into_bias": w["remember.bias_ih_l0"], "back_bias": w["remember.bias_hh_l0"],
              "answer": w["answer.weight"][0]}
    text = ["// SPDX-FileCopyrightText: 2026 The Fronthash contributors", "// SPDX-License-Identifier: ISC", "",
            "// Made by plugin/train/weights.py: do not edit", "", '#include "dsp/ears_weights.h"', "", "// clang-format off"]
    for name, values in tables.items():
        text.append(f"const int16_t fh_ears_{name}[{len(values)}] __attribute__((aligned(32))) = {{\n{lines(values, str, 96)}}};")
    for name, values in floats.items():
        numbers = lines(values, lambda value: f"{value:.7e}f", 8)
        text.append(f"const float fh_ears_{name}[{len(values)}] __attribute__((aligned(32))) = {{\n{numbers}}};")
    text.append(f"const float fh_ears_answer_bias = {float(w['answer.bias'][0]):.7e}f;")
    text.append(f"const float fh_ears_sure = {sure:.2f}f;")
    text.append(f"const uint32_t fh_ears_weights_sum = 0x{fletcher(list(tables.values())):08x}u;")
    with open(path + ".part", "w", encoding="ascii") as file:
        file.write("\n".join(text) + "\n")
    os.replace(path + ".part", path)


main()
