# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""A headless Chromium driven through its DevTools protocol, over a pair of pipes: JSON messages with a zero byte after each."""

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time


class Browser:
    def __init__(self, program):
        self.profile = tempfile.mkdtemp(prefix="fronthash-browser-")
        to_read, self.to = os.pipe()
        self.come, to_write = os.pipe()
        words = [program, "--headless=new", "--remote-debugging-pipe", "--user-data-dir=" + self.profile, "--no-first-run"]
        words += ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "about:blank"]

        def give_pipes():  # the protocol is read from 3 and written to 4
            reading, writing = os.dup(to_read), os.dup(to_write)
            os.dup2(reading, 3)
            os.dup2(writing, 4)

        quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.process = subprocess.Popen(words, preexec_fn=give_pipes, pass_fds=(3, 4), **quiet)
        os.close(to_read)
        os.close(to_write)
        self.number, self.rest, self.complaints, self.session = 0, b"", [], None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.call(domain + ".enable")

    def close(self):
        self.process.terminate()
        self.process.wait(timeout=20)
        shutil.rmtree(self.profile, ignore_errors=True)

    def take(self, seconds):
        """One message, or None."""
        end = time.monotonic() + seconds
        while b"\0" not in self.rest:
            if not select.select([self.come], [], [], max(0, end - time.monotonic()))[0]:
                return None
            self.rest += os.read(self.come, 1 << 20)
        line, self.rest = self.rest.split(b"\0", 1)
        message = json.loads(line)
        if message.get("method") == "Runtime.exceptionThrown":
            self.complaints.append(message["params"]["exceptionDetails"])
        elif message.get("method") == "Log.entryAdded" and message["params"]["entry"]["level"] == "error":
            self.complaints.append(message["params"]["entry"]["text"])
        return message

    def call(self, method, **parameters):
        self.number += 1
        order = {"id": self.number, "method": method, "params": parameters}
        if self.session:
            order["sessionId"] = self.session
        os.write(self.to, json.dumps(order).encode() + b"\0")
        while True:
            message = self.take(30)
            if message is None:
                raise OSError("the browser does not answer to " + method)
            if message.get("id") == self.number:
                if "error" in message:
                    raise OSError("%s: %s" % (method, message["error"]["message"]))
                return message["result"]

    def open(self, address, width, height):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 700)
        self.call("Page.navigate", url="about:blank")
        self.call("Page.navigate", url=address)

    def say(self, script):
        """Value of an expression in the page."""
        result = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in result:
            raise OSError("%s: %s" % (script, result["exceptionDetails"]["exception"]["description"]))
        return result["result"].get("value")

    def click(self, selector):
        """Press with the mouse where it stands, as a person does."""
        script = "(e => { e.scrollIntoView({block: 'center'}); const r = e.getBoundingClientRect();"
        script += " return [r.x + r.width / 2, r.y + r.height / 2]; })(%s)" % selector
        x, y = self.say(script)
        for kind in ("mousePressed", "mouseReleased"):
            self.call("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def picture(self, path):
        data = base64.b64decode(self.call("Page.captureScreenshot", format="png")["data"])
        with open(path, "wb") as file:
            file.write(data)
