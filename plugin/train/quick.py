# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""quick.c for Python: takes as the plugin looks at them, and a gated recurrent unit that trains on a processor."""

import ctypes
import os
import subprocess
import tempfile

import numpy
import torch

BANDS, RECORD, INPUTS, UNITS = 8, 74, 64, 64
BURSTS, DROPS = 24, 6
LEARNT = 10000  # ms: from then on it counts


def build():
    here = os.path.dirname(os.path.abspath(__file__))
    path = os.path.join(tempfile.mkdtemp(), "quick.so")
    flags = "-std=gnu17 -O3 -march=native -ffast-math -fopenmp -fPIC -shared".split()
    subprocess.run(["cc", *flags, "-I" + os.path.dirname(here), "-o", path, os.path.join(here, "quick.c"), "-lm"], check=True)
    return ctypes.CDLL(path)


LIBRARY = build()


def pointer(array):
    return ctypes.c_void_p(array.data_ptr() if torch.is_tensor(array) else array.ctypes.data)


def read(path):
    """A take: records (time, RECORD) of int16"""
    return numpy.fromfile(path, numpy.int16).reshape(-1, RECORD)


CHANGE = numpy.dtype([("solo", "f4", BANDS), ("field", "f4", BANDS), ("wrong", "f4", BANDS), ("deaf", "f4", BANDS), ("close", "f4"),
                      ("ambient", "f4"), ("neighbour", "f4", 2), ("trim", "f4", BANDS), ("trimmed", "f4"), ("followed", "f4"),
                      ("drift", "f4", 2), ("drifts", "f4"), ("seed", "f4"), ("fresh", "f4"),
                      ("swing", "f4"), ("swings", "f4"), ("turned", "f4", BANDS), ("turns", "f4"),
                      ("bursts", [("time", "f4", 4), ("level", "f4", (2, BANDS))], BURSTS), ("drops", "f4", (DROPS, 4))])


def no_change():
    change = numpy.zeros((), CHANGE)
    change["followed"] = change["drifts"] = change["swings"] = change["turns"] = 1.0
    change["fresh"] = -1.0
    change["bursts"]["level"] = -300.0
    change["bursts"]["time"] = 1.0
    return change


def look(records, change=None, near=None):
    """records (time, RECORD) of int16, likewise of what a neighbour plays after Learn; a CHANGE -> features (time, INPUTS), labels (time)"""
    change = no_change() if change is None else change
    features = numpy.empty((len(records), INPUTS), numpy.float32)
    told = numpy.empty(len(records), numpy.int8)
    other = pointer(near) if near is not None and len(near) >= len(records) - LEARNT else None
    LIBRARY.look(pointer(records), other, len(records), pointer(change), pointer(features), pointer(told))
    return features, told


class Unit(torch.autograd.Function):
    """x (time, 3 UNITS, takes) -> memory (time, UNITS, takes); as torch.nn.GRU, from nothing remembered"""

    @staticmethod
    def forward(ctx, x, w, bias):
        ticks, _, takes = x.shape
        x, w, bias = x.contiguous(), w.contiguous(), bias.contiguous()
        memory = torch.zeros(ticks + 1, UNITS, takes)
        kept = torch.empty(ticks, 4 * UNITS, takes)
        LIBRARY.gru(pointer(x), pointer(w), pointer(bias), ticks, takes, pointer(memory), pointer(kept))
        ctx.save_for_backward(w, memory, kept)
        return memory[1:]

    @staticmethod
    def backward(ctx, above):
        w, memory, kept = ctx.saved_tensors
        ticks, _, takes = above.shape
        above = above.contiguous()
        dx, dh = torch.empty(ticks, 3 * UNITS, takes), torch.empty(ticks, 3 * UNITS, takes)
        LIBRARY.gru_back(pointer(w), pointer(memory), pointer(kept), pointer(above), ticks, takes, pointer(dx), pointer(dh))
        flat = dh.transpose(0, 1).reshape(3 * UNITS, -1)
        return dx, flat @ memory[:-1].transpose(0, 1).reshape(UNITS, -1).T, flat.sum(1)
