# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""From a take (fh-takes) to what the network is given in each millisecond, and to what it should answer."""

import numpy
import scipy.signal

BANDS = 8
AVERAGES_MS = (3.0, 20.0, 80.0)
SLOW_MS = 5000.0
INPUTS = BANDS * (len(AVERAGES_MS) + 2)


def average(power, ms):
    """One-pole mean"""
    pole = numpy.exp(-1.0 / ms)
    return scipy.signal.lfilter([1.0 - pole], [1.0, -pole], power, axis=0)


def decibels(power):
    return 10.0 * numpy.log10(power + 1e-12)


def read(path):
    """-> features (time, INPUTS), activity (time), whether the present gate is open (time)"""
    record = numpy.fromfile(path, numpy.int16).reshape(-1, 4 * BANDS + 2)
    close, ambient, coupling, floor = (
        10.0 ** (record[:, BANDS * i : BANDS * (i + 1)].astype(numpy.float64) / 1000.0) for i in range(4)
    )
    pickup = coupling * ambient + 2.0 * floor  # the floor is a minimum, 3 dB under the mean
    columns = [(decibels(average(close, ms)) - decibels(average(pickup, ms))) / 10.0 for ms in AVERAGES_MS]
    usual = decibels(average(pickup, SLOW_MS))
    columns.append((decibels(average(close, AVERAGES_MS[0])) - usual) / 20.0)
    columns.append((decibels(average(pickup, AVERAGES_MS[1])) - usual) / 20.0)
    features = numpy.clip(numpy.concatenate(columns, axis=1), -3.0, 4.0).astype(numpy.float16)
    return features, record[:, -2].astype(numpy.int8), record[:, -1] > -300
