# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Open Sound Control after its specification, version 1.0 (M. Wright, 2002), as far as a rig speaks it: messages and bundles."""

import socket
import struct
import time

CODES = {"i": ">i", "f": ">f", "h": ">q", "d": ">d"}


def padded(data):
    return data + b"\0" * (4 - len(data) % 4)  # a string ends with one to four zero bytes


def message(path, types="", *values):
    data = padded(path.encode()) + padded(("," + types).encode())
    for code, value in zip(types.replace("T", "").replace("F", ""), values):
        data += padded(value.encode()) if code == "s" else struct.pack(CODES[code], value)
    return data


def bundle(*elements):
    return b"#bundle\0" + struct.pack(">Q", 1) + b"".join(struct.pack(">i", len(e)) + e for e in elements)


def text_at(data, at):
    end = data.index(b"\0", at)
    return data[at:end].decode(), at + (end - at) // 4 * 4 + 4


def messages(data):
    """Every message of a datagram: path, values."""
    if data.startswith(b"#bundle\0"):
        at = 16
        while at < len(data):
            (length,) = struct.unpack_from(">i", data, at)
            yield from messages(data[at + 4 : at + 4 + length])
            at += 4 + length
        return
    path, at = text_at(data, 0)
    types, at = text_at(data, at)
    values = []
    for code in types[1:]:
        if code == "s":
            value, at = text_at(data, at)
        else:
            (value,) = struct.unpack_from(CODES[code], data, at)
            at += struct.calcsize(CODES[code])
        values.append(value)
    yield path, values


class Osc:
    def __init__(self, port):
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.settimeout(0.05)
        self.to = ("127.0.0.1", port)
        self.told = {}  # the last values of each path

    def send(self, *arguments):
        self.socket.sendto(message(*arguments), self.to)

    def listen(self, seconds):
        """Take what arrives."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                data = self.socket.recv(65536)
            except socket.timeout:
                continue
            for path, values in messages(data):
                self.told[path] = values

    def ask(self, path, seconds=5):
        """The values of a path, or of the complaint about it; None without an answer."""
        self.told.pop(path, None)
        self.told.pop("/error", None)
        self.send(path)
        return self.hear(path, seconds)

    def hear(self, path, seconds):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.listen(0.05)
            if path in self.told or "/error" in self.told:
                return self.told.get(path, self.told.get("/error"))
        return None
