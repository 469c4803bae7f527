#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""The page of a rig, asked for without a browser: test_http.py COMMAND DESK BUNDLES [REQUESTS of any bytes, 300]

What it serves, what it refuses (RFC 9110 for methods and codes), who may change what, and requests of any bytes.
"""

import http.client
import json
import os
import random
import signal
import socket
import stat
import sys

import rig as rigs
from rig import expect, wait_for


def request(rig, path, method="GET", token=None, host=None):
    """Code, head and body of one answer."""
    connection = http.client.HTTPConnection("127.0.0.1", rig.page_port, timeout=5)
    head = {"Host": host} if host else {}
    if token:
        head["Authorization"] = "Bearer " + token
    try:
        connection.request(method, path, headers=head)
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read().decode()
    finally:
        connection.close()


def is_up(rig):
    try:
        return request(rig, "/rig.json")[0] == 200
    except OSError:
        return False


def stands(rig):
    return json.loads(request(rig, "/rig.json")[2])["stands"]


def to_look_at(rig):
    for path, kind in (("/", "text/html"), ("/page.js", "text/javascript"), ("/page.css", "text/css")):
        code, head, body = request(rig, path)
        expect(code == 200 and head["Content-Type"].startswith(kind) and len(body) > 500, "%s: %d" % (path, code))
        expect(head["Content-Security-Policy"].startswith("default-src 'none'"), "%s may load from anywhere" % path)
    expect(request(rig, "/", "HEAD")[2] == "", "HEAD has a body")
    all_stands = stands(rig)
    expect([s["name"] for s in all_stands] == ["Stand 1", "Stand 2"], "names: %s" % all_stands)
    expect(all_stands[0]["soloist"] == "Mira" and all_stands[0]["next"] == "Jonas", "soloists")
    for path in ("/etc/passwd", "/../rig.json", "//", "/page", "/rig.json/"):
        expect(request(rig, path)[0] == 404, path + " is there")
    expect(request(rig, "/", "PUT")[0] == 405, "PUT")
    expect(request(rig, "/rig.json", host="rig.example")[0] == 403, "a foreign name is served")
    expect(request(rig, "/rig.json", host="localhost:%d" % rig.page_port)[0] == 200, "localhost is not")
    for token in (None, "", "x" * 32):
        code, _, said = request(rig, "/stand/1/muted?value=1", "POST", token)
        expect(code == 403 and "to look at only" in said, "worked without any token: %d %s" % (code, said))
    expect(not stands(rig)[0]["muted"], "and muted")
    with open("/proc/net/tcp", encoding="ascii") as file:  # proc(5): state 0A listens
        bound = [line.split()[1] for line in file.readlines()[1:] if line.split()[3] == "0A"]
    port = ":%04X" % rig.page_port
    expect([b for b in bound if b.endswith(port)] == ["0100007F" + port], "bound to more than this machine")


def to_work(rig, token):
    for other in (None, token[:-1], token + "0", token[:-1] + "~"):
        expect(request(rig, "/stand/1/muted?value=1", "POST", other)[0] == 403, "worked with token %s" % other)
    expect(request(rig, "/stand/1/muted?value=1", "GET", token)[0] == 404, "GET has changed something")
    expect(not stands(rig)[0]["muted"], "muted without the token")
    expect(request(rig, "/stand/1/muted?value=1", "POST", token)[0] == 200, "the token does not do")
    expect([s["muted"] for s in stands(rig)] == [True, False], "muted")
    expect(request(rig, "/stand/2/next", "POST", token)[0] == 200, "next")
    expect(stands(rig)[1]["soloist"] == "Jonas" and stands(rig)[1]["next"] is None, "Jonas has not come")
    for value in (1, 0):
        expect(request(rig, "/stand/*/muted?value=%d" % value, "POST", token)[0] == 200, "all stands")
        expect([s["muted"] for s in stands(rig)] == [bool(value)] * 2, "all muted")
    for path in ("/stand/1/muted", "/stand/1/muted?value=loud", "/stand/1/muted?value=nan", "/stand/1/state?value=1"):
        expect(request(rig, path, "POST", token)[0] == 400, path)
    for path in ("/stand/0/muted?value=1", "/stand/3/muted?value=1", "/stand/1/", "/stand/*/", "/stand/*/muted/x?value=1", "/stand/1/muted/x?value=1", "/stand/-1/next"):
        expect(request(rig, path, "POST", token)[0] == 404, path)


def any_bytes(rig, count):
    """Requests cut, changed and repeated; and connections that say nothing."""
    chance = random.Random(3)
    whole = b"POST /stand/1/muted?value=1 HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer x\r\nContent-Length: 3\r\n\r\nabc"
    silent = [socket.create_connection(("127.0.0.1", rig.page_port)) for _ in range(20)]
    for _ in range(count):
        data = bytearray(whole)
        for _ in range(chance.randrange(1, 8)):
            at = chance.randrange(len(data))
            what = chance.randrange(4)
            if what == 0:
                data[at] = chance.randrange(256)
            elif what == 1:
                data[at:at] = data[:at] * chance.choice((1, 40))
            elif what == 2 and at > 4:
                del data[at:]
            else:
                data[at:at] = chance.choice((b"%00", b"%", b"?", b"\r\n", b"\0", b"Transfer-Encoding: chunked\r\n\r\n"))
            data = data[:100000]
        with socket.create_connection(("127.0.0.1", rig.page_port), timeout=5) as one:
            try:
                one.sendall(data)
                one.shutdown(socket.SHUT_WR)
                one.settimeout(0.02)
                one.recv(4096)
            except OSError:
                pass
    expect(rig.live.poll() is None, "it has ended")
    expect(request(rig, "/rig.json")[0] == 200, "it answers no more")
    for one in silent:
        one.close()


def restart(rig, *options):
    rig.kill_live(signal.SIGTERM)
    rig.start_live(*options, terminal=False)
    wait_for("the page", 10, lambda: is_up(rig))


def refused_tokens(rig):
    for text, phrase in (("short\n", "shorter than 16"), ("spaces are not for addresses\n", "may only hold letters")):
        name = rig.folder + "/bad"
        with open(name, "w", encoding="utf-8") as file:
            file.write(text)
        other = rig.folder + "/other.show"
        with open(other, "w", encoding="utf-8") as file:
            file.write(rigs.show_file(1))
        words = [rig.command, "live", other, "--osc", "off", "--page", str(rigs.free_port(socket.SOCK_STREAM)), "--page-token", name]
        said = rigs.subprocess.run(words, env=rig.env, capture_output=True, text=True, timeout=20)
        expect(said.returncode == 1 and phrase in said.stderr and said.stderr.count("\n") == 1, said.stderr)


def test(rig):
    rig.page_port = rigs.free_port(socket.SOCK_STREAM)
    page = ("--page", str(rig.page_port))
    rig.start_desk()
    rig.start_live(*page, terminal=False)
    wait_for("the page", 10, lambda: is_up(rig))
    to_look_at(rig)
    token_file = rig.folder + "/token"
    restart(rig, *page, "--page-token", token_file)
    expect(stat.S_IMODE(os.stat(token_file).st_mode) == 0o600, "others can read the token")
    with open(token_file, encoding="ascii") as file:
        token = file.read().strip()
    expect(len(token) >= 32, "a short token")
    to_work(rig, token)
    restart(rig, *page, "--page-token", token_file)
    expect(request(rig, "/stand/1/muted?value=0", "POST", token)[0] == 200, "another token after a restart")
    refused_tokens(rig)
    any_bytes(rig, int(sys.argv[4]) if len(sys.argv) > 4 else 300)


if __name__ == "__main__":
    rigs.run(test, stands=2)
